"""`power-short`: trains that cannot be moved, and trains with no engine."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from builders import car, case, engine, one_line, session, straight, train

from consist.rules.case import Case
from consist.rules.power_short import power_short
from consist.stock import Engine

__all__: list[str] = []

GRADE = [straight(500.0), straight(4000.0, 2.0)]


def _case(pull_g: float, *, roster: Sequence[Engine] = (), none: bool = False) -> Case:
    where = one_line(*GRADE)
    one = train(where, [car(f"C{k}", 100.0) for k in range(5)], [] if none else [engine("7", 0.0, pull_g)])
    return case(session(where, one, roster=roster), one)


def test_enough_power_says_nothing() -> None:
    """By hand: 500 g x (0.02 + 0.014) = 17 g; a weightless engine of 20.1 g keeps 85 % of it, 17.085 g."""
    assert power_short(_case(20.1)) == []


def test_too_little_power_is_a_hold_with_the_share_asked() -> None:
    """By hand: 85 % of 10 g is 8.5 g, half of the 17 g needed."""
    (found,) = power_short(_case(10.0, roster=[engine("8", 0.0, 0.0, engine_class="B")]))
    assert (found.code, found.level, found.limit) == ("power-short", "hold", 1.0)
    assert found.value == pytest.approx(2.0)
    assert "200 %" in found.say
    # two of them have just 17 g; of the other class no number does
    assert found.say.endswith("or run it behind 2 A.")
    assert "downhill" not in found.say


def test_no_pull_at_all_has_no_figure() -> None:
    (found,) = power_short(_case(0.0))
    assert found.level == "hold"
    assert found.value is None
    assert "have no pull to spare" in found.say
    assert "no class of the roster can do it alone" in found.say


def test_a_train_without_engines_is_a_matter_of_care_and_names_its_stand_ins() -> None:
    (found,) = power_short(_case(0.0, roster=[engine("7", 0.0, 10.0)], none=True))
    assert (found.level, found.value) == ("care", None)
    assert "checked behind 2 of class A" in found.say


def test_nor_any_in_the_roster() -> None:
    made = _case(0.0, none=True)
    (found,) = power_short(made)
    assert found.level == "care"
    assert "none in the roster can move this train" in found.say
