"""What if, on the command line: a question is one command, told before and after, and no file is touched."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

import consist
from consist.changes import Add, Change, Engines, LayUp, Stand, Take, Weigh
from consist.cli import app

__all__: list[str] = []

SHELF = Path(__file__).parents[1] / "sample_sessions" / "sunday_shelf"
CREAMERY = ("--train", "Creamery 5")
OUNCE = 28.349523125


def _run(*arguments: str, given: str | None = None) -> tuple[int, str, str]:
    done = CliRunner().invoke(app, list(arguments), input=given)
    return done.exit_code, done.stdout, done.stderr


@pytest.mark.parametrize(
    ("options", "changes"),
    [
        (("--without", "PQF 203"), [Take(("PQF 203",))]),
        (("--without", "21"), [LayUp("21")]),
        (("--without", "PQF 71", "--add", "71@2"), [Take(("PQF 71",)), Add("Creamery 5", "PQF 71", 2)]),
        (("--without", "PQF 71", "--add", "71"), [Take(("PQF 71",)), Add("Creamery 5", "PQF 71")]),
        (("--cars", "ozv3310, PQF 201"), [Stand("Creamery 5", ("OZV 3310", "PQF 201"))]),
        (("--engines", "22, 3"), [Engines("Creamery 5", ("22", "3"))]),
        (("--weigh", "PQF 202=1.5oz"), [Weigh("PQF 202", 1.5 * OUNCE)]),
    ],
)
def test_a_check_is_that_of_the_changed_session(options: tuple[str, ...], changes: list[Change]) -> None:
    session = consist.load(SHELF)
    expected = consist.check(session.with_changes(changes), "Creamery 5").train("Creamery 5")
    status, out, _ = _run("check", str(SHELF), *CREAMERY, *options, "--json")
    assert status == (1 if expected.verdict == "hold" else 0)
    [train] = json.loads(out)["trains"]
    assert (train["margin"], train["verdict"]) == (expected.margin, expected.verdict)
    assert train["power"]["use"] == expected.power.use
    [before] = json.loads(out)["before"]
    was = consist.check(session, "Creamery 5").train("Creamery 5")
    assert before == {
        "train": "Creamery 5",
        "verdict": was.verdict,
        "margin": was.margin,
        "side_use": was.side_use,
        "power_use": was.power.use,
    }


def test_before_and_after_are_told_in_one_line_above_the_page() -> None:
    _, out, _ = _run("check", str(SHELF), *CREAMERY, "--without", "PQF 203", "--weigh", "201=35g")
    told = " ".join(out.split("\n\n")[0].split())
    assert told == (
        "Creamery 5 before these changes: GO, margin 5.16, power use 60 %. "
        "With them: GO, margin 7.53, power use 52 %."
    )
    assert "before these changes" not in _run("check", str(SHELF), *CREAMERY)[1]


def test_of_cars_without_engines_the_pull_that_would_do_is_told_instead_of_a_stand_ins_use() -> None:
    """The Power line of each page has it: 1.75 oz once the flat car is left out."""
    place = ("--scale", "HO", "--curve", "24in", "--grade", "2")
    table = str(SHELF.parent / "visiting_cars.csv")
    pages = [" ".join(_run("check", table, *place, *more)[1].split()) for more in ((), ("--without", "ZEB 4402"))]
    first = pages[1].partition(" ══")[0]
    pulls = [page.partition("no engine named; engines of ")[2].partition(" of pull")[0] for page in pages]
    assert pulls[1] == "1.75 oz" != pulls[0]
    for which, pull in zip(("before these changes: ", "With them: "), pulls, strict=True):
        assert f"engines of {pull} of pull would do." in first.partition(which)[2].partition(" With them")[0]
    assert "power use" not in first


@pytest.mark.parametrize("command", ["check", "order", "power"])
def test_json_has_what_was_before_or_null(command: str) -> None:
    train = [] if command == "power" else [*CREAMERY]
    _, plain, _ = _run(command, str(SHELF), *train, "--json")
    _, changed, _ = _run(command, str(SHELF), *train, "--without", "PQF 203", "--json")
    assert json.loads(plain)["before"] is None
    assert [each["train"] for each in json.loads(changed)["before"]] == ["Creamery 5"]


def test_order_and_power_look_at_the_changed_train() -> None:
    _, out, _ = _run("order", str(SHELF), "--train", "Quarry Mixed 3", "--without", "PQF 71", "--json")
    assert "PQF 71" not in json.loads(out)["now"]["order"]
    _, out, _ = _run("power", str(SHELF), "--without", "21", "--json")
    assert all("21" not in train["assigned"] for train in json.loads(out)["trains"])


def test_cars_are_read_a_line_each_from_standard_input() -> None:
    _, out, _ = _run("check", str(SHELF), *CREAMERY, "--cars", "-", "--json", given="PQF 202\r\n\n  ozv 3310 \n")
    [train] = json.loads(out)["trains"]
    assert [car["car"] for car in train["cars"]] == ["PQF 202", "OZV 3310"]


def test_no_file_is_touched(tmp_path: Path) -> None:
    before = {path: path.read_bytes() for path in SHELF.rglob("*") if path.is_file()}
    changes = ("--without", "PQF 203", "--weigh", "201=35g", "--engines", "22")
    for command in ("check", "order"):
        assert _run(command, str(SHELF), *CREAMERY, *changes)[0] == 0
    assert _run("power", str(SHELF), "--without", "PQF 203", "--weigh", "201=35g")[0] == 0
    drawn = tmp_path / "drawn.svg"
    assert _run("picture", str(SHELF), *CREAMERY, *changes, "--output", str(drawn))[0] == 0
    assert "PQF 203" not in drawn.read_text(encoding="utf-8")
    assert {path: path.read_bytes() for path in SHELF.rglob("*") if path.is_file()} == before


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--add", "PQF 71"), "--add: found no --train beside it, expected the train that is meant; name one of "
         "'Creamery 5', 'Quarry Mixed 3', 'Coal Empties 2'"),
        ((*CREAMERY, "--add", "PQF 71"), "PQF 71 rides in Quarry Mixed 3; take it out there first"),
        ((*CREAMERY, "--add", "PQF 71@last"), "--add: found 'PQF 71@last', expected CAR or CAR@SPOT; "
         "write it like 'NQH 930@4'"),
        ((*CREAMERY, "--without", "71", "--add", "71@9"), "spot 9 is not in Creamery 5; "
         "name one from 1 to 7, which is its rear"),
        (("--without", "PQF 7111"), "no car is called PQF 7111; did you mean 'PQF 71'?"),
        (("--weigh", "PQF 71=heavy"), "--weigh: found 'heavy', expected a weight with its unit; "
         "write it like 4.6oz or 130g"),
        (("--train", "Creamry 5", "--engines", "21"), "--train: no train is called 'Creamry 5'; "
         "did you mean 'Creamery 5'?"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_one_sentence(options: tuple[str, ...], said: str) -> None:
    status, out, err = _run("check", str(SHELF), *options)
    assert (status, out, err) == (2, "", said + "\n")


def test_a_changed_order_is_written_nowhere(tmp_path: Path) -> None:
    target = tmp_path / "trains.csv"
    status, _, err = _run("order", str(SHELF), "--without", "PQF 71", "--write", str(target))
    assert status == 2
    assert err.startswith("--write: found it beside a what-if")
    assert not target.exists()
