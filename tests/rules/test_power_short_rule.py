"""`power-short`: trains that cannot be moved, trains that would run away, and trains with no engine."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from builders import car, case, engine, one_line, session, straight, train

from consist.rules.case import Case
from consist.rules.whole_trains import power_short
from consist.stock import Engine

__all__: list[str] = []

GRADE = [straight(500.0), straight(4000.0, 2.0)]
NOTHING_G = 1e-9
"""An engine must weigh something; this is lost in rounding."""


def _case(pull_g: float, *, roster: Sequence[Engine] = (), none: bool = False) -> Case:
    where = one_line(*GRADE)
    one = train(where, [car(f"C{k}", 100.0) for k in range(5)], [] if none else [engine("7", NOTHING_G, pull_g)])
    return case(session(where, one, roster=roster), one)


def test_enough_power_says_nothing() -> None:
    """By hand: 500 g x (0.02 + 0.014) = 17 g; a weightless engine of 20.1 g keeps 85 % of it, 17.085 g."""
    assert power_short(_case(20.1)) == []


def test_too_little_power_is_a_hold_with_the_share_asked() -> None:
    """By hand: 85 % of 10 g is 8.5 g, half of the 17 g needed."""
    (found,) = power_short(_case(10.0, roster=[engine("8", NOTHING_G, 0.0, engine_class="B")]))
    assert (found.code, found.level, found.limit) == ("power-short", "hold", 1.0)
    assert found.value == pytest.approx(2.0)
    assert "200 %" in found.say
    # two of them have just 17 g; of the other class no number does
    assert found.say.endswith("or run it behind 2 A (1 owned).")
    assert "downhill" not in found.say


def test_no_pull_at_all_has_no_figure() -> None:
    (found,) = power_short(_case(0.0))
    assert found.level == "hold"
    assert found.value is None
    assert "has no pull to spare" in found.say
    assert "no class of the roster can do it alone" in found.say


def test_a_train_without_engines_is_a_matter_of_care_and_names_its_stand_ins() -> None:
    (found,) = power_short(_case(0.0, roster=[engine("7", NOTHING_G, 10.0)], none=True))
    assert (found.level, found.value) == ("care", None)
    assert "checked behind 2 of class A" in found.say


def test_nor_any_in_the_roster() -> None:
    made = _case(0.0, none=True)
    (found,) = power_short(made)
    assert found.level == "care"
    assert "none in the roster can move this train" in found.say


def _downhill(
    *engines: Engine, grade_percent: float = -3.0, cars: int = 10, roster: Sequence[Engine] = (), first: float = 0.0
) -> Case:
    """Cars of 100 g that push with 1.6 g each down 3 %, after so much of the same grade upward."""
    where = one_line(straight(4000.0, first), straight(4000.0, grade_percent))
    one = train(where, [car(f"C{k}") for k in range(cars)], engines)
    return case(session(where, one, roster=roster), one)


def test_a_train_that_its_engine_cannot_hold_runs_away_and_is_told_so() -> None:
    """Ten cars push with 16 g. An engine of 100 g and 20 g keeps 17 g and its own weight takes 3 g: it holds 14 g."""
    (found,) = power_short(_downhill(engine("1", 100.0, 20.0)))
    assert (found.code, found.level, found.limit) == ("power-short", "hold", 1.0)
    assert found.value == pytest.approx(16.0 / 14.0)
    assert found.say.startswith("The train runs away downhill: its engine has to hold back 114 % of what it can")
    # two hold 28 g
    assert found.say.endswith("; take cars off, or run it behind 2 A (1 owned).")
    assert found.place == "between Left Yard and Right Yard"


def test_an_engine_that_just_holds_says_nothing() -> None:
    """85 % of 22.4 g is 19.04 g, less 3 g it holds 16.04 g; of 22.3 g it holds 15.955 g."""
    assert power_short(_downhill(engine("1", 100.0, 22.4))) == []
    assert len(power_short(_downhill(engine("1", 100.0, 22.3)))) == 1


def test_engines_that_can_hold_nothing_have_no_figure() -> None:
    """One of 400 g keeps 8.5 g of 10 g, and its own weight pushes with 12 g. No number of them does better."""
    (found,) = power_short(_downhill(engine("1", 400.0, 10.0), cars=1))
    assert (found.level, found.value) == ("hold", None)
    assert "to hold it, and can hold nothing" in found.say
    assert "no class of the roster can do it alone" in found.say


def test_a_train_may_stall_uphill_and_run_away_downhill() -> None:
    """Up 2 % the cars ask for 34 g, down 3 % they push with 16 g; one of next to no weight has 8.5 g either way."""
    found = power_short(_downhill(engine("1", NOTHING_G, 10.0), first=2.0))
    assert [one.value for one in found] == pytest.approx([4.0, 16.0 / 8.5])
    assert ["runs away" in one.say for one in found] == [False, True]
    assert ["usable pull" in one.say for one in found] == [True, False]


@pytest.mark.parametrize("over", [1e-6, 1e-3])
def test_barely_short_is_short(over: float) -> None:
    """85 % of 20 g is 17 g, just what five cars ask for uphill; a millionth less is too little."""
    assert power_short(_case(20.0)) == []
    (found,) = power_short(_case(20.0 / (1.0 + over)))
    assert found.value == pytest.approx(1.0 + over, rel=1e-9)
    assert power_short(_case(20.0 * (1.0 + over))) == []


@pytest.mark.parametrize("over", [1e-6, 1e-3])
def test_barely_held_is_not_held(over: float) -> None:
    """With next to no weight 85 % of 16/0.85 g is just what ten cars push with."""
    assert power_short(_downhill(engine("1", NOTHING_G, 16.0 / 0.85))) == []
    (found,) = power_short(_downhill(engine("1", NOTHING_G, 16.0 / 0.85 / (1.0 + over))))
    assert found.value == pytest.approx(1.0 + over, rel=1e-9)
