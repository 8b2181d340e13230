"""`coupler-angle`: couplers that must swing farther than they can."""

from __future__ import annotations

import math

import pytest
from builders import car as a_car
from builders import case, curve, engine, one_line, session, straight, train

from consist.rules.cars import coupler_angle
from consist.rules.case import Finding

__all__: list[str] = []


def _found(limit_deg: float | None, radius_mm: float = 600.0) -> list[Finding]:
    # far enough on that the train stands wholly on the curve
    where = one_line(curve(radius_mm, 150.0))
    cars = [a_car(f"C{k}", max_swing_deg=limit_deg if k == 2 else None) for k in range(5)]
    one = train(where, cars, [engine(length_mm=150.0)])
    return coupler_angle(case(session(where, one), one))


def test_a_car_whose_coupler_swings_too_far_is_on_hold() -> None:
    """Like cars on an even curve: each axis turns C/R from the next and the coupling halves it, 7.2 degrees here."""
    even = math.degrees(150.0 / 600.0) / 2.0
    (found,) = _found(0.9 * even)
    assert (found.code, found.level, found.car, found.spot) == ("coupler-angle", "hold", "C2", 3)
    assert found.value is not None
    # onto the curve from the straight it swings farther for a moment
    assert found.value >= 0.99 * even
    assert found.limit == pytest.approx(0.9 * even)


def test_just_wide_enough_is_enough() -> None:
    (found,) = _found(1.0)
    assert found.value is not None
    assert _found(found.value * (1.0 + 1e-9)) == []
    assert len(_found(found.value * (1.0 - 1e-6))) == 1


def test_a_coupler_with_room_says_nothing() -> None:
    assert _found(30.0) == []


def test_without_a_limit_nothing_is_known_and_nothing_said() -> None:
    assert _found(None, radius_mm=250.0) == []


def test_on_straight_track_any_coupler_will_do() -> None:
    where = one_line(straight(2000.0))
    one = train(where, [a_car("C1", max_swing_deg=0.01), a_car("C2")], [engine()])
    assert coupler_angle(case(session(where, one), one)) == []
