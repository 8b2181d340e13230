"""The [house.spread] table: how far what was not measured may be off."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from consist.errors import Problem
from consist.house import Spread
from consist.intake import read_session
from consist.intake.fields import declared

__all__: list[str] = []

Spoil = Callable[[str, str, str], tuple[Problem, ...]]
KEYS = "care_margin = 1.5\n[house.spread]\n"


def test_the_spreads_have_the_defaults_of_the_design(folder: Path) -> None:
    assert read_session(folder).house.spread == Spread(
        rolling=1.6, rolling_common=0.5, weight=1.33, weighed=1.01, curve_resistance=1.15, flange_drag=2.0,
        truck_centers=1.06, grip=1.25, pull=1.05, helper_part=1.5, flange_friction=0.1, flange_angle_deg=5.0,
    )  # fmt: skip


def test_every_key_is_read(folder: Path) -> None:
    written = {each.name: 0.5 * (each.bounds.low + each.bounds.high) for each in declared("spread")}
    keys = "".join(f"{key} = {value}\n" for key, value in written.items())
    path = folder / "session.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("care_margin = 1.5\n", KEYS + keys), encoding="utf-8")
    assert read_session(folder).house.spread == Spread(**written)


@pytest.mark.parametrize(
    ("key", "place", "words"),
    [
        ("roling = 1.2", "roling", ["does not know", "'rolling'"]),
        ("rolling = 0.5", "rolling", ["found 0.5", "from 1 to 10"]),
        ("rolling_common = 1.1", "rolling_common", ["found 1.1", "from 0 to 1"]),
        ('weight = "33 %"', "weight", ["'33 %'", "without quotes"]),
        ("weighed = nan", "weighed", ["found nan"]),
        ("truck_centers = 1.3", "truck_centers", ["found 1.3", "to 1.15"]),
        ("flange_drag = inf", "flange_drag", ["found inf"]),
        ("flange_friction = -0.1", "flange_friction", ["found -0.1", "from 0 to 1"]),
        ("flange_angle_deg = 45", "flange_angle_deg", ["found 45", "from 0 to 20"]),
        ("helper_part = true", "helper_part", ["found true"]),
    ],
)
def test_one_problem_for_a_bad_key(spoil: Spoil, key: str, place: str, words: list[str]) -> None:
    (problem,) = spoil("session.toml", "care_margin = 1.5\n", f"{KEYS}{key}\n")
    assert (problem.file, problem.place) == ("session.toml", f"house, spread, {place}")
    assert [word for word in words if word not in problem.text] == []


def test_a_spread_that_is_no_table_is_a_problem(spoil: Spoil) -> None:
    (problem,) = spoil("session.toml", "care_margin = 1.5\n", "care_margin = 1.5\nspread = 1.5\n")
    assert problem.place == "house, spread"
    assert "expected a table" in problem.text
