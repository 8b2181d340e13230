"""The package's evaluator against the plain model, head position by head position."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import plain
import pytest
from builders import World, car, curve, engine, plain_house, plain_pieces, plain_train, straight, world
from each_millimetre import figures_at, side_pulls
from hypothesis import given, settings
from many_sessions import random_session
from strategies import trains_on_track

from consist.mechanics import evaluate
from consist.scales import SCALES
from consist.stock import Car, Engine
from consist.track import Piece
from consist.trains import prepared

__all__: list[str] = []

HEADS = 23
SINE = 2e-5
"""How far a sine may be off: the plan is tabled, and a point of it is off by what a straight of a fortieth of a step
cuts off of an arc, at most 0.0001 mm on a curve of 400 mm in HO, between pivots some 18 mm apart."""
FORCE = 1e-5
"""What such a sine makes of the drag of a force: 0.03 of it, a few times over."""
BOXCARS = [car(f"C{k}", 60.0 + 17.0 * k, 140.0 + 9.0 * k, rolling=0.010 + 0.001 * k) for k in range(6)]
FOUR_WHEEL = [car(f"W{k}", 30.0 + 5.0 * k, 92.0 + 3.0 * k, truck_centers_mm=41.0 + k) for k in range(5)]
ON_TRUCKS = [car(f"P{k}", 120.0 + 8.0 * k, 290.0 - 4.0 * k, mount="truck") for k in range(4)]
MIXED = [BOXCARS[0], FOUR_WHEEL[0], ON_TRUCKS[0], BOXCARS[1], ON_TRUCKS[1], FOUR_WHEEL[1]]
LEAD, SECOND, HELPER = engine("1"), engine("2", 350.0, 70.0, 160.0), engine("9", 500.0, 130.0, 240.0)

UNEASED = [straight(300.0), curve(610.0, 80.0), straight(400.0)]
EASED = [straight(300.0), curve(610.0, 80.0, "right", easement_mm=220.0), straight(400.0)]
S_CURVE = [straight(200.0), curve(560.0, 45.0), curve(560.0, 60.0, "right"), straight(300.0)]
EASED_S = [curve(560.0, 45.0, easement_mm=150.0), curve(500.0, 60.0, "right", easement_mm=300.0), straight(300.0)]
UPHILL = [straight(250.0, 1.0), curve(700.0, 70.0, grade_percent=2.5, easement_mm=180.0), straight(500.0, 3.0)]
DOWNHILL = [straight(250.0, -1.0), curve(700.0, 70.0, grade_percent=-2.5), straight(500.0, -3.0)]
SUMMIT = [curve(600.0, 60.0, grade_percent=3.0), straight(400.0), curve(600.0, 60.0, "right", grade_percent=-3.0)]
ALL_EASEMENT = [curve(800.0, 30.0, easement_mm=800.0 * math.radians(30.0)), straight(300.0, 2.0)]

CASES: dict[str, tuple[Sequence[Piece], Sequence[Car], Sequence[Engine], Sequence[Engine]]] = {
    "uneased curve": (UNEASED, BOXCARS, [LEAD], []),
    "eased curve": (EASED, BOXCARS, [LEAD], []),
    "S curve": (S_CURVE, BOXCARS, [LEAD, SECOND], []),
    "eased S curve, mixed stock": (EASED_S, MIXED, [LEAD], []),
    "uphill with a helper": (UPHILL, BOXCARS, [LEAD], [HELPER]),
    "uphill, couplers on the trucks": (UPHILL, ON_TRUCKS, [LEAD], []),
    "downhill, the lead engine holding back": (DOWNHILL, BOXCARS, [LEAD, SECOND], []),
    "downhill with a helper": (DOWNHILL, MIXED, [LEAD], [HELPER]),
    "over a summit": (SUMMIT, FOUR_WHEEL, [LEAD], [HELPER]),
    "nothing but easement": (ALL_EASEMENT, MIXED, [LEAD], []),
    "a helper alone": (UPHILL, FOUR_WHEEL, [], [HELPER]),
    "no engine": (S_CURVE, MIXED, [], []),
    "short of power": (UPHILL, BOXCARS, [engine("1", 200.0, 25.0)], []),
}


def _hold_against_plain(of: World, pieces: Sequence[Piece]) -> None:
    """Every figure at scattered heads, to what tabling the plan costs."""
    track = plain.Track(plain_pieces(pieces))
    train = plain_train(of.train.engines, of.train.cars, of.train.helpers)
    # scattered by the golden ratio, so that no truck stands just on a joint
    heads = [of.length_mm * ((k * 0.6180339887 + 0.0137) % 1.0) for k in range(HEADS)]
    at = figures_at(of, *heads)
    front, rear = side_pulls(at)
    for k, head in enumerate(heads):
        expected = plain.figures(train, track, plain_house(of.session), head)
        tension = np.array(expected.tension)
        force = FORCE * max(np.abs(tension).max(initial=0.0), 1.0)
        assert at.forces.resistance[k] == pytest.approx(expected.resistance, abs=force)
        assert at.forces.usable[k] == pytest.approx(expected.usable, abs=1e-9)
        np.testing.assert_allclose(at.forces.tension[:, k], tension, rtol=0.0, atol=force)
        sides = SINE * np.abs(tension) + force
        assert np.all(np.abs(front[1:, k] - expected.pull_front[1:]) <= sides)
        assert np.all(np.abs(rear[:-1, k] - expected.pull_rear[:-1]) <= sides)
        np.testing.assert_allclose(at.use[:, k], expected.use, rtol=1e-3, atol=1e-4)
        if of.vehicles.engines:
            # one number: what they pull above 0, what they hold back below
            share = expected.power_use - expected.hold_use
            assert at.forces.engine_share[k] == pytest.approx(share, rel=1e-5, abs=1e-6)


@pytest.mark.parametrize("name", CASES)
def test_figures_are_those_of_the_plain_model(name: str) -> None:
    pieces, cars, engines, helpers = CASES[name]
    _hold_against_plain(world(pieces, cars, engines, helpers), pieces)


@pytest.mark.parametrize("scale", ["N", "O", "HOn3", "1"])
def test_figures_are_those_of_the_plain_model_in_other_scales(scale: str) -> None:
    factor = SCALES[scale].by_ratio(1.0)
    pieces = [
        curve(600.0 * factor, 50.0, easement_mm=200.0 * factor, grade_percent=2.0),
        curve(600.0 * factor, 50.0, "right", grade_percent=-2.0),
    ]
    cars = [car(f"C{k}", 20.0 + 9.0 * k, (120.0 + 20.0 * k) * factor) for k in range(4)]
    _hold_against_plain(world(pieces, cars, [engine("1", length_mm=180.0 * factor)], scale=SCALES[scale]), pieces)


@given(trains_on_track())
@settings(max_examples=15)
def test_figures_are_those_of_the_plain_model_for_any_train(of: World) -> None:
    _hold_against_plain(of, of.train.route.pieces)


def test_a_push_throws_a_car_out_of_the_curve_and_a_pull_draws_it_in() -> None:
    """Left of the car is inside a left-hand curve, so a pull there is positive."""
    pieces = [curve(600.0, 180.0)]
    for helpers, sign in (([], 1.0), ([HELPER], -1.0)):
        of = world(pieces, BOXCARS[:4], [] if helpers else [LEAD], helpers)
        front, rear = side_pulls(figures_at(of, 1400.0))
        assert np.sign(front[2, 0] + rear[2, 0]) == sign


def test_a_helper_that_could_hold_nothing_pulls_what_is_asked_of_it() -> None:
    """Side loads alone keep the train from rolling; without them the helper would hold, which it cannot there."""
    drawn = random_session(215)
    leg, run = drawn.legs[1], prepared(drawn.session, drawn.train).run().legs[1]
    heads = np.linspace(5800.0, 5816.0, 33)
    found = evaluate(run.vehicles, run.tables, heads, run.limits).forces.engine_share
    expected = [plain.figures(leg.train, leg.track, leg.house, float(head)).power_use for head in heads]
    assert max(expected) < 0.01
    np.testing.assert_allclose(found[np.array(expected) > 0.0], [one for one in expected if one > 0.0], rtol=1e-4)


def test_curve_and_slope_are_those_under_the_trucks() -> None:
    """By hand: one car of 100 g, half on a 2 % grade: its slope is half of 2 %, its rolling 1.4 %."""
    of = world([straight(1000.0), straight(1000.0, 2.0)], [car(length_mm=150.0, truck_centers_mm=100.0)])
    # the head 75 mm past the foot of the grade: the middle of the car is at it, one truck 50 mm up it
    assert figures_at(of, 1075.0).forces.resistance[0] == pytest.approx(100.0 * (0.01 + 0.014))


def test_many_orders_at_once_are_each_order_alone() -> None:
    """A batch of orders, each at heads of its own: an order more changes nothing of another."""
    of = world(SUMMIT, MIXED, [LEAD], [HELPER])
    cars = list(of.vehicles.cars)
    orders = [cars, cars[::-1], [cars[k] for k in (2, 0, 5, 1, 4, 3)]]
    heads = np.array([[700.0, 1300.0], [850.0, 1411.0], [512.3, 1200.0]])
    rows = np.array([[0, *order, len(of.vehicles) - 1] for order in orders])
    together = evaluate(of.vehicles.pick(rows.T[:, :, None]), of.tables, heads, of.limits)
    for k, row in enumerate(rows):
        alone = evaluate(of.vehicles.pick(row), of.tables, heads[k], of.limits)
        np.testing.assert_allclose(together.use[:, k], alone.use, rtol=1e-12)
        np.testing.assert_allclose(together.forces.tension[:, k], alone.forces.tension, rtol=1e-12)
        np.testing.assert_allclose(together.forces.engine_share[k], alone.forces.engine_share, rtol=1e-12)
