"""W. L. Webb, Economics of Railroad Construction (title from memory), section 212.

28,200 lb of tractive power at 22.6 lb a ton on 1 % make 1248 gross rating tons. Pounds and short tons. A grade of
1 % takes 20 lb of the 22.6; the 2.6 lb left are level rolling resistance, 0.13 %.
"""

from __future__ import annotations

import pytest

from consist.mechanics.resistance import car_resistance, usable_pull

__all__: list[str] = []

TON_LB = 2000.0
ROLLING = 2.6 / TON_LB
POWER_LB = 28_200.0


def test_a_ton_takes_22_6_lb_on_one_per_cent() -> None:
    assert car_resistance(TON_LB, 0.01, ROLLING) == pytest.approx(22.6)


def test_the_rating_is_1248_tons() -> None:
    """Nothing is taken off for an engine: the rating tons are gross, or its own share is off already."""
    per_ton = float(car_resistance(TON_LB, 0.01, ROLLING))
    assert float(usable_pull(POWER_LB, 0.0, 0.01)) / per_ton == pytest.approx(1248.0, abs=0.5)


def test_with_an_engine_in_the_gross_tons_ours_is_more_by_its_rolling_alone() -> None:
    """A difference, kept in sight: our engine has no rolling resistance, its pull being measured at the drawbar.

    The weight of the engine is not given with the example; 100 tons are assumed here. Behind it then go
    (28,200 - 20 x 100)/22.6 tons and not 28,200/22.6 - 100: 2.6 x 100/22.6, 11.5 tons more, under one per cent.
    """
    per_ton = float(car_resistance(TON_LB, 0.01, ROLLING))
    ours = float(usable_pull(POWER_LB, 100.0 * TON_LB, 0.01)) / per_ton
    theirs = POWER_LB / 22.6 - 100.0
    assert ours - theirs == pytest.approx(11.5, abs=0.05)
    assert ours / theirs < 1.011
