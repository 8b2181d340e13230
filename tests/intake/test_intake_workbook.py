"""Cells of a workbook are read as a spreadsheet program shows them, or told with their own address."""

from __future__ import annotations

import datetime
import io
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl  # type: ignore[import-untyped]
import pytest
from openpyxl.cell.rich_text import CellRichText, TextBlock  # type: ignore[import-untyped]
from openpyxl.cell.text import InlineFont  # type: ignore[import-untyped]

from consist.errors import InputError
from consist.intake import read_cars
from consist.intake.files import Reading
from consist.intake.rows import Given, read_rows
from consist.intake.trains import read_train_rows

HEADER = ["car", "weight_g", "body_length_mm", "rolls_at_percent", "note"]


def saved(path: Path, rows: list[list[Any]], then: Callable[[Any], None] = lambda sheet: None) -> Path:
    book = openpyxl.Workbook()
    for row in rows:
        book.worksheets[0].append(row)
    then(book.worksheets[0])
    book.save(path)
    return path


def a_car(folder: Path, column: str, value: object, shown_as: str = "") -> Given:
    """The one car of a workbook with a value in one column."""
    cells = {"car": "TST 1", "body_length_mm": 150, column: value}

    def shown(sheet: Any) -> None:
        if shown_as:
            sheet.cell(2, HEADER.index(column) + 1).number_format = shown_as

    (car,) = read_cars(saved(folder / "cars.xlsx", [HEADER, [cells.get(name) for name in HEADER]], shown))
    return car


@pytest.mark.parametrize(
    ("stored", "shown_as"), [(0.015, "0.0%"), (0.015, "0%"), (0.015, "0.00 %"), (1.5, '0.0" %"')]
)
def test_a_percentage_is_read_as_it_is_shown(tmp_path: Path, stored: float, shown_as: str) -> None:
    car = a_car(tmp_path, "rolls_at_percent", stored, shown_as)
    assert car.values["rolls_at_percent"] == pytest.approx(1.5, rel=1e-12)


def test_a_percentage_is_read_in_text_too_and_is_a_share_where_one_is_meant(tmp_path: Path) -> None:
    path = tmp_path / "engines.csv"
    path.write_text("engine,grip,weight_g\nA,22 %,400\n")
    (engine,) = read_rows(path, Reading(path.name), "engines")
    assert engine.values["grip"] == pytest.approx(0.22)
    path = tmp_path / "cars.csv"
    path.write_text("car,rolls_at_percent,body_length_mm\nA,1.50%,150\n")
    (car,) = read_cars(path)
    assert car.values["rolls_at_percent"] == pytest.approx(1.5)


def test_a_weight_is_no_percentage(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="row 2, weight_g: found '5000%', expected a number"):
        a_car(tmp_path, "weight_g", 50, "0%")


@pytest.mark.parametrize(
    ("value", "shown_as"),
    [
        (1500, "#,##0"),
        (1500, '"$"#,##0.00'),
        (1500, "0.00E+00"),
        ("1500", "@"),
        (1500.0, "General"),
        (1500, '[Red]0" %"'),
    ],
)
def test_a_number_is_read_whatever_it_is_dressed_in(tmp_path: Path, value: object, shown_as: str) -> None:
    assert a_car(tmp_path, "weight_g", value, shown_as).values["weight_g"] == 1500.0


def test_text_in_several_looks_is_text(tmp_path: Path) -> None:
    text = CellRichText("TST ", TextBlock(InlineFont(b=True), "1"))
    assert a_car(tmp_path, "car", text).name == "TST 1"


@pytest.mark.parametrize(
    ("column", "value", "told"),
    [
        (
            "weight_g",
            "=100+13",
            r"row 2, weight_g: found a formula in cell B2 that was never worked out, .*save it again",
        ),
        (
            "car",
            '="TST"&1',
            r"row 2, car: found a formula in cell A2 that was never worked out, expected the car's name",
        ),
        ("note", "=B2", r"row 2, note: found a formula in cell E2 that was never worked out"),
        ("car", datetime.date(2026, 3, 4), r"row 2, car: found '2026-03-04', a date in cell A2, .*as text"),
        ("weight_g", datetime.date(2026, 3, 4), r"row 2, weight_g: found '2026-03-04', a date in cell B2"),
        ("weight_g", datetime.time(10, 40), r"row 2, weight_g: found '10:40', a time in cell B2"),
        ("weight_g", "#REF!", r"row 2, weight_g: found '#REF!', an error in cell B2"),
        ("car", "#N/A", r"row 2, car: found '#N/A', an error in cell A2"),
        ("weight_g", True, r"row 2, weight_g: found 'True', expected a number"),
    ],
)
def test_what_no_name_or_number_may_be_is_told_with_its_cell(
    tmp_path: Path, column: str, value: object, told: str
) -> None:
    with pytest.raises(InputError, match=told) as caught:
        a_car(tmp_path, column, value)
    assert len(caught.value.problems) == 1


def test_a_row_of_formulas_alone_is_not_dropped(tmp_path: Path) -> None:
    path = saved(tmp_path / "cars.xlsx", [HEADER, ["TST 1", None, 150], [None, "=B2"]])
    with pytest.raises(InputError, match="row 3, weight_g: found a formula in cell B3"):
        read_cars(path)


def test_a_date_in_a_remark_is_the_owners_business(tmp_path: Path) -> None:
    assert a_car(tmp_path, "note", datetime.date(2026, 3, 4)).values["note"] == "2026-03-04"


def test_merged_cells_are_read_as_they_are_shown(tmp_path: Path) -> None:
    """One name over the cars of a train, past its last row; and a title over all columns."""
    rows: list[list[Any]] = [
        ["# our trains"],
        ["train", "spot", "car"],
        ["Milk", 1, "A"],
        [None, 2, "B"],
        [None, None, None],
        ["Ore", 1, "C"],
        [None, 2, "D"],
    ]

    def merged(sheet: Any) -> None:
        for area in ("A1:C1", "A3:A5", "A6:A7"):
            sheet.merge_cells(area)

    path = saved(tmp_path / "trains.xlsx", rows, merged)
    reading = Reading(path.name)
    read = read_train_rows(path, reading)
    assert reading.problems == []
    assert [(row.train, row.spot, row.car) for row in read] == [
        ("Milk", 1, "A"), ("Milk", 2, "B"), ("Ore", 1, "C"), ("Ore", 2, "D")
    ]  # fmt: skip


def test_a_cell_in_the_last_row_is_read_soon(tmp_path: Path) -> None:
    path = saved(
        tmp_path / "cars.xlsx", [HEADER, ["TST 1", None, 150]], lambda sheet: sheet.cell(1_048_576, 1, "stray")
    )
    with pytest.raises(InputError, match="look for a stray cell far down") as caught:
        read_cars(path)
    assert len(caught.value.problems) == 1


def test_a_workbook_that_unpacks_to_very_much_is_not_unpacked(tmp_path: Path) -> None:
    small = io.BytesIO(saved(tmp_path / "cars.xlsx", [HEADER, ["TST 1", None, 150]]).read_bytes())
    with zipfile.ZipFile(small, "a", zipfile.ZIP_DEFLATED) as parts:
        parts.writestr("xl/sharedStrings2.xml", b" " * 50_000_000)
    (tmp_path / "cars.xlsx").write_bytes(small.getvalue())
    with pytest.raises(InputError, match="too wide and long"):
        read_cars(tmp_path / "cars.xlsx")
