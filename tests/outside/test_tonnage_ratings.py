"""Our tonnage rating against published worked examples, in pounds and short tons, and where it differs from them."""

from __future__ import annotations

import pytest

from consist.mechanics import curve_share_per_curvature
from consist.power.rating import trailing_load

__all__: list[str] = []

TON_LB = 2000.0
TEN_DEGREES = curve_share_per_curvature(1.0) / (5729.58 / 10.0 * 304.8)


def _tons(pull: float, weight: float, grade: float, curve: float, rolling: float, reserve: float = 0.0) -> float:
    load = trailing_load(pull, weight, grade, curve, rolling, reserve)
    assert load is not None
    return load / TON_LB


def test_army_tr0603_with_its_own_drawbar_pull() -> None:
    """US Army TR0603, 2.11: 33,600 lb at the drawbar, 0.80 for the weather, 7 + 30 + 8 lb a ton: 597.3 tons."""
    assert _tons(33_600.0, 0.0, 0.015, TEN_DEGREES, 7.0 / TON_LB, 0.20) == pytest.approx(597.3, abs=0.05)


def test_army_tr0603_by_our_rule_is_a_tenth_less() -> None:
    """A difference, kept in sight.

    Ours takes the reserve off the pull before the engine's weight, which it charges with the grade and the curve:
    36,000 x 0.80 - 38 x 120 = 24,240 lb, over 45 lb a ton 538.7 tons, by hand.
    """
    ours = _tons(36_000.0, 120.0 * TON_LB, 0.015, TEN_DEGREES, 7.0 / TON_LB, 0.20)
    assert ours == pytest.approx(538.7, abs=0.05)
    assert ours / 597.3 == pytest.approx(0.90, abs=0.005)


def test_webb() -> None:
    """W. L. Webb, Economics of Railroad Construction (title from memory), section 212: 28,200 lb make 1248 tons.

    2.6 of its 22.6 lb a ton on 1 % are level resistance; nothing is taken off for an engine.
    """
    assert _tons(28_200.0, 0.0, 0.01, 0.0, 2.6 / TON_LB) == pytest.approx(1248.0, abs=0.5)


@pytest.mark.parametrize(
    ("effort_lb", "engine_tons", "cars_tons"), [(36_000.0, 120.0, 1400.0), (60_000.0, 125.0, 2400.0)]
)
def test_army_ti_850_02(effort_lb: float, engine_tons: float, cars_tons: float) -> None:
    """US Army TI 850-02, equation 3-3: ruling grade % = TE / [20 (W_eng + N W_car)] - 0.15.

    It charges the engine with the 0.15 % of rolling resistance too, ours leaves that to the measured pull. So on that
    grade ours rates the engine's own rolling higher: W_eng x 0.15 / (grade + 0.15).
    """
    grade = effort_lb / (20.0 * (engine_tons + cars_tons)) - 0.15
    ours = _tons(effort_lb, engine_tons * TON_LB, grade / 100.0, 0.0, 0.0015)
    assert ours == pytest.approx(cars_tons + engine_tons * 0.15 / (grade + 0.15))
    assert _tons(effort_lb - 3.0 * engine_tons, engine_tons * TON_LB, grade / 100.0, 0.0, 0.0015) == pytest.approx(
        cars_tons
    )


def test_coaches_up_one_in_fifty() -> None:
    """(pull x 50 - engine weight) / coach weight, no other losses (a published hobby formula)."""
    load = trailing_load(110.0, 460.0, 1.0 / 50.0, 0.0, 0.0)
    assert load == pytest.approx(110.0 * 50.0 - 460.0)
