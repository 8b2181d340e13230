"""`consist import` shows what it guesses and writes it into session.toml alone, comments and order kept."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from contextlib import suppress
from pathlib import Path

import openpyxl  # type: ignore[import-untyped]
import pytest
import xlwt  # type: ignore[import-untyped]
from builders import SAMPLES
from typer.testing import CliRunner, Result

from consist.cli import app
from consist.intake import read_session, record_weights

ROSTER = """Shelf roster,,,,
Mark,Number,On scale oz,Length over couplers in,Bought
PQF,201,2.3,5 1/4,1998
PQF,202,2.3,5 1/4,1999
Totals,,4.6,,
"""


def session(folder: Path) -> Path:
    shutil.copytree(SAMPLES.parent / "layouts", folder / "layouts")
    shutil.copytree(SAMPLES / "sunday_shelf", folder / "sample_sessions" / "shelf")
    return folder / "sample_sessions" / "shelf"


def asked(*words: object) -> Result:
    return CliRunner().invoke(app, ["import", *map(str, words)])


@pytest.fixture
def roster(tmp_path: Path) -> Path:
    path = tmp_path / "roster.csv"
    path.write_text(ROSTER)
    return path


def test_without_yes_it_shows_and_writes_nothing(tmp_path: Path, roster: Path) -> None:
    into = session(tmp_path)
    before = (into / "session.toml").read_bytes()
    ran = asked(roster, "--into", into)
    assert ran.exit_code == 0
    for told in (
        "Mark + Number",
        "PQF 201, PQF 202",
        "Left unread: Bought",
        "begin with Totals",
        "Nothing is written",
    ):
        assert told in ran.stdout
    assert (into / "session.toml").read_bytes() == before
    assert roster.read_text() == ROSTER


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_what_is_written_keeps_comments_and_order_and_is_read(tmp_path: Path, roster: Path, ends: str) -> None:
    into = session(tmp_path)
    path = into / "session.toml"
    before = ("# ours\n" + path.read_text(encoding="utf-8")).replace("\n", ends)
    path.write_text(before, encoding="utf-8", newline="")
    ran = asked(roster, "--into", into, "--kind", "guests", "--yes")
    assert ran.exit_code == 0, ran.stderr
    with path.open(encoding="utf-8", newline="") as file:
        after = file.read()
    assert after.startswith(before.rstrip())
    assert "\n" not in after.replace("\r\n", "") if ends == "\r\n" else "\r" not in after
    assert 'car = ["Mark", "Number"]' in after
    assert 'file = "../../roster.csv"' in after
    assert roster.read_text() == ROSTER


def test_the_table_is_then_read_and_a_second_import_replaces_the_first(tmp_path: Path, roster: Path) -> None:
    into = session(tmp_path)
    roster.write_text(ROSTER.replace("PQF", "VIS"))
    for more in ((), ("--map", "weight_oz=")):
        ran = asked(roster, "--into", into, "--kind", "guests", "--yes", *more)
        assert ran.exit_code == 0, ran.stderr
    guests = [car for car in read_session(into).cars if car.guest]
    assert [car.name for car in guests] == ["VIS 201", "VIS 202"]
    assert (into / "session.toml").read_text().count("[tables.guests]") == 1
    assert "weight_oz" not in (into / "session.toml").read_text()


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (("--map", "weight_stone=On scale oz"), "found no column 'weight_stone'"),
        (("--map", "weight_oz=Scales"), "found no heading 'Scales'"),
        (("--map", "weight_oz"), "expected COLUMN=HEADING"),
        (
            (
                "--map",
                "coupled_length_in=",
            ),
            "found no heading for body_length or coupled_length",
        ),
        (("--kind", "carts"), "did you mean 'cars'?"),
        (("--sheet", "Cars"), "found no sheet 'Cars'"),
    ],
)
def test_a_wrong_use_is_one_line_and_writes_nothing(
    tmp_path: Path, roster: Path, more: tuple[str, ...], told: str
) -> None:
    into = session(tmp_path)
    before = (into / "session.toml").read_bytes()
    ran = asked(roster, "--into", into, "--yes", *more)
    assert ran.exit_code == 2
    assert told in ran.stderr
    assert (into / "session.toml").read_bytes() == before


def test_a_session_that_is_not_there_is_said_with_the_way_to_make_it(tmp_path: Path, roster: Path) -> None:
    ran = asked(roster, "--into", tmp_path / "none", "--yes")
    assert ran.exit_code == 2
    assert "make it first with 'consist new " in ran.stderr
    assert not (tmp_path / "none").exists()


def test_rows_to_mend_are_told(tmp_path: Path, roster: Path) -> None:
    roster.write_text(ROSTER.replace("2.3,5 1/4,1999", "heavy,5 1/4,1999"))
    ran = asked(roster, "--into", session(tmp_path), "--yes")
    assert ran.exit_code == 0
    assert "row 4, On scale oz (cell C4): found 'heavy'" in ran.stdout


def old_roster(folder: Path) -> Path:
    book = xlwt.Workbook()
    for name, first in (("Sold", ""), ("Ours", "VIS")):
        sheet = book.add_sheet(name)
        rows: list[list[str | float]] = [
            ["Car", "Weight oz", "Body length in", "Remark"],
            [f"{first} 1", 2.25, "5 1/4", "=2+2"],
        ]
        for number, row in enumerate(rows if name == "Ours" else rows[:1]):
            for column, value in enumerate(row):
                sheet.write(number, column, value)
    path = folder / "roster.xls"
    book.save(str(path))
    return path


def test_a_copy_of_a_sheet_that_cannot_be_written_is_taken_in(tmp_path: Path) -> None:
    into, roster = session(tmp_path), old_roster(tmp_path)
    before, old = (into / "session.toml").read_bytes(), roster.read_bytes()
    offered = asked(roster, "--into", into, "--kind", "guests").stdout
    assert "Nothing can be written back" in offered
    assert f"add --copy '{tmp_path / 'roster.xlsx'}'" in offered
    ran = asked(roster, "--into", into, "--kind", "guests", "--yes", "--copy", tmp_path / "copy.xlsx")
    assert ran.exit_code == 0, ran.stderr
    (car,) = [car for car in read_session(into).cars if car.guest]
    assert (car.name, car.note) == ("VIS 1", "=2+2")
    sheet = openpyxl.load_workbook(tmp_path / "copy.xlsx").active
    assert [cell.data_type for cell in sheet[2]] == ["s", "n", "s", "s"]
    record_weights(into, {"VIS 1": 100.0})
    (car,) = [car for car in read_session(into).cars if car.guest]
    assert car.weight_g == pytest.approx(100.0, abs=0.02)
    assert roster.read_bytes() == old
    (into / "session.toml").write_bytes(before)
    for name, told in (("copy.xlsx", "found a file of that name already"), ("new.ods", "ends in .xlsx")):
        ran = asked(roster, "--into", into, "--kind", "guests", "--yes", "--copy", tmp_path / name)
        assert (ran.exit_code, (into / "session.toml").read_bytes()) == (2, before)
        assert told in ran.stderr


def test_a_copy_goes_again_where_the_session_cannot_take_it(tmp_path: Path) -> None:
    into, roster = session(tmp_path), old_roster(tmp_path)
    with (into / "session.toml").open("a") as file:
        file.write("\n[tables]\nguests = 3\ncars.file = 'cars.csv'\n")
    (into / "session.toml").chmod(0o444)
    ran = asked(roster, "--into", into, "--kind", "guests", "--yes", "--copy", tmp_path / "copy.xlsx")
    assert ran.exit_code == 2
    assert not (tmp_path / "copy.xlsx").exists()


def in_a_terminal(words: list[str], answers: list[str]) -> tuple[int, str]:
    """What the command comes to and shows in a terminal where each question is answered."""
    import pty

    main, other = pty.openpty()
    command = [sys.executable, "-m", "consist", "import", *words]
    process = subprocess.Popen(
        command, stdin=other, stdout=other, stderr=other, cwd=SAMPLES.parent, env={**os.environ, "COLUMNS": "80"}
    )
    os.close(other)
    shown = ""
    with suppress(OSError):  # a terminal ends in an error
        while more := os.read(main, 4096).decode():
            shown += more
            if answers and shown.endswith(("]: ", "]: \x1b[0m")):
                os.write(main, f"{answers.pop(0)}\n".encode())
    os.close(main)
    return process.wait(), shown


@pytest.mark.skipif(sys.platform == "win32", reason="there are no such terminals")
def test_questions_in_a_terminal_are_taken_into_what_is_written(tmp_path: Path) -> None:
    roster = tmp_path / "roster.csv"
    roster.write_text("Mark,Number,Weight,Length,Type\nVIS,201,2.3,5 1/4,box\nVIS,202,2.3,5 1/4,flat\n")
    into = session(tmp_path)
    before = (into / "session.toml").read_text()
    words = [str(roster), "--into", str(into), "--kind", "guests"]
    code, shown = in_a_terminal(words, ["", "coupled_length_in", "n"])
    assert (code, (into / "session.toml").read_text()) == (0, before), shown
    assert "weight_oz from Weight (2.3, 2.3): its unit is guessed from its figures." in shown
    assert "in doubt" not in shown
    code, shown = in_a_terminal(words, ["-", "coupled_length_in", ""])
    assert code == 0, shown
    written = (into / "session.toml").read_text().removeprefix(before.rstrip())
    assert 'coupled_length_in = "Length"' in written
    assert "weight" not in written
    code, shown = in_a_terminal(words, ["weight_stone", "weight_g", "coupled_length_in", "y"])
    assert code == 0
    assert "Error: found no column 'weight_stone'" in shown
    assert 'weight_g = "Weight"' in (into / "session.toml").read_text()


def test_heavy_libraries_stay_out_of_other_commands() -> None:
    code = (
        "import sys, consist.cli, consist.intake; print({'tomlkit', 'openpyxl', 'python_calamine'} & {*sys.modules})"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "set()"
