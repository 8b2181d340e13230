"""Cars that stand in two trains of one session."""

from __future__ import annotations

import pytest
from builders import car, case, engine, one_line, session, straight, train

from consist.rules.case import Finding
from consist.rules.whole_trains import _overlap, two_trains

__all__: list[str] = []

Times = tuple[int, int] | None
SHARED = car("Shared")


def _found(first: Times, second: Times, *, shared: bool = True) -> list[Finding]:
    where = one_line(straight(2000.0))
    one = train(where, [SHARED, car("C1")], [engine("1")], name="Freight 1", times=first)
    two = train(where, [car("C2"), SHARED if shared else car("C3")], [engine("2")], name="Freight 2", times=second)
    return two_trains(case(session(where, one, two), one))


@pytest.mark.parametrize(
    ("first", "second", "level"),
    [
        ((600, 640), (630, 700), "hold"),
        ((600, 640), (610, 620), "hold"),
        ((600, 640), (640, 700), "note"),  # the one arrives as the other leaves
        ((600, 640), (700, 740), "note"),
        ((1430, 1460), (10, 30), "hold"),  # past midnight
        ((1430, 1460), (30, 60), "note"),
        (None, (600, 640), "note"),
        (None, None, "note"),
    ],
)
def test_times_tell_whether_the_trains_meet(first: Times, second: Times, level: str) -> None:
    (found,) = _found(first, second)
    assert (found.level, found.car, found.spot) == (level, "Shared", 1)
    assert "Freight 2" in found.say


def test_trains_with_no_car_in_common_say_nothing() -> None:
    assert _found((600, 640), (600, 640), shared=False) == []


@pytest.mark.parametrize(
    ("other", "meet"),
    [
        ((640, 700), False),
        ((560, 600), False),
        ((639, 700), True),
        ((560, 601), True),
        ((610, 620), True),
        ((500, 700), True),
        ((1400, 1440 + 600), False),
        ((1400, 1440 + 601), True),
        ((639, 1440 + 10), True),
        ((640, 1440 + 10), False),
    ],
)
def test_trains_meet_that_have_a_minute_in_common_though_one_is_past_midnight(
    other: tuple[int, int], meet: bool
) -> None:
    assert _overlap((600, 640), other) is meet
    assert _overlap(other, (600, 640)) is meet
