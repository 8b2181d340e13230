"""What `--json` prints against what it has always printed: keys, nesting, figures in full, never NaN."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import report_samples
from typer.testing import CliRunner

import consist
from consist.cli import app
from consist.evening.results import SessionCheck
from consist.report.json import Key, as_json, json_keys, json_reference
from consist.report.sheets.session import checked
from consist.report.sheets.tasks import tasks_of
from consist.wording import Units

__all__: list[str] = []

ROOT = Path(consist.__file__).parents[1]
NIGHT, SHELF, HILL = "sample_sessions/club_night", "sample_sessions/sunday_shelf", "layouts/nettlefoot_hill.toml"
KEPT = (Path(__file__).parent / "json_keys.txt").read_text(encoding="utf-8").splitlines()
"""Every key that a command's object had, each behind its command; a list may grow and must never shrink."""
NAMED_BY_THE_FILES = (
    "by_class",
    "combos[]",
    "pieces",
    "out_of_reach",
    "plan.engines",
    "spots",
    "at_target",
    "too_long",
)
RUNS = {
    "check": (["check", NIGHT], ["check", SHELF]),
    "power": (["power", NIGHT], ["power", NIGHT, "--keep-given"]),
    "screen": (["screen", NIGHT],),
    "bench": (["bench", NIGHT],),
    "order": (["order", SHELF, "--seconds", "0.3"],),
    "order --train": (["order", SHELF, "--seconds", "0.3", "--train", "Quarry Mixed 3"],),
    "layout": (["layout", HILL],),
    "target": (["target", "--scale", "N", "--length", "4in"],),
    "trailing": (["trailing", SHELF],),
    "rating": (["rating", HILL, f"{NIGHT}/engines.csv"],),
    "learn": (["learn", "sample_sessions/steps_day"],),
    "measure": (["measure", SHELF, "--car", "PQF 201", "--length", "77mm"],),
}


@pytest.fixture
def check() -> SessionCheck:
    return report_samples.session_check(report_samples.session())


def written(check: SessionCheck) -> str:
    """The object of `consist check` for results made by hand."""
    tasks = tasks_of(checked(report_samples.session(), check), Units("g"))
    return as_json("check", check, tasks=tasks, before=None)


def read(text: str) -> Any:
    """The object; NaN and infinities, which Python's reader would take, are errors."""

    def refuse(constant: str) -> Any:
        raise AssertionError(f"{constant} is no JSON")

    return json.loads(text, parse_constant=refuse)


def paths(value: Any, at: str = "") -> Iterator[str]:
    """Every key of an object with those that it stands under; names from files are a star."""
    if isinstance(value, dict):
        for key, inner in value.items():
            name = "*" if at.endswith(NAMED_BY_THE_FILES) else key
            here = f"{at}.{name}" if at else name
            yield here
            yield from paths(inner, here)
    elif isinstance(value, list):
        for inner in value:
            yield from paths(inner, f"{at}[]")


def declared(keys: Sequence[Key], at: str = "") -> Iterator[str]:
    """The same of what a command's object is declared to hold, whether its value is a list or not."""
    for key in keys:
        here = f"{at}.{key.name}" if at else key.name
        yield here
        yield from declared(key.parts, here)


@pytest.mark.parametrize("command", RUNS)
def test_every_key_that_was_there_is_there_and_each_is_described(command: str) -> None:
    found: set[str] = set()
    for args in RUNS[command]:
        there = [str(ROOT / arg) if "/" in arg else arg for arg in args]
        whole = read(CliRunner().invoke(app, [*there, "--json"]).stdout)
        assert whole["schema"] == 1
        found |= set(paths(whole))
    kept = {line.split(": ")[1] for line in KEPT if line.split(": ")[0] == command}
    assert kept <= found
    described = {"schema", *declared(json_keys()[command])}
    assert {path.replace("[]", "") for path in found if not path.endswith("*")} <= described


def test_a_strip_has_its_figures_in_json_and_is_written(tmp_path: Path) -> None:
    out = tmp_path / "strip.pdf"
    ran = CliRunner().invoke(app, ["strip", "--scale", "HO", "--scale", "N", "--output", str(out), "--json"])
    whole = read(ran.stdout)
    assert [one["scale"] for one in whole["strips"]] == ["HO", "N"]
    assert whole["strips"][0]["base_g"] == pytest.approx(28.349523125)  # NMRA RP-20.1: 1 oz in HO
    assert set(whole) == {"schema", "strips"}
    assert out.read_bytes().startswith(b"%PDF")


def test_a_rating_tells_in_json_what_its_table_tells() -> None:
    """One engine of 331 g that pulls 76 g, 1.8 % and 36 in radius with 90° of cars of 3.75 oz and 6 in: by hand
    55.8 g over 4.08 % are 1367 g, and 1325 g once drag at 0.03 makes the pull grow along the curve."""
    args = ["rating", str(ROOT / HILL), str(ROOT / NIGHT / "engines.csv"), "--units", "g"]
    page = CliRunner().invoke(app, args).stdout.splitlines()
    whole = read(CliRunner().invoke(app, [*args, "--json"]).stdout)
    first = whole["ratings"][0]
    assert (first["line"], first["class"]) == (1, "Branch")
    assert len(first["trailing_g"]) == len(first["cars"]) == 3
    assert first["trailing_g"][0] == pytest.approx(1325.4, abs=0.5)
    row = next(line.split() for line in page if line.split()[:1] == ["Branch"])
    assert row[-6:] == [f"{one:.0f}" for both in zip(first["trailing_g"], first["cars"], strict=True) for one in both]


@pytest.mark.parametrize("command", [name for name in json_keys() if " " not in name])
def test_what_json_prints_can_be_asked_for(command: str) -> None:
    ran = CliRunner().invoke(app, [command, "--json-keys"])
    assert ran.exit_code == 0
    assert ran.stdout == json_reference(command)
    names = [line.strip().split(":")[0] for line in ran.stdout.splitlines()]
    assert names[0] == "schema"
    assert len(names) == 1 + len(list(declared(json_keys()[command])))


def test_figures_are_in_full_and_names_as_in_the_file(check: SessionCheck) -> None:
    turn = read(written(check))["trains"][0]
    assert turn["margin"] == 1.0 / 1.22
    assert [car["car"] for car in turn["cars"]] == list(report_samples.TURN_CARS)
    assert turn["legs"][0]["from"] == "Low Yard"
    assert turn["suggestion"]["moves"][1] == {"cars": ["QLM 4", "QLM 5"], "after": None}
    assert report_samples.WIDE in written(check)


def test_tasks_say_who_does_what_for_which_train_and_by_when(check: SessionCheck) -> None:
    first, *others = read(written(check))["tasks"]
    assert (first["who"], first["train"], first["by"], first["level"]) == ("yard", "Turn", "10:00", "hold")
    assert first["why"] == ["side-pull"]
    assert first["gain"] == 1.64 - 1.0 / 1.22
    assert [task["level"] for task in others] == ["care"]
    assert first["what"] == "Move 3 cars in 2 moves, as its own sheet tells; the margin goes from 0.81 to 1.64."
    assert "\u00a0" not in json.dumps([first, *others], ensure_ascii=False)


def test_what_has_no_value_is_null(check: SessionCheck) -> None:
    turn, quiet = check.trains
    odd = replace(turn, margin=float("inf"), side_use=float("nan"), heavy_forward=float("-inf"))
    whole = read(written(replace(check, trains=(odd, quiet))))
    assert [whole["trains"][0][key] for key in ("margin", "side_use", "heavy_forward")] == [None, None, None]
    assert whole["trains"][0]["power"]["by_class"] == {"Heavy": 2, "Pusher": None}
    for key in ("margin", "worst", "peak_drawbar", "suggestion"):
        assert whole["trains"][1][key] is None


def test_no_minus_stands_before_a_zero(check: SessionCheck) -> None:
    turn, quiet = check.trains
    assert turn.peak_drawbar is not None
    slack = replace(turn, heavy_forward=-0.0, peak_drawbar=replace(turn.peak_drawbar, g=-0.0))
    text = written(replace(check, trains=(slack, quiet)))
    assert read(text)["trains"][0]["peak_drawbar"]["g"] == 0.0
    assert "-0" not in text


def test_same_check_gives_the_same_bytes_with_one_newline_at_the_end(check: SessionCheck) -> None:
    text = written(check)
    assert text == written(report_samples.session_check(report_samples.session()))
    assert text.endswith("}\n")
    assert not text.endswith("\n\n")
