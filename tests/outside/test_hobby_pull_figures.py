"""Published hobby figures for what a model engine pulls and what its cars take."""

from __future__ import annotations

import pytest
from builders import HO

from consist.house import House
from consist.mechanics.resistance import car_resistance, usable_pull
from consist.stock import engine_by_rule, weight_standard

__all__: list[str] = []

ROLLING = House().rolling_percent / 100.0


def test_what_pulls_100_cars_on_the_level_pulls_36_on_two_and_a_half_per_cent() -> None:
    """A hobby handbook's figure, quoted in a public discussion (handbook not seen); the engine's weight left out.

    Our default of 1.4 % was taken from it: what is checked is that it was taken rightly, and not that it is right.
    """
    pull = float(car_resistance(100.0 * 90.0, 0.0, ROLLING))
    assert round(pull / float(car_resistance(90.0, 0.025, ROLLING))) == 36


def test_ten_ho_cars_on_the_level_take_25_g() -> None:
    """Measured with a spring scale, published in a public discussion; the cars' weights were not given.

    That is 2.5 g a car, 2 % or so of a car near the standard, where our default is 1.4 %. Cars on another bench
    rolled at 0.8 % to 2.2 % (public discussion): at the stiff end ten cars of NMRA RP-20.1's weight for 5.5 in come
    within a tenth of the reading. The default itself gives 60 % of it: a difference, kept in sight. With the weights
    unknown the reading can only tell that our defaults are not far off; it does not settle them.
    """
    cars_g = 10.0 * weight_standard("nmra-rp-20.1", "HO").target_g(5.5 * 25.4, 152.4)
    assert float(car_resistance(cars_g, 0.0, 0.022)) == pytest.approx(25.0, rel=0.10)
    assert float(car_resistance(cars_g, 0.0, ROLLING)) == pytest.approx(0.6 * 25.0, rel=0.05)
    assert float(car_resistance(cars_g, 0.0, 0.008)) < 25.0


def test_an_engine_pulls_a_quarter_of_the_weight_on_its_drivers() -> None:
    """0.25, metal on metal (public discussion; common practice 0.20 to 0.25)."""
    found = engine_by_rule("5", HO, weight_g=520.0, drivers_weight_g=400.0)
    assert found.pull_g == pytest.approx(100.0)
    assert not found.measured


def test_coaches_up_one_in_fifty() -> None:
    """(pull x 50 - engine weight) / coach weight, no other losses (a published hobby formula)."""
    pull, engine_g, coach_g = 110.0, 460.0, 135.0
    ours = float(usable_pull(pull, engine_g, 1.0 / 50.0) / car_resistance(coach_g, 1.0 / 50.0, 0.0))
    assert ours == pytest.approx((pull * 50.0 - engine_g) / coach_g)
