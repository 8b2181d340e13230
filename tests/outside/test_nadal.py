"""Nadal (1908): L/V = (tan d - mu)/(1 + mu tan d), and the two limits that follow for a truck."""

from __future__ import annotations

import math

import pytest

from consist.mechanics.sidepull import climb_limit, nadal, side_limits, tip_limit

__all__: list[str] = []


@pytest.mark.parametrize(("flange_deg", "friction", "limit"), [(75.0, 0.5, 1.13), (63.0, 0.5, 0.74)])
def test_values_for_usual_wheels(flange_deg: float, friction: float, limit: float) -> None:
    """Checked by hand; the formula is the source."""
    assert nadal(flange_deg, friction) == pytest.approx(limit, abs=0.005)


def test_without_friction_a_flange_climbs_at_the_tangent_of_its_angle() -> None:
    assert nadal(60.0, 0.0) == pytest.approx(math.sqrt(3.0))


@pytest.mark.parametrize(("limit", "gauge", "height"), [(0.787, 16.5, 9.93), (1.13, 9.0, 5.4), (0.5, 32.0, 18.0)])
def test_at_the_climbing_limit_the_wheel_is_just_at_nadals(limit: float, gauge: float, height: float) -> None:
    """Elementary statics: a side force Y at height h moves Yh/G of the truck's load from rail to rail.

    With half the load on each rail, the wheel that takes the side force carries V = N/2 + Yh/G of a truck's load N
    in tension, the inner rail being the one it bears on; at the limit Y/V is Nadal's.
    """
    load = 1.0
    side = climb_limit(limit, gauge, height) * load
    assert side / (load / 2.0 + side * height / gauge) == pytest.approx(limit)


def test_tipping_is_where_the_outer_rail_carries_nothing() -> None:
    """Moments about a rail: Y h = W G/2."""
    side = tip_limit(16.5, 9.93) * 100.0
    assert side * 9.93 == pytest.approx(100.0 * 16.5 / 2.0)


def test_where_the_flange_would_climb_after_tipping_there_is_no_climbing_limit() -> None:
    assert side_limits(16.5, 16.5, 60.0, 0.1).climb == math.inf
    assert side_limits(16.5, 9.93, 60.0, 0.4).climb < math.inf
