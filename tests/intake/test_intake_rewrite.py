"""A trains table written again: cars in other spots, and every other byte or cell as it was."""

from __future__ import annotations

import csv
import datetime
import io
import re
import zipfile
from collections.abc import Callable
from pathlib import Path

import openpyxl  # type: ignore[import-untyped]
import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.cell.rich_text import CellRichText, TextBlock  # type: ignore[import-untyped]
from openpyxl.cell.text import InlineFont  # type: ignore[import-untyped]
from openpyxl.styles import PatternFill  # type: ignore[import-untyped]

from consist.errors import InputError
from consist.intake import check_table_name, read_session, trains_table, write_reordered
from consist.intake.csv_text import records_of
from consist.intake.files import Reading
from consist.intake.owners_table import OwnersTable, reordered_workbook, rows_in_workbook, with_cells, workbook_of

__all__: list[str] = []

# Rows of two trains in turn, comments, a blank row, a cell over two lines, a column of the user's own, odd spots.
TABLE = (
    "# Milk, and the others\n"
    "train,spot,car,hold,my notes\n"
    'Milk,1,TST 1,,"=1+1, ""first"""\n'
    "Other,2,TST 2,rear,@home\n"
    "\n"
    'Milk,5,"TST 3",,"two\nlines"\n'
    "# between\n"
    "Other,1, TST 1 ,,-3\n"
    "Milk,7,TST 2\n"
)
MOVED = (
    "# Milk, and the others\n"
    "train,spot,car,hold,my notes\n"
    "Milk,1,TST 2\n"
    "Other,2,TST 2,rear,@home\n"
    "\n"
    'Milk,5,TST 1,,"=1+1, ""first"""\n'
    "# between\n"
    "Other,1, TST 1 ,,-3\n"
    'Milk,7,"TST 3",,"two\nlines"\n'
)
NEW_ORDER = {"Milk": ("TST 2", "TST 1", "TST 3")}
WRITTEN_AS: list[Callable[[str], bytes]] = [
    lambda text: text.encode(),
    lambda text: b"\xef\xbb\xbf" + text.encode(),
    lambda text: text.replace("\n", "\r\n").encode(),
    lambda text: text.replace("\n", "\r").encode(),
    lambda text: text.replace("Milk", "Mjölk").encode("cp1252"),
    lambda text: b"\xff\xfe" + text.encode("utf-16-le"),
    lambda text: b"\xfe\xff" + text.encode("utf-16-be"),
    lambda text: text.replace("first", "fi\u2029rst").encode(),
    lambda text: ("sep=;\n" + text.replace(",", ";")).encode(),
    lambda text: text.replace(",", "\t").encode(),
    lambda text: text.removesuffix("\n").encode(),
]


@pytest.fixture
def session(folder: Path) -> Path:
    """The good session with a third car and a second train."""
    with open(folder / "cars.csv", "a", encoding="utf-8") as cars:
        cars.write("TST 3,boxcar,100,150,,,,\n")
    with open(folder / "session.toml", "a", encoding="utf-8") as head:
        head.write('\n[[train]]\nname = "Other"\nroute = ["Skerry Yard", "Tarn End"]\n')
    (folder / "trains.csv").write_text(TABLE, encoding="utf-8", newline="")
    return folder


def standing(session: Path) -> dict[str, list[tuple[int, str, str | None]]]:
    """By train the spot, car and hold of each row, as a session is read."""
    return {
        train.name: [(row.spot, row.car, row.hold) for row in train.rows] for train in read_session(session).trains
    }


AFTER = {
    "Milk": [(1, "TST 2", None), (5, "TST 1", None), (7, "TST 3", None)],
    "Other": [(1, "TST 1", None), (2, "TST 2", "rear")],
}


@pytest.mark.parametrize("written", WRITTEN_AS)
def test_only_the_moved_rows_change_whatever_the_file_is_like(session: Path, written: Callable[[str], bytes]) -> None:
    (session / "trains.csv").write_bytes(written(TABLE))
    orders = {"Mjölk" if "Mj" in written("Milk").decode("latin-1") else "Milk": NEW_ORDER["Milk"]}
    write_reordered(session, orders, session / "trains.csv")
    assert (session / "trains.csv").read_bytes() == written(MOVED)


def test_a_table_without_its_last_line_end_keeps_that_too(session: Path) -> None:
    (session / "trains.csv").write_bytes(TABLE.removesuffix("\n").encode())
    write_reordered(session, NEW_ORDER, session / "trains.csv")
    assert (session / "trains.csv").read_bytes() == MOVED.removesuffix("\n").encode()


def test_the_session_reads_back_in_the_new_order(session: Path) -> None:
    write_reordered(session / "session.toml", NEW_ORDER, session / "trains.csv")
    assert standing(session) == AFTER


def test_rows_out_of_spot_order_come_to_stand_in_it(session: Path) -> None:
    rows = "train,spot,car\nMilk,3,TST 3\nMilk,1.0,TST 1\nMilk,2,TST 2\n"
    (session / "trains.csv").write_text(rows)
    write_reordered(session, NEW_ORDER, session / "new.csv")
    assert (session / "new.csv").read_text() == "train,spot,car\nMilk,1.0,TST 2\nMilk,2,TST 1\nMilk,3,TST 3\n"


@pytest.mark.parametrize("orders", [{}, {"Milk": ("TST 1", "TST 3", "TST 2")}])
def test_a_train_in_its_own_order_keeps_its_bytes(session: Path, orders: dict[str, tuple[str, ...]]) -> None:
    write_reordered(session, orders, session / "new.csv")
    assert (session / "new.csv").read_text() == TABLE


@given(
    st.lists(st.sampled_from(['"', '""', ",", "a", "\n", "\r\n", "\r", "#", " ", "sep="]), max_size=30).map("".join)
)
def test_records_put_together_are_the_text(text: str) -> None:
    assert "".join(",".join(cells) + end for cells, end in records_of(text, ",")) == text


def test_a_workbook_made_of_it_holds_text_as_text(session: Path) -> None:
    write_reordered(session, NEW_ORDER, session / "new.xlsx")
    sheet = openpyxl.load_workbook(session / "new.xlsx").worksheets[0]
    cells = {cell.value: cell.data_type for row in sheet.iter_rows() for cell in row if cell.value is not None}
    assert cells['=1+1, "first"'] == cells["@home"] == cells["-3"] == cells["two\nlines"] == "s"
    assert cells[5] == "n"
    assert "# Milk, and the others" in cells
    (session / "trains.csv").unlink()
    (session / "new.xlsx").rename(session / "trains.xlsx")
    assert standing(session) == AFTER


def test_a_line_that_names_the_delimiter_is_not_carried_into_a_workbook(session: Path) -> None:
    (session / "trains.csv").write_text("sep=;\n" + TABLE.replace(",", ";"))
    write_reordered(session, NEW_ORDER, session / "new.xlsx")
    assert openpyxl.load_workbook(session / "new.xlsx").worksheets[0]["A1"].value == "# Milk; and the others"


@pytest.fixture
def book(session: Path) -> Path:
    """The same trains in a workbook with looks, a formula, a note and a second sheet."""
    (session / "trains.csv").unlink()
    made = openpyxl.Workbook()
    sheet = made.worksheets[0]
    rows = [("Milk", 1, "TST 1", 10), ("Other", 1, "TST 1", 0), ("Milk", 2, "TST 2", 20), ("Milk", 3, "TST 3", 30)]
    sheet.append(["train", "spot", "car", "given", "twice", "=said"])
    sheet["F1"].data_type = "s"
    for number, row in enumerate(rows, start=2):
        sheet.append([*row, f"=2*D{number}"])
    sheet["C4"].fill = PatternFill("solid", fgColor="FFFF00")
    made.create_sheet("scratch").append(["kept", 1])
    made.save(session / "trains.xlsx")
    return session / "trains.xlsx"


def test_a_workbook_keeps_looks_formulas_and_sheets(session: Path, book: Path) -> None:
    write_reordered(session, NEW_ORDER, book)
    made = openpyxl.load_workbook(book)
    sheet = made.worksheets[0]
    assert [[cell.value for cell in row] for row in sheet.iter_rows(min_row=2, max_col=5)] == [
        ["Milk", 1, "TST 2", 20, "=2*D2"],
        ["Other", 1, "TST 1", 0, "=2*D3"],
        ["Milk", 2, "TST 1", 10, "=2*D4"],
        ["Milk", 3, "TST 3", 30, "=2*D5"],
    ]
    assert (sheet["F1"].value, sheet["F1"].data_type) == ("=said", "s")
    assert sheet["C2"].fill.fgColor.rgb == "00FFFF00"
    assert sheet["C4"].fill.fill_type is None
    assert made.worksheets[1]["A1"].value == "kept"
    assert [car for _, car, _ in standing(session)["Milk"]] == list(NEW_ORDER["Milk"])


def test_a_workbook_written_as_csv_reads_the_same(session: Path, book: Path) -> None:
    write_reordered(session, NEW_ORDER, session / "trains.csv")
    book.unlink()
    assert [car for _, car, _ in standing(session)["Milk"]] == list(NEW_ORDER["Milk"])
    assert [car for _, car, _ in standing(session)["Other"]] == ["TST 1"]


def test_merged_cells_in_a_moved_row_are_refused(session: Path, book: Path) -> None:
    made = openpyxl.load_workbook(book)
    made.worksheets[0].merge_cells("G4:G5")
    made.save(book)
    before = book.read_bytes()
    with pytest.raises(InputError, match="merged"):
        write_reordered(session, NEW_ORDER, book)
    assert book.read_bytes() == before


@pytest.mark.parametrize("name", ["new.csv", "new.xlsx"])
def test_the_same_table_gives_the_same_bytes(session: Path, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    write_reordered(session, NEW_ORDER, session / name)
    first = (session / name).read_bytes()
    monkeypatch.setattr("time.localtime", lambda *_: (2001, 2, 3, 4, 5, 6, 0, 1, 0))
    write_reordered(session, NEW_ORDER, session / name)
    assert (session / name).read_bytes() == first
    if name.endswith(".xlsx"):
        told = zipfile.ZipFile(io.BytesIO(first)).read("docProps/core.xml")
        assert b"modified" not in told
        assert b"created" not in told


@pytest.mark.parametrize("name", ["new.ods", "new", "new.csv.bak"])
def test_another_kind_of_file_is_refused_with_the_two_that_can_be_written(tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError, match=rf"{re.escape(name)}: found .* expected \.csv or \.xlsx"):
        check_table_name(tmp_path / name)


@pytest.mark.parametrize(
    "spoiled",
    [TABLE.replace("TST 3", "TST 4"), TABLE.replace("Milk,5", "Milk,x"), TABLE.replace(",car,", ",wagon,"), ""],
)
def test_a_table_that_has_changed_meanwhile_is_left_alone(session: Path, spoiled: str) -> None:
    (session / "trains.csv").write_text(spoiled)
    with pytest.raises(InputError):
        write_reordered(session, NEW_ORDER, session / "trains.csv")
    assert (session / "trains.csv").read_text() == spoiled
    assert not list(session.glob(".*"))


def test_a_workbook_keeps_links_and_letters_of_several_kinds(session: Path, book: Path) -> None:
    made = openpyxl.load_workbook(book)
    sheet = made.worksheets[0]
    sheet["F2"] = CellRichText("half ", TextBlock(InlineFont(b=True), "bold"))
    sheet["C2"].hyperlink = "https://example.org/tst-1"
    made.save(book)
    write_reordered(session, NEW_ORDER, book)
    read = openpyxl.load_workbook(book, rich_text=True).worksheets[0]
    assert [str(part) for part in read["F4"].value] == ["half ", "bold"]
    assert isinstance(read["F4"].value, CellRichText)
    assert read["F4"].value[1].font.b is True
    assert (read["C4"].value, read["C4"].hyperlink.target, read["C4"].hyperlink.ref) == (
        "TST 1",
        "https://example.org/tst-1",
        "C4",
    )
    assert read["C2"].hyperlink is None


def test_what_a_spreadsheet_would_work_out_is_text_in_a_csv_file(session: Path, book: Path) -> None:
    """In the owner's own columns; a cell that is read stays what it is."""
    made = openpyxl.load_workbook(book)
    sheet = made.worksheets[0]
    sheet["G1"], sheet["H1"] = "remark", "block"
    for cell, text in (("G2", "=cmd()"), ("H2", "-7"), ("G3", "-3"), ("G4", "@home")):
        sheet[cell].value = text
        sheet[cell].data_type = "s"
    made.save(book)
    write_reordered(session, NEW_ORDER, session / "trains.csv")
    rows = {tuple(row[:3]): row for row in csv.reader((session / "trains.csv").read_text().splitlines())}
    assert rows["Milk", "2", "TST 1"][6:] == ["'=cmd()", "-7"]
    assert rows["Other", "1", "TST 1"][6] == "-3"
    assert rows["Milk", "1", "TST 2"][6] == "'@home"


def test_the_cure_for_merged_cells_is_told(session: Path, book: Path) -> None:
    made = openpyxl.load_workbook(book)
    made.worksheets[0].merge_cells("G4:G5")
    made.save(book)
    wanted = "found merged cells in a row that is to move; unmerge them, or write to a .csv file"
    with pytest.raises(InputError) as raised:
        write_reordered(session, NEW_ORDER, book)
    assert str(raised.value) == f"trains.xlsx: {wanted}"


def test_what_changed_in_other_trains_since_the_orders_were_made_is_kept(session: Path) -> None:
    read = trains_table(session)
    table = session / "trains.csv"
    table.write_text(table.read_text().replace("Other,1, TST 1 ,,-3", "Other,1, TST 1 ,,mine"))
    write_reordered(session, NEW_ORDER, table, read)
    assert "Other,1, TST 1 ,,mine" in table.read_text()
    assert [car for _, car, _ in standing(session)["Milk"]] == list(NEW_ORDER["Milk"])
    table.write_text(table.read_text().replace("TST 3", "TST 2").replace("Milk,1,TST 2", "Milk,1,TST 3", 1))
    before = table.read_bytes()
    with pytest.raises(InputError, match="the table has changed since it was read; run the command again"):
        write_reordered(session, {"Milk": ("TST 1", "TST 2", "TST 3")}, table, read)
    assert table.read_bytes() == before


def test_where_no_table_of_trains_is_its_usual_name_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"^trains\.csv: "):
        trains_table(tmp_path)


def _rows(*merged: str) -> bytes:
    made = openpyxl.Workbook()
    sheet = made.worksheets[0]
    for row in range(1, 8):
        sheet.append([f"row {row}", row])
    sheet["A6"] = CellRichText("half ", TextBlock(InlineFont(b=True), "bold"))
    for area in merged:
        sheet.merge_cells(area)
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def _read(content: bytes) -> list[list[object]]:
    book = openpyxl.load_workbook(io.BytesIO(content), rich_text=True)
    return [[cell.value for cell in row] for row in book.worksheets[0].rows]


def test_rows_that_take_others_places_keep_letters_of_several_kinds() -> None:
    rows = _read(rows_in_workbook(_rows(), "Sheet", {4: 6, 6: 4, 8: None}, {(8, 1): "=new", (8, 2): 3}))
    assert isinstance(rows[3][0], CellRichText)
    assert [str(part) for part in rows[3][0]] == ["half ", "bold"]
    assert rows[5] == ["row 4", 4]
    assert rows[7] == ["=new", 3]
    kept = openpyxl.load_workbook(io.BytesIO(rows_in_workbook(_rows(), "Sheet", {8: None}, {(8, 1): "=new"})))
    assert kept["Sheet"]["A8"].data_type == "s"


def test_only_merged_cells_in_rows_that_change_are_in_the_way() -> None:
    for area in ("A1:B1", "A2:A3", "C7:D7"):
        assert _read(rows_in_workbook(_rows(area), "Sheet", {4: 6, 6: 4}, {}))[3][1] == 6
    for area in ("A4:B4", "A3:A4", "B4:B5", "C5:D6"):
        with pytest.raises(ValueError, match="merged"):
            rows_in_workbook(_rows(area), "Sheet", {4: 6, 6: 4}, {})


def test_rows_that_change_places_may_be_merged_nowhere() -> None:
    swapped = {4: (6, 4), 6: (4, 6)}
    for area in ("A1:B1", "A2:A3", "C7:D7"):
        assert [row[1] for row in _read(reordered_workbook(_rows(area), "Sheet", None, swapped))][3:6] == [6, 5, 4]
    for area in ("A4:B4", "B3:B4", "B4:B5", "B6:B7", "C5:D6"):
        with pytest.raises(ValueError, match="merged"):
            reordered_workbook(_rows(area), "Sheet", None, swapped)


def test_a_workbook_of_rows_is_called_what_they_are() -> None:
    made = openpyxl.load_workbook(io.BytesIO(workbook_of([["a", 1], ["=b", 2.5]])))
    assert made.sheetnames == ["trains"]
    assert [[cell.data_type for cell in row] for row in made["trains"].rows] == [["s", "n"], ["s", "n"]]


def test_a_csv_table_whose_map_names_a_sheet_goes_into_a_workbook(session: Path) -> None:
    """A sheet that the table had before it was saved as CSV is no fault of the new file."""
    with (session / "session.toml").open("a") as file:
        file.write('\n[tables.trains]\nsheet = "Tonight"\ntrain = "train"\nspot = "spot"\ncar = "car"\n')
    (session / "trains.csv").write_text("train,spot,car\nMilk,1,TST 1\nMilk,2,TST 2\nMilk,3,TST 3\nOther,1,TST 1\n")
    write_reordered(session, NEW_ORDER, session / "new.xlsx")
    made = openpyxl.load_workbook(session / "new.xlsx").worksheets[0]
    assert [row[2].value for row in made.rows][1:4] == list(NEW_ORDER["Milk"])


def test_figures_of_the_owners_own_are_no_formulas_in_a_csv_file(session: Path, book: Path) -> None:
    made = openpyxl.load_workbook(book)
    for row, said in ((2, "-1,5"), (3, "-1.5"), (4, "-x"), (5, "+2")):
        made.worksheets[0].cell(row, 4, said).data_type = "s"
    made.save(book)
    write_reordered(session, {"Milk": ("TST 1", "TST 2", "TST 3")}, session / "new.csv")
    with (session / "new.csv").open(newline="") as file:
        told = [row[3] for row in csv.reader(file)][1:]
    assert told == ["-1,5", "-1.5", "'-x", "+2"]


def test_when_a_workbook_was_made_is_kept_and_when_it_was_saved_is_not() -> None:
    made = openpyxl.Workbook()
    made.properties.created = datetime.datetime(2019, 5, 4)
    for row in (["a", 1], ["b", 2], ["c", 3]):
        made.active.append(row)
    out = io.BytesIO()
    made.save(out)
    before = out.getvalue()
    for after in (
        reordered_workbook(before, "Sheet", None, {2: (3, 2), 3: (2, 3)}),
        rows_in_workbook(before, "Sheet", {2: 3, 3: 2}, {}),
        with_cells(before, "Sheet", {(1, 2): 5.0}),
    ):
        told = zipfile.ZipFile(io.BytesIO(after)).read("docProps/core.xml")
        assert b"2019-05-04" in told
        assert b"modified" not in told


def test_text_that_looks_like_a_formula_moves_as_it_is() -> None:
    made = openpyxl.Workbook()
    for row in (["=B1", 1], ["=B2", 2]):
        made.active.append(row)
    made.active["A1"].data_type = "s"
    out = io.BytesIO()
    made.save(out)
    moved = openpyxl.load_workbook(
        io.BytesIO(reordered_workbook(out.getvalue(), "Sheet", None, {1: (2, 1), 2: (1, 2)}))
    )["Sheet"]
    assert [(cell.value, cell.data_type) for cell in moved["A"]] == [("=B1", "f"), ("=B1", "s")]


def test_spots_are_the_same_however_they_are_written(session: Path) -> None:
    """In a workbook they become numbers."""
    for spots in (("01", "02", "03"), ("1,0", "2,0", "3,0")):
        rows = "".join(f"Milk;{spot};TST {number}\n" for number, spot in enumerate(spots, start=1))
        (session / "trains.csv").write_text(f"train;spot;car\n{rows}Other;1;TST 1\n")
        write_reordered(session, NEW_ORDER, session / "new.xlsx")
        made = openpyxl.load_workbook(session / "new.xlsx").worksheets[0]
        assert [(row[1].value, row[2].value) for row in made.iter_rows(min_row=2, max_row=4)] == [
            (1, "TST 2"), (2, "TST 1"), (3, "TST 3"),
        ]  # fmt: skip


@pytest.mark.parametrize("content", [b"", b"\x00\x01", b"train;spot;car\nMilk;1;TST 9\n"])
def test_what_does_not_read_as_it_should_is_never_written(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "trains.csv"
    path.write_text("train;spot;car\nMilk;1;TST 1\n")
    source = OwnersTable.read(path, Reading(path.name))
    source.check_reads_back(path.read_bytes(), path, {}, "then")
    with pytest.raises(InputError, match=rf"^{re.escape(str(path))}: the table does not read the same then$"):
        source.check_reads_back(content, path, {}, "then")
    source.check_unchanged()
    path.write_bytes(b"x")
    with pytest.raises(InputError, match=r"^trains\.csv: the table has changed since it was read; run"):
        source.check_unchanged()
    assert str(source.problem("row 2, spot", "found it")) == "trains.csv, row 2, spot: found it"
