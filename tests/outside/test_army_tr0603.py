"""US Army TR0603, Rail Operations Planning, worked example 2.11, in pounds and short tons.

An engine of 120 tons with 36,000 lb of continuous tractive effort on a grade of 1.5 % and a curve of 10 degrees:
36,000 - 20 x 120 = 33,600 lb of drawbar pull; 7 + 30 + 8 = 45 lb a ton; 33,600 x 0.80 / 45 = 597.3 tons.
"""

from __future__ import annotations

import pytest

from consist.mechanics import curve_share_per_curvature
from consist.mechanics.resistance import car_resistance, usable_pull

__all__: list[str] = []

TON_LB = 2000.0
ENGINE_LB = 120.0 * TON_LB
EFFORT_LB = 36_000.0
ROLLING = 7.0 / TON_LB
GRADE = 0.015
CURVE = curve_share_per_curvature(1.0) / (5729.58 / 10.0 * 304.8)
WEATHER = 0.80


def test_a_ton_of_train_takes_45_lb() -> None:
    assert car_resistance(TON_LB, GRADE + CURVE, ROLLING) == pytest.approx(45.0)


def test_drawbar_pull_after_20_lb_a_ton_of_engine_is_33600_lb() -> None:
    """Their flat 20 lb a ton is what our engine loses on a grade of 1 %."""
    assert usable_pull(EFFORT_LB, ENGINE_LB, 0.01) == pytest.approx(33_600.0)


def test_the_trailing_load_is_597_3_tons() -> None:
    per_ton = float(car_resistance(TON_LB, GRADE + CURVE, ROLLING))
    pull = float(usable_pull(EFFORT_LB, ENGINE_LB, 0.01))
    assert pull * WEATHER / per_ton == pytest.approx(597.3, abs=0.05)


def test_our_engine_pays_for_the_grade_and_curve_it_stands_on() -> None:
    """A difference, kept in sight: 30 + 8 lb a ton of engine in place of a flat 20, so a lower rating than theirs.

    (36,000 - 38 x 120) x 0.80 / 45 = 558.9 tons, by hand.
    """
    per_ton = float(car_resistance(TON_LB, GRADE + CURVE, ROLLING))
    pull = float(usable_pull(EFFORT_LB, ENGINE_LB, GRADE + CURVE))
    assert pull * WEATHER / per_ton == pytest.approx(558.9, abs=0.05)
