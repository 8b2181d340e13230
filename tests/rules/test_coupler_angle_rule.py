"""`coupler-angle`: couplers that must swing farther than they can."""

from __future__ import annotations

import math

import pytest
from builders import car as a_car
from builders import case, curve, engine, layout, line, one_line, session, spot, straight, train

import consist
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


def _beyond(*lengths_mm: float, radius_mm: float) -> list[Finding]:
    where = one_line(straight(900.0), curve(radius_mm, 90.0), straight(900.0))
    cars = [a_car(f"C{k}", length_mm=long) for k, long in enumerate(lengths_mm)]
    one = train(where, cars, [engine("9", length_mm=120.0)])
    return coupler_angle(case(session(where, one), one))


def test_no_coupler_swings_past_sixty_degrees() -> None:
    assert _beyond(150.0, 150.0, 150.0, radius_mm=400.0) == []
    first, second, third = _beyond(150.0, 150.0, 150.0, radius_mm=110.0)
    assert [each.car for each in (first, second, third)] == ["C0", "C1", "C2"]
    assert {each.level for each in (first, second, third)} == {"hold"}
    assert second.value is not None
    assert second.limit == 60.0
    assert second.value > 60.0
    assert second.say.startswith(f"The coupling between C0 and C1 must swing {second.value:.0f} degrees ")


def test_pivots_that_come_too_far_apart_hold() -> None:
    """Each car is turned by 340/330 from the next, the coupling by half of that: 29.5 degrees, within 60.

    Its pivots lie sqrt(161.1² + 329.4²) = 366.7 mm from the middle of the curve and 26.06 degrees from that of their
    cars, so that they are 2 · 366.7 · sin(29.52° - 26.06°) = 44.2 mm apart, past twice 17.8.
    """
    where = one_line(straight(900.0), curve(330.0, 200.0, easement_mm=400.0), straight(900.0))
    cars = [a_car(f"C{k}", length_mm=340.0, truck_centers_mm=40.0) for k in range(2)]
    one = train(where, cars)
    (found,) = coupler_angle(case(session(where, one), one))
    assert found.limit == pytest.approx(35.6)
    assert found.value == pytest.approx(44.2, abs=0.05)
    assert "would have its pivots 44.2 mm apart" in found.say
    assert "has 17.8 mm on straight track" in found.say


def test_a_train_with_what_cannot_be_holds_and_has_figures_of_the_rest() -> None:
    """The margin is that of the wide curve alone, as if the impossible one were not there."""
    wide = [straight(900.0), curve(600.0, 90.0), straight(900.0)]
    margins = []
    for bend in ([], [curve(30.0, 45.0), straight(400.0)]):
        where = one_line(*wide, *bend)
        one = train(where, [a_car("C0", 60.0), a_car("C1", 90.0), a_car("C2", 90.0)], [engine()])
        checked = consist.check(session(where, one)).trains[0]
        margins.append(checked.margin)
        assert checked.verdict == ("hold" if bend else "go")
    assert margins[1] == pytest.approx(margins[0], rel=0.005)


def test_a_coupling_that_cannot_be_on_two_legs_is_told_once() -> None:
    """A car is set out at the stop in the middle of a bend, so that those ahead of it ride two legs; it rides one."""
    bend = curve(110.0, 180.0)
    where = layout(line("A, e", "B, w", straight(900.0), bend), line("B, e", "C, w", bend, straight(900.0)))
    cars = [spot(a_car(f"C{k}"), k + 1, leaves=1 if k == 2 else 2) for k in range(3)]
    one = train(where, cars, [engine("9", length_mm=120.0)], stops=("A", "B", "C"))
    assert len(case(session(where, one), one).trip.legs) == 2
    found = coupler_angle(case(session(where, one), one))
    assert sorted(one.car or "" for one in found) == ["C0", "C1"]
