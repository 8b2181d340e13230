"""Columns of somebody's own table are guessed from their headings and figures, and doubts are said."""

from __future__ import annotations

import time
from pathlib import Path

import openpyxl  # type: ignore[import-untyped]
import pytest

from consist.intake import Guessed, Reading, guess


def guessed(folder: Path, text: str, **how: object) -> Guessed:
    path = folder / "table.csv"
    path.write_text(text, encoding="utf-8")
    return guess(path, Reading(path.name), **how)  # type: ignore[arg-type]


def columns(found: Guessed) -> dict[str, tuple[str, ...]]:
    return dict(found.how.columns)


def test_a_club_roster_is_known_by_its_headings(tmp_path: Path) -> None:
    found = guessed(
        tmp_path,
        "Our roster,,,,,,\n,,,,,,\nReporting marks,Car no.,Type,Wt. (oz),Length over couplers (in),Bought,\n"
        "TST,1,box,4.2,6.5,1998,x\nTST,2,flat,3 3/4,6 1/2,1999,\nTotals,,,7.95,,,\n",
    )
    assert found.kind == "cars"
    assert columns(found) == {
        "car": ("Reporting marks", "Car no."),
        "kind": ("Type",),
        "weight_oz": ("Wt. (oz)",),
        "coupled_length_in": ("Length over couplers (in)",),
    }
    assert (found.how.header, found.how.skip) == (3, ("Totals",))
    assert found.unread == ("Bought", "the column without a heading (G)")
    assert found.lacking == ()
    assert all(not each.doubt for each in found.columns)
    assert found.columns[0].values[:2] == ("TST 1", "TST 2")


@pytest.mark.parametrize(
    ("figures", "ratio", "column"),
    [
        (("40", "50", "40"), 87.1, "body_length_proto_ft"),
        (("5.5", "6 3/4", "5.5"), 87.1, "body_length_in"),
        (("150", "160", "150"), 87.1, "body_length_mm"),
        (("40'", "50' 6\"", "40'"), None, "body_length_proto_ft"),
        (("75 mm", "80 mm", "75 mm"), None, "body_length_mm"),
        (("3", "3 1/4", "3"), 160.0, "body_length_in"),
    ],
)
def test_the_unit_of_a_bare_heading_follows_from_its_figures(
    tmp_path: Path, figures: tuple[str, ...], ratio: float | None, column: str
) -> None:
    rows = "".join(f"TST {n};{figure}\n" for n, figure in enumerate(figures))
    found = guessed(tmp_path, f"Car;Length\n{rows}", ratio=ratio)
    assert columns(found)[column] == ("Length",)
    assert found.columns[1].doubt


def test_a_length_whose_unit_cannot_be_known_is_left_unread_and_said_to_lack(tmp_path: Path) -> None:
    found = guessed(tmp_path, "Car,Length\nA,40\nB,50\n")
    assert columns(found) == {"car": ("Car",)}
    assert found.lacking == ("body_length or coupled_length",)
    assert found.unread == ("Length",)


@pytest.mark.parametrize(("figure", "ratio", "unit"), [("4.2", 87.1, "oz"), ("7.5", 220.0, "g"), ("110", 87.1, "g")])
def test_a_weight_without_a_unit_is_guessed_by_scale(tmp_path: Path, figure: str, ratio: float, unit: str) -> None:
    found = guessed(tmp_path, f"Car,Weight\nA,{figure}\n", ratio=ratio)
    assert columns(found)[f"weight_{unit}"] == ("Weight",)
    assert found.columns[1].doubt


def test_what_is_told_is_taken_before_any_guess(tmp_path: Path) -> None:
    text = "Car,Length,Weight oz\nA,5,4\n"
    found = guessed(tmp_path, text, taken={"coupled_length_in": "length", "weight_oz": ""})
    assert columns(found) == {"car": ("Car",), "coupled_length_in": ("Length",)}
    assert found.unread == ("Weight oz",)


@pytest.mark.parametrize(
    ("text", "kind", "column"),
    [
        ("Loco,Drawbar pull oz,Weight oz\n31,3,14\n", "engines", "pull_oz"),
        ("Job,Pos,Car\nMilk,1,TST 1\n", "trains", "spot"),
        ("Wagen,Gewicht g,LüP mm\nA,100,160\n", "cars", "coupled_length_mm"),
        ("Piece,Weight g,Qty\nnut,1.2,20\n", "pieces", "on_hand"),
        ("Car,Body length mm,Wheels in gauge,Couplers ok\nA,150,yes,yes\n", "guests", "wheels_in_gauge"),
    ],
)
def test_the_kind_of_a_table_is_guessed_too(tmp_path: Path, text: str, kind: str, column: str) -> None:
    found = guessed(tmp_path, text)
    assert found.kind == kind
    assert column in columns(found)


def test_the_sheet_with_the_columns_is_found(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.active.append(["bought in spring"])
    sheet = book.create_sheet("Stock")
    sheet.append(["Car", "Weight oz", "Body length in"])
    sheet.append(["A", 4, 6])
    book.save(tmp_path / "r.xlsx")
    found = guess(tmp_path / "r.xlsx", Reading("r.xlsx"))
    assert (found.how.sheet, found.how.header, found.passed) == ("Stock", 1, ("Sheet",))


TWO_ROWS = """Shelf roster 2024,,,,,
Car,,Weight,,Length,Bought
Mark,Number,(oz),as it should be,in,
TST,1,2.3,3,5 1/4,1998
Car,,Weight,,Length,Bought
Mark,Number,(oz),as it should be,in,
TST,2,2.4,3,5 1/4,1999
Totals,,4.7,,,
"""


def test_two_rows_that_name_the_columns_are_read_as_one(tmp_path: Path) -> None:
    found = guessed(tmp_path, TWO_ROWS)
    assert columns(found) == {
        "car": ("Car Mark", "Car Number"),
        "weight_oz": ("Weight (oz)",),
        "body_length_in": ("Length in",),
    }
    assert (found.how.header, found.how.header_rows) == (2, 2)
    assert found.unread == ("Weight as it should be", "Bought")
    assert found.columns[0].values == ("TST 1", "TST 2")


@pytest.mark.parametrize(
    "text",
    [
        "Car,Weight oz,Body length in\nTST 1,4,6\n",
        "Car,Owner,Remarks\nTST,Ida,Mark\n",
        "Our roster,2024\nCar,Weight oz,Body length in\nTST 1,4,6\n",
        "Mark,Number,Weight oz,Body length in\nTotals,,,\nTST,1,4,6\n",
    ],
)
def test_a_row_below_or_above_that_names_nothing_more_is_no_heading(tmp_path: Path, text: str) -> None:
    assert guessed(tmp_path, text, kind="cars").how.header_rows == 1


def test_headings_merged_across_and_down_are_read(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    for row in (
        ["Mark", "Number", "Weight", None, "Body length"],
        [None, None, "g", "oz", "mm"],
        ["TST", 1, 99, 3.5, 140],
    ):
        book.active.append(row)
    for area in ("A1:A2", "B1:B2", "C1:D1"):
        book.active.merge_cells(area)
    book.save(tmp_path / "r.xlsx")
    found = guess(tmp_path / "r.xlsx", Reading("r.xlsx"))
    assert columns(found) == {
        "car": ("Mark", "Number"),
        "weight_g": ("Weight g",),
        "body_length_mm": ("Body length mm",),
    }


def test_two_thousand_rows_are_guessed_within_two_seconds(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.active.append(["Mark", "Number", "Weight oz", "Body length in", "Owner", "Note"])
    for number in range(2000):
        book.active.append(["TST", number, 4.2, 6.0, "Ida", "a"])
    book.save(tmp_path / "r.xlsx")
    before = time.process_time()
    guess(tmp_path / "r.xlsx", Reading("r.xlsx"))
    assert time.process_time() - before < 2.0
