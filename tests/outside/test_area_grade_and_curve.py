"""Grade 20 lb per short ton per per cent; curve 0.8 lb per short ton per degree; a degree is a radius of 5729.58 ft.

AREA/AREMA figures, quoted in US Army TR0603 and TI 850-02.
"""

from __future__ import annotations

import math

import pytest

from consist.mechanics import curve_share_per_curvature
from consist.mechanics.resistance import car_resistance, degrees_of_curve

__all__: list[str] = []

SHORT_TON_LB = 2000.0
FULL_SIZE = 1.0
MM_PER_FOOT = 304.8


def test_a_grade_takes_20_lb_a_ton_for_each_per_cent() -> None:
    for percent in (0.5, 1.0, 2.2):
        assert car_resistance(SHORT_TON_LB, percent / 100.0, 0.0) == pytest.approx(20.0 * percent)


def test_a_curve_takes_0_8_lb_a_ton_for_each_degree() -> None:
    for degrees in (1.0, 4.0, 10.0):
        radius_mm = 5729.58 / degrees * MM_PER_FOOT
        share = curve_share_per_curvature(FULL_SIZE) / radius_mm
        assert car_resistance(SHORT_TON_LB, share, 0.0) == pytest.approx(0.8 * degrees)


def test_a_degree_of_curve_turns_one_degree_in_100_feet() -> None:
    """The definition by arc: R = 100 ft x 180/pi, which is 5729.58 ft."""
    radius_mm = 100.0 * 180.0 / math.pi * MM_PER_FOOT
    assert degrees_of_curve(radius_mm, FULL_SIZE) == pytest.approx(1.0, rel=1e-6)


def test_a_models_curve_has_the_degree_of_its_full_size_curve() -> None:
    """24 in in HO is 24 x 87.1 / 12 = 174.2 ft: 5729.58 / 174.2 degrees."""
    assert degrees_of_curve(24.0 * 25.4, 87.1) == pytest.approx(5729.58 / 174.2)
