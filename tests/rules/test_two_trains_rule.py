"""Cars that stand in two trains of one session."""

from __future__ import annotations

import pytest
from builders import car, case, engine, one_line, session, straight, train

from consist.rules.case import Finding
from consist.rules.whole_trains import two_trains

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
