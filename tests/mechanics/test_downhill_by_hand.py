"""Trains that push, by hand: every engine holds back the same share of what it can hold, P(1 − reserve) + W·(slope).

On straight track side loads cost nothing. Cars of 100 g that roll on 1.4 % push with 100·(0.03 − 0.014) = 1.6 g each
down 3 %. An engine of 300 g and 30 g keeps 25.5 g of its pull and gives 9 g of it to its own weight: it holds 16.5 g.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest
from builders import World, car, curve, engine, straight, world
from each_millimetre import figures_at

from consist.house import House
from consist.stock import Engine

__all__: list[str] = []

DOWN = [straight(6000.0, -3.0)]
LEAD, SECOND, HELPER = engine("1", 300.0, 30.0), engine("2", 200.0, 60.0), engine("9", 400.0, 40.0)
WHOLLY_DOWN = 5000.0
"""A head with which the whole train stands on the grade."""


def _down(cars: int, ahead: Sequence[Engine], behind: Sequence[Engine] = ()) -> World:
    return world(DOWN, [car(f"C{k}") for k in range(cars)], ahead, behind)


def test_the_lead_engine_holds_all_cars() -> None:
    """Ten cars push with 16 g, of 16.5 g; each coupling holds what is behind it."""
    of = _down(10, [LEAD])
    at = figures_at(of, WHOLLY_DOWN).forces
    assert at.tension[:, 0] == pytest.approx([-1.6 * count for count in range(10, 0, -1)])
    assert at.engine_share[0] == pytest.approx(-16.0 / 16.5)
    peaks = of.run()
    assert peaks.hold_use.value[0] == pytest.approx(16.0 / 16.5)
    assert peaks.buff.value[0] == pytest.approx(16.0)
    # while its head only comes to the grade the cars have to be pulled: at first on the level, 1.4 g each
    assert peaks.power_use.value[0] == pytest.approx(14.0 / 25.5)
    assert peaks.tension.value[0] == pytest.approx(14.0)


def test_engines_at_both_ends_hold_in_proportion_to_what_they_can() -> None:
    """The second holds 51 − 6 = 45 g, the helper 34 − 12 = 22 g: of 16 g the three hold 16/83.5 each."""
    at = figures_at(_down(10, [LEAD, SECOND], [HELPER]), WHOLLY_DOWN).forces
    share = 16.0 / (16.5 + 45.0 + 22.0)
    assert at.engine_share[0] == pytest.approx(-share)
    # behind the first engine, behind the second, behind each car; the last car hangs on the helper
    between = [-16.5 * share, -61.5 * share, *(-61.5 * share + 1.6 * count for count in range(1, 11))]
    assert at.tension[:, 0] == pytest.approx(between)
    assert at.tension[-1, 0] == pytest.approx(22.0 * share)


def test_a_helper_alone_holds_all_cars() -> None:
    """Every coupling is stretched by the cars ahead of it."""
    at = figures_at(_down(4, [], [HELPER]), WHOLLY_DOWN).forces
    assert at.tension[:, 0] == pytest.approx([1.6, 3.2, 4.8, 6.4])
    assert at.engine_share[0] == pytest.approx(-6.4 / 22.0)


@pytest.mark.parametrize("helpers", [0, 1])
def test_with_nothing_to_hold_with_it_runs_away_and_the_lead_engine_takes_all(helpers: int) -> None:
    """One of 400 g keeps 8.5 g of 10 g, and its own weight pushes with 12 g."""
    weak = engine("1", 400.0, 10.0)
    # of uneven lengths, so that they nowhere ask for just nothing
    cars = [car(f"C{k}", 100.0, 150.0 + 7.3 * k) for k in range(3)]
    of = world(DOWN, cars, [weak], [weak] * helpers)
    at = figures_at(of, WHOLLY_DOWN).forces
    assert at.engine_share[0] == -math.inf
    assert at.tension[:, 0] == pytest.approx([-4.8, -3.2, -1.6, *[0.0] * helpers])
    peaks = of.run()
    assert peaks.hold_use.value[0] == math.inf
    assert np.isfinite(peaks.power_use.value[0])


@pytest.mark.parametrize("cars", [0, 3])
def test_engines_with_nothing_give_nothing_where_nothing_is_asked(cars: int) -> None:
    """Three cars alike ask for just nothing with the head 414.5 mm down, an engine by itself anywhere."""
    of = _down(cars, [engine("1", 400.0, 10.0)])
    assert figures_at(of, 414.5).forces.engine_share[0] == 0.0
    assert not np.isnan(of.run().hold_use.value[0])


def test_more_than_they_can_hold_is_a_share_over_one() -> None:
    peaks = _down(12, [LEAD]).run()
    assert peaks.hold_use.value[0] == pytest.approx(19.2 / 16.5)


def test_uphill_nothing_is_held() -> None:
    of = world([straight(6000.0, 2.0)], [car(f"C{k}") for k in range(4)], [LEAD], [HELPER])
    assert of.run().hold_use.value[0] == 0.0


def test_what_the_curve_takes_helps_to_hold_and_so_do_side_loads() -> None:
    """Two cars push an engine down 6 % round 600 mm, the last one p = a/(1 + ds), both (p·(1 − ds) + a)/(1 + ds).

    The cars turn by C/R from each to the next and the coupling between two by half of that, s = sin(C/2R); the engine
    is as long as a car.
    """
    of = world(
        [curve(600.0, 300.0, grade_percent=-6.0)],
        [car("C1"), car("C2")],
        [engine("1", 300.0, 60.0, 150.0, truck_centers_mm=105.0)],
        house=House(flange_drag=0.3),
    )
    curve_share = 0.0004 * 5729.58 * 304.8 / 87.1 / 600.0
    pushes, drag = 100.0 * (0.06 - 0.014 - curve_share), 0.3 * math.sin(150.0 / 600.0 / 2.0)
    last = pushes / (1.0 + drag)
    both = (last * (1.0 - drag) + pushes) / (1.0 + drag)
    at = figures_at(of, 2000.0).forces
    assert at.tension[:, 0] == pytest.approx([-both, -last], rel=1e-5)
    assert at.engine_share[0] == pytest.approx(-both / (51.0 - 300.0 * (0.06 - curve_share)), rel=1e-5)
