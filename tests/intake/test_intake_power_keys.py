"""The keys and columns that planning power reads: turn_minutes, light_moves and an engine's home."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from consist.errors import Problem
from consist.intake import read_session

__all__: list[str] = []

Spoil = Callable[[str, str, str], tuple[Problem, ...]]


@pytest.mark.parametrize(
    ("file", "old", "new", "place", "words"),
    [
        ("session.toml", "care_margin = 1.5", "turn_minutes = -1", "house, turn_minutes", ["found -1", "from 0"]),
        ("session.toml", "care_margin = 1.5", "turn_minutes = 1441", "house, turn_minutes", ["to 1440"]),
        ("session.toml", "care_margin = 1.5", 'turn_minutes = "10"', "house, turn_minutes", ["without quotes"]),
        ("session.toml", "care_margin = 1.5", 'light_moves = "no"', "house, light_moves", ["'no'", "true or false"]),
        ("session.toml", "care_margin = 1.5", "light_moves = 1", "house, light_moves", ["found 1", "true or false"]),
        ("engines.csv", "Skerry Yard", "Skery Yard", "row 2, home", ["'Skery Yard'", "did you mean 'Skerry Yard'?"]),
    ],
)
def test_one_problem_each(spoil: Spoil, file: str, old: str, new: str, place: str, words: list[str]) -> None:
    (problem,) = spoil(file, old, new)
    assert (problem.file, problem.place) == (file, place)
    assert [word for word in words if word not in problem.text] == []


def test_both_keys_are_read_and_a_blank_home_is_none(folder: Path) -> None:
    text = (folder / "session.toml").read_text(encoding="utf-8")
    keys = "turn_minutes = 25\nlight_moves = true"
    (folder / "session.toml").write_text(text.replace("care_margin = 1.5", keys), encoding="utf-8")
    session = read_session(folder)
    assert (session.house.turn_minutes, session.house.light_moves) == (25.0, True)
    assert [engine.home for engine in session.engines] == ["Skerry Yard", ""]


def test_by_default_an_engine_is_turned_in_ten_minutes_and_none_runs_light(folder: Path) -> None:
    house = read_session(folder).house
    assert (house.turn_minutes, house.light_moves) == (10.0, False)


def test_flange_drag_is_three_hundredths_unless_the_house_says(folder: Path) -> None:
    """0.4 of friction times 0.35 mm over 4.8 mm, by derivation; the house may say anything from none to a half."""
    assert read_session(folder).house.flange_drag == 0.03 == round(0.4 * 0.35 / 4.8, 2)
    text = (folder / "session.toml").read_text(encoding="utf-8")
    for drag in (0.0, 0.1, 0.5):
        changed = text.replace("care_margin = 1.5", f"flange_drag = {drag:g}")
        (folder / "session.toml").write_text(changed, encoding="utf-8")
        assert read_session(folder).house.flange_drag == drag


def test_a_place_that_only_lines_name_may_be_a_home(folder: Path) -> None:
    path = folder / "engines.csv"
    path.write_text(path.read_text(encoding="utf-8").replace("Skerry Yard", "Tarn End"), encoding="utf-8")
    assert read_session(folder).engines[0].home == "Tarn End"
