"""Cars coupled on their trucks, by hand: each pull acts on its own truck alone, and each truck tips alone.

Their pivots lie half the spacing of their trucks ahead of a car's middle and behind it, on its axis. Side loads cost
nothing here, and unless told otherwise a flange is so steep and smooth that none climbs, so that what is left is
tipping: a truck's pull over half the car's weight, against G/2h.
"""

from __future__ import annotations

import math

import pytest
from builders import World, car, curve, engine, straight, world
from each_millimetre import figures_at, side_pulls

from consist.house import House
from consist.mechanics import side_limits
from consist.stock import CouplerMount

__all__: list[str] = []

LENGTH_MM, CENTERS_MM, RADIUS_MM, WEIGHT_G = 150.0, 105.0, 500.0, 80.0
TIPS = 16.5 / (2.0 * 9.93)
CURVE_SHARE = 0.0004 * 5729.58 * 304.8 / 87.1 / RADIUS_MM
TAKES_G = WEIGHT_G * (0.014 + CURVE_SHARE)
STEEP = House(flange_drag=0.0, flange_angle_deg=80.0, flange_friction=0.1)
CLIMBS = House(flange_drag=0.0)
TABLED = 1e-4


def _train(mount: CouplerMount, house: House, *, turns: bool = False) -> World:
    """Three cars behind an engine of their size, round one curve, or round one and then at once another way."""
    cars = [car(f"C{k}", WEIGHT_G, LENGTH_MM, mount=mount) for k in range(3)]
    lead = engine("1", 300.0, 100.0, LENGTH_MM, truck_centers_mm=CENTERS_MM)
    bends = [curve(RADIUS_MM, 120.0, "left"), curve(RADIUS_MM, 120.0, "right" if turns else "left")]
    return world([straight(100.0), *bends, straight(100.0)], cars, [lead], house=house)


JOINT_MM = 100.0 + RADIUS_MM * math.radians(120.0)


def test_the_flange_of_the_first_house_does_not_climb_and_that_of_the_other_does_first() -> None:
    for house, climbs in ((STEEP, False), (CLIMBS, True)):
        limits = side_limits(16.5, 9.93, house.flange_angle_deg, house.flange_friction)
        assert (limits.climb < limits.tip) is climbs


@pytest.mark.parametrize("house", [STEEP, CLIMBS])
def test_round_an_even_curve(house: House) -> None:
    """Cars alike turn by C/R from each to the next, and the coupling between two of them by half of that: C/2R.

    The second car is pulled with 2w and pulls the last with w; its front truck has the greater pull.
    """
    of = _train("truck", house)
    at = figures_at(of, JOINT_MM + 300.0)
    side = math.sin(LENGTH_MM / (2.0 * RADIUS_MM))
    front, rear = side_pulls(at)
    assert front[2:, 0] == pytest.approx([2 * TAKES_G * side, TAKES_G * side], rel=TABLED)
    assert rear[1:, 0] == pytest.approx([2 * TAKES_G * side, TAKES_G * side, 0.0], rel=TABLED)
    bears = min(TIPS, side_limits(16.5, 9.93, house.flange_angle_deg, house.flange_friction).climb)
    expected = [count * TAKES_G * side / (WEIGHT_G / 2.0) / bears for count in (2, 1)]
    assert at.use[2:, 0] == pytest.approx(expected, rel=TABLED)


def test_where_the_curve_turns_each_truck_is_pulled_its_own_way() -> None:
    """The middle car's middle is where the curve turns, so that both its couplings make the same angle, either way.

    Its axis goes through its truck, B/2 along the curve. The next car has turned by C/R; its trucks' chord has its
    middle R·cos(B/2R) from the curve's. The body tips less, one pull undoing part of the other.
    """
    of = _train("truck", STEEP, turns=True)
    at = figures_at(of, JOINT_MM + 2.5 * LENGTH_MM)
    half, turned, spread = CENTERS_MM / 2.0, LENGTH_MM / RADIUS_MM, CENTERS_MM / (2.0 * RADIUS_MM)
    axis = math.atan2(RADIUS_MM * (1.0 - math.cos(spread)), RADIUS_MM * math.sin(spread))
    own_x, own_y = half * math.cos(axis), half * math.sin(axis)
    chord = RADIUS_MM * math.cos(spread)
    next_x = chord * math.sin(turned) - half * math.cos(turned)
    next_y = RADIUS_MM - chord * math.cos(turned) - half * math.sin(turned)
    side = math.sin(math.atan2(next_y - own_y, next_x - own_x) - axis)
    front, rear = side_pulls(at)
    # ahead of it the curve goes right, behind it the track comes from the left
    assert front[2, 0] == pytest.approx(-2 * TAKES_G * side, rel=TABLED)
    assert rear[2, 0] == pytest.approx(TAKES_G * side, rel=TABLED)
    assert at.use[2, 0] == pytest.approx(2 * TAKES_G * side / (WEIGHT_G / 2.0) / TIPS, rel=TABLED)


def test_with_couplers_on_the_body_the_car_tips_as_a_whole() -> None:
    of = _train("body", STEEP, turns=True)
    at = figures_at(of, JOINT_MM + 2.5 * LENGTH_MM)
    front, rear = side_pulls(at)
    assert at.use[2, 0] == pytest.approx(abs(front[2, 0] + rear[2, 0]) / WEIGHT_G / TIPS)
    # twice as much at the front as at the rear, the other way: half of what each truck would have to bear alone
    assert at.use[2, 0] < 0.3 * max(abs(front[2, 0]), abs(rear[2, 0])) / (WEIGHT_G / 2.0) / TIPS
