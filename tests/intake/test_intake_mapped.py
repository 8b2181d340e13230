"""An owner's own table is read through `[tables.*]`, told in the owner's words, and written back into."""

from __future__ import annotations

from pathlib import Path

import openpyxl  # type: ignore[import-untyped]
import pytest

from consist.errors import InputError
from consist.intake import check_output, read_session, record_weights, write_reordered

CARS = """Roster of the Tarn club;;;;
;;;;
Mark;Number;On scale;Length;Bought
TST;1;4 oz;40'-6";1998
TST;2;n/a;40';
Total (2);;8;;
"""
MAP = """
[tables.cars]
file = "roster.csv"
car = ["Mark", "Number"]
weight_oz = "On scale"
body_length_proto_ft = "Length"
skip = ["Total"]
"""


def mapped(folder: Path, cars: str = CARS, how: str = MAP) -> Path:
    (folder / "cars.csv").unlink()
    (folder / "roster.csv").write_text(cars, encoding="utf-8", newline="")
    with (folder / "session.toml").open("a", encoding="utf-8") as file:
        file.write(how)
    return folder


def problems(folder: Path) -> list[str]:
    with pytest.raises(InputError) as caught:
        read_session(folder)
    return [str(problem) for problem in caught.value.problems]


def test_an_owners_table_is_read_by_its_own_headings(folder: Path) -> None:
    one, two = read_session(mapped(folder)).cars
    assert (one.name, two.name) == ("TST 1", "TST 2")
    assert one.weight_g == pytest.approx(4 * 28.349523125)
    assert one.body_length_mm == pytest.approx(40.5 * 304.8 / 87.1)
    assert two.body_length_mm == pytest.approx(40 * 304.8 / 87.1)


def test_a_problem_names_the_owners_heading_and_cell(folder: Path) -> None:
    (told,) = problems(mapped(folder, CARS.replace("4 oz", "heavy")))
    assert told.startswith("roster.csv, row 4, On scale (cell C4): found 'heavy', expected a number")


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('"On scale"', '"On scales"', "found no heading 'On scales'"),
        ("weight_oz", "weight_stone", "tables, cars, weight_stone: found a column that consist does not know"),
        ("weight_oz", "header = 30\nweight_oz", "found nothing in the heading row that session.toml names"),
        ('weight_oz = "On scale"', 'weight_oz = ["On scale", "Bought"]', "only names and remarks are joined"),
        ('"Length"', '"On scale"', "found the heading 'On scale' for two columns"),
        ("[tables.cars]", "[tables.carts]", "found a table that consist does not know; did you mean 'cars'?"),
        ('car = ["Mark", "Number"]', "", "found no 'car' in its table of session.toml"),
        ('"roster.csv"', '"missing.csv"', "missing.csv: the file is missing"),
    ],
)
def test_a_map_that_does_not_fit_is_told(folder: Path, old: str, new: str, told: str) -> None:
    assert MAP.count(old) == 1
    assert any(told in line for line in problems(mapped(folder, how=MAP.replace(old, new))))


def test_a_hash_is_nothing_special_in_an_owners_table(folder: Path) -> None:
    cars = "#,Mark,Weight oz,Length in\n1,TST,4,6\n2,TST,4,6\n"
    how = '[tables.cars]\nfile = "roster.csv"\ncar = ["Mark", "#"]\nbody_length_in = "Length in"\n'
    assert [car.name for car in read_session(mapped(folder, cars, how)).cars] == ["TST 1", "TST 2"]


def test_a_table_that_the_map_replaces_is_said(folder: Path) -> None:
    mapped(folder)
    (folder / "cars.csv").write_text("car\n")
    assert any("cars.csv was not read" in note for note in read_session(folder).notes)


def test_no_output_goes_over_a_mapped_table(folder: Path) -> None:
    mapped(folder)
    with pytest.raises(InputError, match=r"roster\.csv, which this command reads"):
        check_output(folder / "roster.csv", folder)


def test_a_new_weight_goes_into_the_owners_cell_in_its_own_unit(folder: Path) -> None:
    mapped(folder)
    record_weights(folder, {"TST 1": 4.25 * 28.349523125})
    assert (folder / "roster.csv").read_text(encoding="utf-8") == CARS.replace("4 oz", "4.25 oz")


def test_a_new_weight_takes_the_place_of_a_cell_that_says_nothing(folder: Path) -> None:
    mapped(folder)
    record_weights(folder, {"TST 2": 4.5 * 28.349523125})
    assert (folder / "roster.csv").read_text(encoding="utf-8") == CARS.replace("n/a", "4.5")


def test_a_cell_that_says_nothing_beside_a_weight_is_no_second_weight(folder: Path) -> None:
    (folder / "cars.csv").write_text("car,weight_g,weight_oz,body_length_mm\nTST 1,n/a,4,150\nTST 2,,,150\n")
    record_weights(folder, {"TST 1": 5 * 28.349523125})
    assert "TST 1,n/a,5,150" in (folder / "cars.csv").read_text()


def test_a_new_weight_goes_into_the_sheet_that_was_read_and_all_else_stays(folder: Path) -> None:
    book = openpyxl.Workbook()
    book.active.title = "Notes"
    book.active["A1"] = "bought in spring"
    sheet = book.create_sheet("Rolling stock")
    for row in (["Club roster"], ["Car", "On scale", "Length"], ["TST 1", "4 oz", 40], ["TST 2", 4.2, 40]):
        sheet.append(row)
    sheet["D3"], sheet.column_dimensions["A"].width = "=B4*2", 33
    sheet["B4"].number_format = "0.00"
    book.save(folder / "roster.xlsx")
    how = MAP.replace("roster.csv", "roster.xlsx").replace('["Mark", "Number"]', '"Car"')
    mapped(folder, how=how)
    assert any("besides 'Rolling stock'" in note for note in read_session(folder).notes)
    record_weights(folder, {"TST 1": 4.25 * 28.349523125, "TST 2": 4.5 * 28.349523125})
    after = openpyxl.load_workbook(folder / "roster.xlsx")
    sheet = after["Rolling stock"]
    assert (sheet["B3"].value, sheet["B4"].value, sheet["D3"].value) == ("4.25 oz", 4.5, "=B4*2")
    assert (sheet["B4"].number_format, sheet.column_dimensions["A"].width) == ("0.00", 33)
    assert after["Notes"]["A1"].value == "bought in spring"


def test_an_owners_table_of_trains_is_written_in_a_new_order(folder: Path) -> None:
    trains = "Tonight,,,\nJob,Pos,Road,No\nMilk,1,TST,1\nMilk,2,TST,2\n"
    (folder / "jobs.csv").write_text(trains)
    how = '[tables.trains]\nfile = "jobs.csv"\ntrain = "Job"\nspot = "Pos"\ncar = ["Road", "No"]\n'
    with (folder / "session.toml").open("a", encoding="utf-8") as file:
        file.write(how)
    write_reordered(folder, {"Milk": ["TST 2", "TST 1"]}, folder / "jobs.csv")
    assert (folder / "jobs.csv").read_text() == "Tonight,,,\nJob,Pos,Road,No\nMilk,1,TST,2\nMilk,2,TST,1\n"


TWO_ROWS = """Car;;Weight;;Body
Mark;Number;as it should be;g;mm
TST;1;99;98;140
Car;;Weight;;Body
Mark;Number;as it should be;g;mm
TST;2;99;97;140
"""
TWO_ROWS_MAP = """
[tables.cars]
file = "roster.csv"
header_rows = 2
car = ["Car Mark", "Car Number"]
weight_g = "Weight g"
body_length_mm = "Body mm"
"""


def test_two_heading_rows_are_found_and_their_cells_written(folder: Path) -> None:
    mapped(folder, TWO_ROWS, TWO_ROWS_MAP)
    assert [(car.name, car.weight_g) for car in read_session(folder).cars] == [("TST 1", 98), ("TST 2", 97)]
    record_weights(folder, {"TST 2": 103.0})
    assert (folder / "roster.csv").read_text() == TWO_ROWS.replace(";97;", ";103;")
    (folder / "roster.csv").write_text(TWO_ROWS.replace("99;98", "99;heavy"))
    (told,) = problems(folder)
    assert told.startswith("roster.csv, row 3, Weight g (cell D3): found 'heavy'")


def test_heading_rows_that_are_not_there_are_told(folder: Path) -> None:
    mapped(folder, "Mark;Number\n", TWO_ROWS_MAP.replace("header_rows", "header = 1\nheader_rows"))
    assert problems(folder) == [
        "roster.csv, header: found fewer heading rows than session.toml names; correct header_rows"
    ]


def test_the_sheet_with_two_heading_rows_is_found(folder: Path) -> None:
    book = openpyxl.Workbook()
    book.active.append(["bought in spring"])
    sheet = book.create_sheet("Stock")
    for row in TWO_ROWS.splitlines():
        sheet.append(row.split(";"))
    book.save(folder / "roster.xlsx")
    mapped(folder, how=TWO_ROWS_MAP.replace("roster.csv", "roster.xlsx"))
    assert [car.name for car in read_session(folder).cars] == ["TST 1", "TST 2"]


def test_hidden_rows_and_sheets_are_said(folder: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    for row in (["car", "weight_g", "body_length_mm"], ["TST 1", 100, 150], ["TST 2", 100, 150]):
        sheet.append(row)
    sheet.row_dimensions[3].hidden = True
    book.create_sheet("Old").sheet_state = "hidden"
    (folder / "cars.csv").unlink()
    book.save(folder / "cars.xlsx")
    notes = " ".join(read_session(folder).notes)
    assert "hidden rows, which were read like the others: 3" in notes
    assert "a sheet 'Old' besides 'Sheet'" in notes


def test_a_column_without_a_name_is_left_unread(folder: Path) -> None:
    (folder / "cars.csv").write_text(",car,weight_g,body_length_mm\n0,TST 1,100,150\n1,TST 2,100,150\n")
    session = read_session(folder)
    assert len(session.cars) == 2
    assert any("a column without a name (A)" in note for note in session.notes)


def test_cars_of_two_sheets_of_a_file_are_not_half_written(folder: Path) -> None:
    book = openpyxl.Workbook()
    for name, car in (("Ours", "TST 1"), ("Theirs", "VIS 1")):
        sheet = book.create_sheet(name)
        for row in (["Car", "Weight", "Length"], [car, 4, 40]):
            sheet.append(row)
    book.save(folder / "roster.xlsx")
    one = 'file = "roster.xlsx"\ncar = "Car"\nweight_oz = "Weight"\nbody_length_proto_ft = "Length"\n'
    mapped(folder, how=f'[tables.cars]\nsheet = "Ours"\n{one}[tables.guests]\nsheet = "Theirs"\n{one}')
    before = (folder / "roster.xlsx").read_bytes()
    with pytest.raises(InputError, match=r"^roster\.xlsx: .* give those of one sheet at a time"):
        record_weights(folder, {"TST 1": 120.0, "VIS 1": 120.0})
    assert (folder / "roster.xlsx").read_bytes() == before
    assert not list(folder.glob("*.bak*"))
    record_weights(folder, {"VIS 1": 120.0})
    assert openpyxl.load_workbook(folder / "roster.xlsx")["Theirs"]["B2"].value == pytest.approx(4.233)
