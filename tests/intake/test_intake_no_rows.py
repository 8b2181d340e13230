"""Trains without a row in the trains table: what cannot be used ends in one line and 2, what is forgotten is care."""

from __future__ import annotations

from pathlib import Path

import openpyxl  # type: ignore[import-untyped]
import pytest
from typer.testing import CliRunner

import consist
from consist.cli import app
from consist.errors import InputError
from consist.intake import new_session, read_session

__all__: list[str] = []

HEADER = "train,spot,car,loaded,block,hold,joins,leaves\n"
MISSING = (
    "trains.csv: the file is missing, expected a row for each car of the trains in session.toml; "
    "make it with the columns train, spot and car"
)
NO_ROW = (
    "trains.csv: found no row, expected a row for each car of the trains in session.toml; "
    "add the cars of at least one train"
)
COMMANDS = (
    "check",
    "check --json",
    "order",
    "power",
    "bench",
    "screen",
    "report --pdf out.pdf",
    "picture --train Milk",
)


def problems_of(folder: Path) -> list[str]:
    with pytest.raises(InputError) as caught:
        read_session(folder)
    return [str(problem) for problem in caught.value.problems]


def without_trains(folder: Path) -> None:
    text = (folder / "session.toml").read_text(encoding="utf-8")
    (folder / "session.toml").write_text(text[: text.index("[[train]]")], encoding="utf-8")


def run(command: str, folder: Path) -> tuple[int, str, str]:
    verb, *options = command.split()
    output = ["--output", str(folder / "out.svg")] if verb == "picture" else []
    done = CliRunner().invoke(app, [verb, str(folder), *options, *output])
    return done.exit_code, done.stdout, done.stderr


def test_a_missing_trains_table_is_one_line(folder: Path) -> None:
    (folder / "trains.csv").unlink()
    assert problems_of(folder) == [MISSING]


@pytest.mark.parametrize(
    "text", [HEADER, f"# nobody yet\n{HEADER}\n,,,,,,,\n", f"\ufeff{HEADER}".replace("\n", "\r\n")]
)
def test_a_trains_table_without_a_row_is_one_line(folder: Path, text: str) -> None:
    (folder / "trains.csv").write_text(text, encoding="utf-8")
    assert problems_of(folder) == [NO_ROW]


def test_a_workbook_without_a_row_is_named_as_it_is(folder: Path) -> None:
    (folder / "trains.csv").unlink()
    book = openpyxl.Workbook()
    book.worksheets[0].append(HEADER.strip().split(","))
    book.save(folder / "trains.xlsx")
    assert problems_of(folder) == [NO_ROW.replace(".csv", ".xlsx")]


@pytest.mark.parametrize(
    "content", ["", "\n\n", "# only a comment\n", "train,spot\n", "train,spot,car\nMilk,one,TST 1\n"]
)
def test_a_table_with_a_fault_of_its_own_tells_that_alone(folder: Path, content: str) -> None:
    (folder / "trains.csv").write_text(content, encoding="utf-8")
    (told,) = problems_of(folder)
    assert told.startswith("trains.csv")
    assert "for each car of the trains" not in told


def test_it_is_told_with_what_else_is_wrong(folder: Path) -> None:
    (folder / "trains.csv").unlink()
    (folder / "cars.csv").write_text("car,weight\nA,3\n", encoding="utf-8")
    told = problems_of(folder)
    assert told[-1] == MISSING
    assert len(told) > 1


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("there", [True, False])
def test_no_command_takes_it_for_trains_without_cars(folder: Path, command: str, there: bool) -> None:
    (folder / "trains.csv").unlink()
    if there:
        (folder / "trains.csv").write_text(HEADER, encoding="utf-8")
    files = sorted(folder.iterdir())
    assert run(command, folder) == (2, "", (NO_ROW if there else MISSING) + "\n")
    assert sorted(folder.iterdir()) == files


@pytest.mark.parametrize("there", [True, False])
def test_a_session_without_a_train_needs_no_trains_table(folder: Path, there: bool) -> None:
    without_trains(folder)
    (folder / "trains.csv").unlink()
    if there:
        (folder / "trains.csv").write_text(HEADER, encoding="utf-8")
    assert read_session(folder).trains == ()
    code, said, _ = run("check", folder)
    assert code == 0
    assert "No train is in this session yet" in said


def test_a_train_without_a_row_among_others_is_on_care(folder: Path) -> None:
    with (folder / "session.toml").open("a", encoding="utf-8") as session:
        session.write('[[train]]\nname = "Late"\nroute = ["Tarn End", "Skerry Yard"]\nengines = ["31"]\n')
    milk, late = consist.check(consist.load(folder)).trains
    assert "no-cars" not in {finding.code for finding in milk.findings}
    assert (late.verdict, [finding.code for finding in late.findings]) == ("care", ["no-cars", "assumed"])
    assert "add its cars to the trains table" in late.findings[0].say
    for command in COMMANDS[:5]:
        code, said, wrong = run(command, folder)
        assert (code in (0, 1), wrong) == (True, ""), command
        assert "Traceback" not in said


@pytest.mark.parametrize("scale", ["HO", "N", "1"])
def test_a_new_session_goes_as_it_is_written(tmp_path: Path, scale: str) -> None:
    new_session(tmp_path / "evening", scale)
    (train,) = consist.check(consist.load(tmp_path / "evening")).trains
    assert train.verdict == "go"
