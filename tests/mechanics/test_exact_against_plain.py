"""The package's exact figures against the plain model, head position by head position."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import plain
import pytest
from builders import World, car, curve, engine, plain_house, plain_pieces, plain_train, straight, world
from each_millimetre import exact_side_pull
from hypothesis import given, settings
from strategies import trains_on_track

from consist.mechanics.exact import forces_at
from consist.scales import SCALES
from consist.stock import Car, Engine
from consist.track import Piece

__all__: list[str] = []

HEADS = 23
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
    """Every figure at scattered heads, to rounding and the plain model's own quadrature."""
    track = plain.Track(plain_pieces(pieces))
    train = plain_train(of.train.engines, of.train.cars, of.train.helpers)
    # scattered by the golden ratio, so that no truck stands just on a joint
    heads = np.array([of.length_mm * ((k * 0.6180339887 + 0.0137) % 1.0) for k in range(HEADS)])
    along = forces_at(of.vehicles, of.tables, heads)
    expected = [plain.figures(train, track, plain_house(of.session), float(head)) for head in heads]
    np.testing.assert_allclose(along.resistance, [one.resistance for one in expected], rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(along.usable, [one.usable for one in expected], rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(along.tension.T, [one.tension for one in expected], rtol=1e-8, atol=1e-8)
    for vehicle in of.vehicles.cars:
        pull = exact_side_pull(of, int(vehicle), heads, along)
        np.testing.assert_allclose(pull.front, [one.pull_front[vehicle] for one in expected], rtol=1e-6, atol=1e-7)
        np.testing.assert_allclose(pull.rear, [one.pull_rear[vehicle] for one in expected], rtol=1e-6, atol=1e-7)
        np.testing.assert_allclose(pull.use, [one.use[vehicle] for one in expected], rtol=1e-6, atol=1e-7)


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
    head = np.array([1400.0])
    for helpers, sign in (([], 1.0), ([HELPER], -1.0)):
        of = world(pieces, BOXCARS[:4], [] if helpers else [LEAD], helpers)
        pull = exact_side_pull(of, 2, head, forces_at(of.vehicles, of.tables, head))
        assert np.sign(pull.front + pull.rear) == sign


def test_curve_and_slope_are_those_under_the_trucks() -> None:
    """By hand: one car of 100 g, half on a 2 % grade: its slope is half of 2 %, its rolling 1.4 %."""
    of = world([straight(1000.0), straight(1000.0, 2.0)], [car(length_mm=150.0, truck_centers_mm=100.0)])
    # the head 75 mm past the foot of the grade: the middle of the car is at it, one truck 50 mm up it
    along = forces_at(of.vehicles, of.tables, np.array([1075.0]))
    assert along.resistance[0] == pytest.approx(100.0 * (0.01 + 0.014))
