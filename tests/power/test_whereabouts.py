"""Where engines stand that are idle while a train runs: free, turned, and back in time for their next train."""

from __future__ import annotations

from dataclasses import replace

import pytest
from builders import car, engine, layout, line, straight, train

from consist.power.results import Turn
from consist.power.whereabouts import Idle, at_hand, idle_engines
from consist.session import Train

__all__: list[str] = []

WHERE = layout(line("West, e", "Mid, w", straight(2000.0)), line("Mid, e", "East, w", straight(2000.0)))
ONE = replace(engine("1"), home="West")
TURN = 10.0


def _train(times: tuple[int, int] | None = (600, 640)) -> Train:
    return train(WHERE, [car("C1")], stops=("West", "East"), times=times)


def _idle(*turns: Turn, times: tuple[int, int] | None = (600, 640)) -> list[Idle]:
    return idle_engines([ONE], {"1": turns}, _train(times), TURN)


def test_an_engine_without_a_trip_is_at_home() -> None:
    assert _idle() == [Idle(ONE, "West", None)]


@pytest.mark.parametrize(("arrive", "free"), [(590, True), (591, False), (600, False)])
def test_after_its_trip_an_engine_has_to_be_turned(arrive: int, free: bool) -> None:
    """It is where that trip ended, ten minutes after it."""
    found = _idle(Turn("Other", 500, arrive, "West", "East"))
    assert found == ([Idle(ONE, "East", None)] if free else [])


@pytest.mark.parametrize(("depart", "free"), [(650, True), (649, False), (640, False), (620, False)])
def test_before_its_next_trip_an_engine_has_to_be_turned(depart: int, free: bool) -> None:
    """The train arrives at 640; ten minutes after that the engine can leave again, and it must start at Mid."""
    found = _idle(Turn("Next", depart, depart + 30, "Mid", "East"))
    assert found == ([Idle(ONE, "West", "Mid")] if free else [])


def test_the_first_of_the_later_trips_is_the_next() -> None:
    turns = [Turn("Before", 500, 540, "West", "Mid"), Turn("Next", 700, 720, "Mid", "East")]
    assert _idle(*turns, Turn("Last", 800, 830, "East", "West")) == [Idle(ONE, "Mid", "Mid")]


def test_for_a_train_without_times_any_trip_with_times_is_in_the_way() -> None:
    assert _idle(Turn("Other", 500, 540, "West", "East"), times=None) == []
    assert _idle(Turn("Other", None, None, "West", "East"), times=None) == [Idle(ONE, "West", None)]


@pytest.mark.parametrize(
    ("place", "next_start", "there"),
    [
        ("West", None, True),
        ("", None, True),
        ("West", "East", True),
        ("West", "West", False),
        ("Mid", None, False),
        ("East", "East", False),
    ],
)
def test_at_hand_are_those_at_the_first_place_that_may_end_at_the_last(
    place: str, next_start: str | None, there: bool
) -> None:
    one = Idle(ONE, place, next_start)
    assert at_hand([one], _train()) == ([one] if there else [])
