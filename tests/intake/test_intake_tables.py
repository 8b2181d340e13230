"""Tables in the ways that spreadsheets write them."""

from __future__ import annotations

import datetime
from pathlib import Path

import openpyxl  # type: ignore[import-untyped]
import pytest

from consist.errors import InputError
from consist.intake import read_cars
from consist.intake.fields import Bounds
from consist.intake.files import Reading
from consist.intake.rows import parse_number
from consist.intake.tables import read_table

PLAIN = "car,kind,weight_oz,body_length_in\nTST 1,boxcar,4,6\nTST 2,reefer,3.5,5.5\n"


def cars_of(path: Path, content: bytes) -> list[tuple[object, ...]]:
    path.write_bytes(content)
    asked = ("kind", "weight_g", "body_length_mm")
    return [(row.name, row.row, *map(row.values.get, asked)) for row in read_cars(path)]


def expected(first_row: int = 2) -> list[tuple[object, ...]]:
    # One ounce avoirdupois is 28.349523125 g, one inch 25.4 mm, both by definition.
    one = ("TST 1", first_row, "boxcar", pytest.approx(113.3980925), pytest.approx(152.4))
    two = ("TST 2", first_row + 1, "reefer", pytest.approx(99.2233309375), pytest.approx(139.7))
    return [one, two]


@pytest.mark.parametrize(
    ("content", "first_row"),
    [
        pytest.param(PLAIN.encode(), 2, id="plain"),
        pytest.param(b"\xef\xbb\xbf" + PLAIN.encode(), 2, id="byte-order mark"),
        pytest.param(PLAIN.encode("utf-16"), 2, id="utf-16"),
        pytest.param(PLAIN.replace("\n", "\r\n").encode(), 2, id="crlf"),
        pytest.param(PLAIN.replace("\n", "\r").encode(), 2, id="cr"),
        pytest.param(PLAIN.rstrip().encode(), 2, id="no last line end"),
        pytest.param(PLAIN.replace("car,kind", "Car,kind").replace(",", " , ").encode(), 2, id="blanks and case"),
        pytest.param(PLAIN.replace("weight_oz", "WEIGHT oz").encode(), 2, id="blank in a header"),
        pytest.param(PLAIN.replace(",", ";").replace(".", ",").encode(), 2, id="semicolons, decimal commas"),
        pytest.param(PLAIN.replace(",", ";").encode(), 2, id="semicolons, decimal points"),
        pytest.param(PLAIN.replace(",", "\t").encode(), 2, id="tabs"),
        pytest.param(b"sep=;\n" + PLAIN.replace(",", ";").encode(), 3, id="sep line"),
        pytest.param((PLAIN + ",,,\n\n,,,\n").encode(), 2, id="empty trailing rows"),
        pytest.param(PLAIN.replace("\n", ",,\n").encode(), 2, id="empty trailing columns"),
        pytest.param(b"# one, two\n\n#;;\n" + PLAIN.encode(), 5, id="comments and blank lines"),
        pytest.param(b'"# one, ""two""",,,\n' + PLAIN.encode(), 3, id="comment quoted by a spreadsheet"),
        pytest.param(b'# 5" wheels\n' + PLAIN.encode(), 3, id="comment with a quote"),
    ],
)
def test_oddities_are_read(tmp_path: Path, content: bytes, first_row: int) -> None:
    assert cars_of(tmp_path / "cars.csv", content) == expected(first_row)


@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
def test_a_name_may_begin_with_the_sign_of_a_comment(tmp_path: Path, ending: str) -> None:
    """No row is dropped without a word; `#` is a comment's where it stands alone or before a blank."""
    rows = [
        ["# ours"],
        ["car", "body_length_mm"],
        ["#", "not read"],
        ["#7", "150"],
        ["# not read", "150"],
        ["#8", "150"],
    ]
    path = tmp_path / f"cars{ending}"
    if ending == ".csv":
        path.write_text("".join(",".join(row) + "\n" for row in rows), encoding="utf-8")
    else:
        book = openpyxl.Workbook()
        for row in rows:
            book.worksheets[0].append(row)
        book.save(path)
    reading = Reading(path.name)
    assert [(row.number, row.cells["car"]) for row in read_table(path, reading).rows] == [(4, "#7"), (6, "#8")]
    assert reading.problems == []


def test_a_workbook_gives_the_same(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.append(["car", "kind", "weight_oz", "body_length_in"])
    sheet.append(["TST 1", "boxcar", 4, 6.0])
    sheet.append([" TST 2", "reefer", 3.5, "5.5"])
    sheet.append([None, "", None, " "])
    book.create_sheet("scratch").append(["not read"])
    book.save(tmp_path / "cars.xlsx")
    assert cars_of(tmp_path / "cars.xlsx", (tmp_path / "cars.xlsx").read_bytes()) == expected()


def test_rows_of_a_workbook_keep_their_numbers_and_names_their_form(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    for row, cells in {3: ("car", "body_length_mm"), 5: (31.0, 150), 6: ("031", 150), 7: ("NA", 150)}.items():
        sheet.cell(row, 2, cells[0])
        sheet.cell(row, 3, cells[1])
    book.save(tmp_path / "cars.xlsx")
    assert [(car.name, car.row) for car in read_cars(tmp_path / "cars.xlsx")] == [("31", 5), ("031", 6), ("NA", 7)]


def test_names_that_look_like_nothing_survive(tmp_path: Path) -> None:
    names = ["NA", "None", "null", "NaN", "007", "1e5", "True", "n/a"]
    rows = "".join(f"{name},150\n" for name in names)
    path = tmp_path / "cars.csv"
    path.write_text("car,body_length_mm\n" + rows)
    assert [car.name for car in read_cars(path)] == names


def test_a_quoted_cell_may_hold_the_delimiter_and_line_ends(tmp_path: Path) -> None:
    path = tmp_path / "cars.csv"
    path.write_text('car,note,body_length_mm\nA,"long, low\nand red",150\nB,5" high,150\n')
    cars = read_cars(path)
    assert [(car.values["note"], car.row) for car in cars] == [("long, low and red", 2), ('5" high', 3)]


def test_units_may_be_mixed_row_by_row_but_not_in_a_row(tmp_path: Path) -> None:
    path = tmp_path / "cars.csv"
    path.write_text("car,body_length_mm,body_length_in\nA,150,\nB,,6\n")
    assert [car.values["body_length_mm"] for car in read_cars(path)] == [150.0, pytest.approx(152.4)]
    path.write_text("car,body_length_mm,body_length_in\nA,150,\nB,152.4,6\n")
    with pytest.raises(InputError) as caught:
        read_cars(path)
    (problem,) = caught.value.problems
    assert problem.place == "row 3, body_length_mm and body_length_in"
    assert "clear one of the two cells" in problem.text


def test_windows_text_is_read(tmp_path: Path) -> None:
    path = tmp_path / "cars.csv"
    path.write_bytes("car,body_length_mm\nMÜL 1,150\n".encode("cp1252"))
    assert read_cars(path)[0].name == "MÜL 1"


@pytest.mark.parametrize(
    ("name", "content", "line"),
    [
        ("cars.csv", b"", "the file is empty"),
        ("cars.csv", b" \r\n ", "the file is empty"),
        ("cars.csv", b",,,\n# only this\n", "found no header row"),
        ("cars.csv", b"\xef\xbb\xbf", "found no header row"),
        ("cars.csv", b"car,body_length_mm\nA\x00,150\n", "bytes that are not text"),
        ("cars.csv", b"car,body_length_mm\n\x1b[31mA,150\n", "bytes that are not text"),
        ("cars.csv", b"\x89PNG\r\n\x1a\n\x00\x00", "bytes that are not text"),
        ("cars.csv", b"PK\x03\x04rest", "rename it to end in .xlsx"),
        ("cars.csv", b'car,note\nA,"open\nB,x\n', "double quote"),
        ("cars.xlsx", b"PK\x03\x04rest", "the workbook cannot be opened"),
        ("cars.xlsx", b"car,kind\n", "found text under the name of a workbook; rename it to end in .csv"),
        (
            "cars.xlsx",
            b"PK\x03\x04" + b" " * 26 + b"mimetypeapplication/vnd.oasis.opendocument.spreadsheet",
            "the workbook cannot be opened",
        ),
        (
            "cars.csv",
            b"PK\x03\x04" + b" " * 26 + b"mimetypeapplication/vnd.oasis.opendocument.spreadsheet",
            "rename it to end in .ods",
        ),
        ("cars.xlsx", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(500), "without a password"),
        ("cars.csv", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(500), "rename it to end in .xls"),
        ("cars.pdf", b"x", "expected a .csv, .xlsx, .ods or .xls file"),
    ],
)
def test_what_is_no_table_is_one_clear_line(tmp_path: Path, name: str, content: bytes, line: str) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(InputError) as caught:
        read_cars(path)
    (problem,) = caught.value.problems
    assert problem.file == name
    assert line in str(problem)


def test_a_missing_table_and_a_folder(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="the file is missing"):
        read_cars(tmp_path / "cars.csv")
    (tmp_path / "cars.csv").mkdir()
    with pytest.raises(InputError, match="found a folder"):
        read_cars(tmp_path / "cars.csv")


def test_long_and_strange_text_is_shown_short_and_safe(tmp_path: Path) -> None:
    path = tmp_path / "cars.csv"
    path.write_text("car,weight_g,body_length_mm\nA," + "\u202e9" * 500 + ",150\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_cars(path)
    line = str(caught.value)
    assert "\\u202e" in line
    assert line.isprintable()
    assert len(line) < 500


@pytest.mark.parametrize("text", ["", "nan", "inf", "1_000", "١", "1e", "0x10", "1 000", "--1", "1.2.3", "½"])
def test_what_is_no_number(text: str) -> None:
    assert parse_number(text) is None
    assert parse_number(text, decimal_comma=True) is None


@pytest.mark.parametrize(("text", "value"), [("1", 1.0), ("+1.5", 1.5), (".5", 0.5), ("5.", 5.0), ("-2e-1", -0.2)])
def test_what_is_a_number(text: str, value: float) -> None:
    assert parse_number(text) == value


def test_bounds_hold_at_their_ends() -> None:
    grip = Bounds(0, 1, above=True)
    assert [grip.hold(value) for value in (0, 1e-9, 1, 1.0000001, float("nan"))] == [False, True, True, False, False]
    reserve = Bounds(0, 1, below=True)
    assert [reserve.hold(value) for value in (-1e-9, 0, 0.999, 1)] == [False, True, True, False]


def test_a_date_in_a_number_column_is_a_problem(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.append(["car", "weight_g", "body_length_mm"])
    sheet.append(["A", datetime.date(2024, 5, 1), 150])
    book.save(tmp_path / "cars.xlsx")
    with pytest.raises(InputError, match=r"row 2, weight_g: found '2024-05-01"):
        read_cars(tmp_path / "cars.xlsx")


def test_a_number_shown_as_a_date_that_no_calendar_has_is_a_problem_and_no_warning(
    tmp_path: Path, recwarn: pytest.WarningsRecorder
) -> None:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    for row in (["car", "weight_g", "body_length_mm"], ["A", 1e20, 150]):
        sheet.append(row)
    sheet["B2"].number_format = "hh:mm"
    book.save(tmp_path / "cars.xlsx")
    with pytest.raises(InputError, match=r"row 2, weight_g: found '#VALUE!', an error in cell B2"):
        read_cars(tmp_path / "cars.xlsx")
    assert not recwarn.list
