"""New weights written into a table of cars: every other byte or cell as it was, whole file or none."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl  # type: ignore[import-untyped]
import pytest
from openpyxl.cell.rich_text import CellRichText, TextBlock  # type: ignore[import-untyped]
from openpyxl.cell.text import InlineFont  # type: ignore[import-untyped]
from openpyxl.styles import PatternFill  # type: ignore[import-untyped]

from consist.errors import InputError
from consist.intake import read_cars, record_figure, record_weights, write_whole
from consist.intake.reweigh import weighed

__all__: list[str] = []

OUNCE = 28.349523125
TABLE = (
    "# the roster\n"
    "note,car,weight_oz,weight_g,body_length_in\n"
    "x,TST 1, 4.2 ,,6\n"
    "\n"
    '"two\nlines, no more",TST 2,,"130",6\n'
    "# between\n"
    "y,TST 3,,,6\n"
    "z,TST 4,3,,6\n"
)
AFTER = TABLE.replace(" 4.2 ", " 4.6 ").replace('"130"', '"141.5"').replace("TST 3,,,6", "TST 3,5,,6")
NEW = {"TST 1": 4.6 * OUNCE, "TST 2": 141.5, "TST 3": 5 * OUNCE}
WRITTEN_AS: list[Callable[[str], bytes]] = [
    lambda text: text.encode(),
    lambda text: b"\xef\xbb\xbf" + text.encode(),
    lambda text: text.replace("\n", "\r\n").encode(),
    lambda text: text.replace("y,TST", "ÿ,TST").encode("cp1252"),
    lambda text: b"\xff\xfe" + text.encode("utf-16-le"),
    lambda text: text.replace("lines, no", "lines no").replace(",", "\t").encode(),
    lambda text: text.removesuffix("\n").encode(),
    lambda text: text.replace("lines, no", "lines; no").replace(",", ";").encode(),
]


def files_of(folder: Path) -> dict[str, bytes]:
    """All files of a folder with their bytes."""
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.mark.parametrize("as_bytes", WRITTEN_AS)
def test_only_the_weights_change_and_the_old_table_is_kept(tmp_path: Path, as_bytes: Callable[[str], bytes]) -> None:
    path = tmp_path / "cars.csv"
    path.write_bytes(as_bytes(TABLE))
    (recorded,) = record_weights(path, NEW)
    assert path.read_bytes() == as_bytes(AFTER)
    assert recorded.backup.name == "cars.csv.bak"
    assert recorded.backup.read_bytes() == as_bytes(TABLE)
    assert {row.name: row.values["weight_g"] for row in read_cars(path) if row.name in NEW} == pytest.approx(NEW)
    assert [(one.car, one.column, one.old, one.new) for one in recorded.changes] == [
        ("TST 1", "weight_oz", "4.2", "4.6"),
        ("TST 2", "weight_g", "130", "141.5"),
        ("TST 3", "weight_oz", "", "5"),
    ]


def test_decimal_commas_stay_commas(tmp_path: Path) -> None:
    path = tmp_path / "cars.csv"
    path.write_text('car;weight_oz;body_length_in\nA;4,2;6\nB;"3,1";6\nC;2\n', encoding="utf-8")
    record_weights(path, {"A": 4.6 * OUNCE, "B": 3.25 * OUNCE})
    assert path.read_text(encoding="utf-8") == 'car;weight_oz;body_length_in\nA;4,6;6\nB;"3,25";6\nC;2\n'


def test_a_row_that_ends_early_is_filled_up(tmp_path: Path) -> None:
    path = tmp_path / "cars.csv"
    path.write_text("car,body_length_mm,owner,weight_g\nA,100\nB,100,me,7\n", encoding="utf-8")
    record_weights(path, {"A": 52.25})
    assert path.read_text(encoding="utf-8") == "car,body_length_mm,owner,weight_g\nA,100,,52.25\nB,100,me,7\n"


def test_no_backup_is_ever_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "cars.csv"
    path.write_text("car,weight_g\nA,1\n", encoding="utf-8")
    for grams in (2.0, 3.0, 4.0):
        record_weights(path, {"A": grams})
    kept = {name: text for name, text in files_of(tmp_path).items() if name != "cars.csv"}
    assert kept == {
        "cars.csv.bak": b"car,weight_g\nA,1\n",
        "cars.csv.bak2": b"car,weight_g\nA,2\n",
        "cars.csv.bak3": b"car,weight_g\nA,3\n",
    }


def test_a_workbook_keeps_its_other_cells_and_its_looks(tmp_path: Path) -> None:
    path = tmp_path / "cars.xlsx"
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    for row in [["car", "weight_oz", "body_length_in", "note"], ["A", 4.2, 6, "=1+1"], ["B", 3, 6.5, "kept"]]:
        sheet.append(row)
    sheet["B2"].fill = PatternFill("solid", fgColor="FFEE00")
    book.create_sheet("more")["A1"] = "also kept"
    book.save(path)
    old = path.read_bytes()
    (recorded,) = record_weights(path, {"A": 4.6 * OUNCE})
    assert recorded.backup.read_bytes() == old
    written = openpyxl.load_workbook(path)
    cells = [[cell.value for cell in row] for row in written.worksheets[0].iter_rows()]
    assert cells == [["car", "weight_oz", "body_length_in", "note"], ["A", 4.6, 6, "=1+1"], ["B", 3, 6.5, "kept"]]
    assert written.worksheets[0]["B2"].fill.fgColor.rgb == "00FFEE00"
    assert written["more"]["A1"].value == "also kept"


def test_in_a_session_the_table_that_holds_the_car_is_written(tmp_path: Path) -> None:
    (tmp_path / "cars.csv").write_text("car,weight_g\nA,1\n", encoding="utf-8")
    (tmp_path / "guests.csv").write_text("car,weight_g\nG,1\n", encoding="utf-8")
    record_weights(tmp_path, {"G": 2.0})
    assert files_of(tmp_path) == {
        "cars.csv": b"car,weight_g\nA,1\n",
        "guests.csv": b"car,weight_g\nG,2\n",
        "guests.csv.bak": b"car,weight_g\nG,1\n",
    }


@pytest.mark.parametrize(
    ("table", "weights", "words"),
    [
        ("car,weight_g\nTST 1,1\n", {"TST 1": 5.0, "TTS 1": 2.0}, "did you mean 'TST 1'"),
        ("car,weight_g\nTST 1,1\n", {"TST 1": 0.0}, "expected a number"),
        ("car,weight_g\nTST 1,1\n", {"TST 1": float("nan")}, "expected a number"),
        ("car,owner\nTST 1,me\n", {"TST 1": 5.0}, "weight_oz or weight_g"),
        ("car,weight_g,weight_oz\nTST 1,1,2\n", {"TST 1": 5.0}, "weight twice"),
        ("name,weight_g\nTST 1,1\n", {"TST 1": 5.0}, "no column 'car'"),
        ("", {"TST 1": 5.0}, "empty"),
    ],
)
def test_bad_input_is_one_line_and_every_file_is_as_it_was(
    tmp_path: Path, table: str, weights: dict[str, float], words: str
) -> None:
    (tmp_path / "cars.csv").write_text(table, encoding="utf-8")
    before = files_of(tmp_path)
    with pytest.raises(InputError) as told:
        record_weights(tmp_path / "cars.csv", weights)
    assert words in str(told.value)
    assert "\n" not in str(told.value)
    assert files_of(tmp_path) == before


def test_a_vanished_folder_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="the file is missing"):
        record_weights(tmp_path / "gone" / "cars.csv", {"A": 1.0})


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may write anywhere")
def test_a_read_only_folder_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "cars.csv").write_text("car,weight_g\nA,1\n", encoding="utf-8")
    tmp_path.chmod(0o500)
    try:
        with pytest.raises(InputError, match="cannot be kept") as told:
            record_weights(tmp_path, {"A": 2.0})
        assert "\n" not in str(told.value)
        assert files_of(tmp_path) == {"cars.csv": b"car,weight_g\nA,1\n"}
    finally:
        tmp_path.chmod(0o700)


def test_where_the_old_table_cannot_be_kept_nothing_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "cars.csv").write_text("car,weight_g\nA,1\n", encoding="utf-8")

    def refuses(file: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", refuses)
    with pytest.raises(InputError, match="cannot be kept: no space left"):
        record_weights(tmp_path, {"A": 2.0})
    assert files_of(tmp_path) == {"cars.csv": b"car,weight_g\nA,1\n"}


def test_where_the_second_table_cannot_be_written_the_first_is_put_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "cars.csv").write_text("car,weight_g\nA,1\n", encoding="utf-8")
    (tmp_path / "guests.csv").write_text("car,weight_g\nG,1\n", encoding="utf-8")
    before = files_of(tmp_path)

    def refuses_guests(path: Path, data: bytes, **more: Any) -> None:
        if path.name == "guests.csv":
            raise InputError([])
        write_whole(path, data, **more)

    monkeypatch.setattr("consist.intake.reweigh.write_whole", refuses_guests)
    with pytest.raises(InputError):
        record_weights(tmp_path, {"A": 2.0, "G": 2.0})
    assert files_of(tmp_path) == before


def test_a_workbook_keeps_letters_of_several_kinds_and_a_number_kept_as_text_becomes_one(tmp_path: Path) -> None:
    path = tmp_path / "cars.xlsx"
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.append(["car", "weight_oz", "note"])
    sheet.append(["A", "4.2", ""])
    sheet["B2"].number_format = "@"
    sheet["C2"] = CellRichText("half ", TextBlock(InlineFont(b=True), "bold"))
    book.save(path)
    record_weights(path, {"A": 4.6 * OUNCE})
    read = openpyxl.load_workbook(path, rich_text=True).worksheets[0]
    assert (read["B2"].value, read["B2"].number_format) == (4.6, "General")
    assert isinstance(read["C2"].value, CellRichText)


def test_a_table_without_cars_is_told_with_its_first_row(tmp_path: Path) -> None:
    path = tmp_path / "cars.csv"
    path.write_text("name,weight_g\nA,1\n")
    with pytest.raises(InputError) as raised:
        record_weights(path, {"A": 100.0})
    assert str(raised.value) == (
        "cars.csv, header: found no column 'car'; the first row must name the columns, add it"
    )


@pytest.mark.parametrize(
    ("table", "new_g", "words"),
    [
        ("car,weight_oz\nA,4.2\n", 4.6, "0.039 times the 119.1 g .4.2 oz. that it has; .*meant in ounces"),
        ("car,weight_g\nA,119\n", 4.6, "found 4.6 g .0.162 oz. for 'A', .*meant in ounces"),
        ("car,weight_g\nA,4.2 oz\n", 130.0 * OUNCE, "31 times the 119.1 g .* meant in grams"),
        ('car;weight_g\nA;"119,5"\n', 1195.0, "10 times .* wrong car or figure"),
        ("car,weight_g\nA,100\n", 251.0, "2.5 times"),
        ("car,weight_g\nA,100\n", 39.0, "0.39 times"),
    ],
)
def test_a_weight_that_is_hardly_meant_is_refused_unless_sure(
    tmp_path: Path, table: str, new_g: float, words: str
) -> None:
    path = tmp_path / "cars.csv"
    path.write_text(table, encoding="utf-8")
    with pytest.raises(InputError, match=rf"^cars.csv, row 2, weight_\w+: .*{words}") as told:
        record_weights(path, {"A": new_g}, sure=False)
    assert "--sure" in str(told.value)
    assert files_of(tmp_path) == {"cars.csv": table.encode()}
    assert record_weights(path, {"A": new_g}, sure=True)


def test_the_old_table_is_kept_for_those_who_might_read_it(tmp_path: Path) -> None:
    path = tmp_path / "cars.csv"
    path.write_text("car,weight_g\nA,100\n")
    path.chmod(0o640)
    (recorded,) = record_weights(path, {"A": 101.0})
    assert recorded.backup.name == "cars.csv.bak"
    assert [each.stat().st_mode & 0o777 for each in (path, recorded.backup)] == [0o640, 0o640]


def test_each_unlikely_weight_is_told_and_none_is_written(tmp_path: Path) -> None:
    (tmp_path / "cars.csv").write_text("car,weight_g\nA,100\nB,100\n", encoding="utf-8")
    (tmp_path / "guests.csv").write_text("car,weight_g\nG,100\n", encoding="utf-8")
    before = files_of(tmp_path)
    with pytest.raises(InputError) as told:
        record_weights(tmp_path, {"A": 4.0, "B": 110.0, "G": 4.0}, sure=False)
    assert [problem.file for problem in told.value.problems] == ["cars.csv", "guests.csv"]
    assert files_of(tmp_path) == before


@pytest.mark.parametrize(("old", "new_g"), [("100", 250.0), ("100", 40.0), ("", 90.0), ("0", 9.0), ("n/a", 90.0)])
def test_a_likely_weight_or_a_first_one_is_written(tmp_path: Path, old: str, new_g: float) -> None:
    path = tmp_path / "cars.csv"
    path.write_text(f"car,weight_g,body_length_mm\nA,{old},100\nB,7,100\n", encoding="utf-8")
    record_weights(path, {"A": new_g}, sure=False)
    assert f"A,{new_g:g},100" in path.read_text()


def test_the_path_of_session_toml_will_do_and_what_lacks_is_told(tmp_path: Path) -> None:
    (tmp_path / "session.toml").write_text("")
    with pytest.raises(InputError, match=r"^cars\.csv: the file is missing"):
        record_weights(tmp_path / "session.toml", {"A": 1.0})
    (tmp_path / "cars.csv").write_text("car,body_length_mm\nA,100\n")
    with pytest.raises(InputError) as raised:
        record_weights(tmp_path / "session.toml", {"A": 1.0})
    assert str(raised.value) == (
        "cars.csv, header: found no column weight_oz or weight_g to write a weight in; add one of them"
    )
    (tmp_path / "cars.csv").write_text("car,weight_g\nA,100\n")
    record_weights(tmp_path / "session.toml", {"A": 101.0})
    assert (tmp_path / "cars.csv").read_text() == "car,weight_g\nA,101\n"
    with pytest.raises(InputError, match="found no table of cars, expected"):
        record_weights(tmp_path / "session.txt", {"A": 1.0})


def test_what_new_weights_make_of_the_tables_is_told_and_nothing_written(tmp_path: Path) -> None:
    """However far from the old ones, since whoever asks has been asked already."""
    path = tmp_path / "cars.csv"
    path.write_text("car,weight_g,body_length_mm\nA,50,150\nB,60,150\n")
    ((source, content),) = weighed(tmp_path, {"A": 500.0})
    assert source.path == path
    assert content == b"car,weight_g,body_length_mm\nA,500,150\nB,60,150\n"
    assert [each.name for each in tmp_path.iterdir()] == ["cars.csv"]
    assert b"A,50," in path.read_bytes()


def _refused(path: Path, figures: dict[str, float], kind: str = "weight") -> list[str]:
    """What is said of figures that cannot be written; nothing is."""
    before = files_of(path.parent)
    write = record_weights if kind == "weight" else lambda path, figures: record_figure(path, kind, figures)
    with pytest.raises(InputError) as told:
        write(path, figures)
    assert files_of(path.parent) == before
    return [str(problem) for problem in told.value.problems]


@pytest.mark.parametrize(
    ("kind", "figures", "said"),
    [
        ("weight", {"TST 9": 5.0}, "found no car 'TST 9'; did you mean 'TST 2'?"),
        ("weight", {"QQQ": 5.0}, "found no car 'QQQ'; the cars are 'TST 1', 'TST 2'"),
        ("weight", {"TST 1": 5.0, "tst1": 6.0}, "found 'TST 1' twice; give each car once"),
        (
            "weight",
            {"TST 1": 0.0},
            "found a weight of 0 g for 'TST 1', expected a number from 0.001 to 1000000; correct it",
        ),
        (
            "length",
            {"TST 1": -1.0},
            "found a coupled length of -1 for 'TST 1', expected a number from 0.001 to 1000000; correct it",
        ),
    ],
)
def test_what_cannot_be_written_is_said_of_the_table(
    tmp_path: Path, kind: str, figures: dict[str, float], said: str
) -> None:
    path = tmp_path / "cars.csv"
    path.write_text("car,weight_g,coupled_length_mm\nTST 1,100,150\nTST 2,100,150\n")
    (told,) = _refused(path, figures, kind)
    assert told.startswith(f"cars.csv: {said}")


def test_an_engine_that_is_none_is_told_with_the_nearest(tmp_path: Path) -> None:
    path = tmp_path / "engines.csv"
    path.write_text("engine,pull_oz\n31,3\n")
    (told,) = _refused(path, {"32": 90.0}, "pull")
    assert told == "engines.csv: found no engine '32'; did you mean '31'?"
    (told,) = _refused(path, {"Q": 90.0}, "pull")
    assert told == "engines.csv: found no engine 'Q'; the engines are '31'"


@pytest.mark.parametrize(
    ("table", "kind", "said"),
    [
        (
            "car,weight\nA,\n",
            "weight",
            "header: found no column weight_oz or weight_g to write a weight in; add one of them",
        ),
        (
            "car,rolls\nA,\n",
            "rolling",
            "header: found no column rolls_at_percent to write a grade on which it just keeps rolling in; add it",
        ),
        (
            "car,weight_oz,weight_g\nA,1,2\n",
            "weight",
            "row 2, weight_oz and weight_g: found the weight twice; clear one of the two cells",
        ),
        (
            "car,coupled_length_in,coupled_length_mm\nA,1,2\n",
            "length",
            "row 2, coupled_length_in and coupled_length_mm: found the coupled length twice; "
            "clear one of the two cells",
        ),
    ],
)
def test_a_table_that_has_no_one_cell_for_a_figure_is_told_what_to_do(
    tmp_path: Path, table: str, kind: str, said: str
) -> None:
    path = tmp_path / "cars.csv"
    path.write_text(table)
    assert _refused(path, {"A": 2.0}, kind) == [f"cars.csv, {said}"]


def test_what_is_too_small_for_the_column_is_not_written_as_nothing(tmp_path: Path) -> None:
    path = tmp_path / "cars.csv"
    path.write_text("car,weight_oz\nA,1\n")
    assert _refused(path, {"A": 0.01}) == [
        "cars.csv, row 2: found a weight too small to write in weight_oz; correct it"
    ]
    record_weights(path, {"A": OUNCE})
    assert path.read_text() == "car,weight_oz\nA,1\n"


@pytest.mark.parametrize(("header", "others"), [("weight_oz,weight_g", ",50"), ("weight_g,weight_oz", "50,")])
def test_a_first_weight_goes_where_most_cars_have_theirs(tmp_path: Path, header: str, others: str) -> None:
    path = tmp_path / "cars.csv"
    path.write_text(f"car,{header}\nA,,\nB,{others}\nC,{others}\n")
    record_weights(path, {"A": 120.0})
    assert path.read_text().splitlines()[1] == f"A,{others.replace('50', '120')}"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("119 g", "120.46 g"),
        ("4.2 oz", "4.249 oz"),
        ("4.2 OZ", "4.249 OZ"),
        ("4.2oz.", "4.249oz."),
        ("119 Grams", "120.46 Grams"),
    ],
)
def test_a_cell_keeps_its_own_unit_as_it_is_spelled(tmp_path: Path, old: str, new: str) -> None:
    """To two places in grams and to three in ounces, whatever the column's own unit."""
    for column in ("weight_g", "weight_oz"):
        path = tmp_path / "cars.csv"
        path.write_text(f"car,{column}\nA,{old}\n")
        record_weights(path, {"A": 120.456})
        assert path.read_text() == f"car,{column}\nA,{new}\n"


def test_a_unit_behind_a_decimal_comma_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "cars.csv"
    path.write_text("car;weight_g\nA;4,2 oz\n")
    record_weights(path, {"A": 120.456})
    assert path.read_text() == "car;weight_g\nA;4,249 oz\n"


@pytest.mark.parametrize(("kind", "what"), [("weight", "weight"), ("rolling", "figure")])
def test_what_does_not_read_back_is_said_with_its_cure(
    tmp_path: Path, kind: str, what: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "cars.csv"
    path.write_text("car,weight_g,rolls_at_percent\nA,100,1.5\n")
    monkeypatch.setattr("consist.intake.csv_text.CsvText.with_cells", lambda *given: b"car\n")
    (told,) = _refused(path, {"A": 2.0}, kind)
    assert told.startswith("cars.csv: ")
    assert told.endswith(f"with the new {what} in it, nothing was written; type it in yourself")
