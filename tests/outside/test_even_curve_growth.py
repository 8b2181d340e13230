"""What side loads cost on an even curve, against the closed form: pull grows like a rope's round a post.

T(n) = (w/κ)·(e^{κn} − 1) behind n cars, with κ = flange_drag·C/R and w what one car takes by itself (elementary: the
growth dT/dn = w + κT). It is smooth, and a train is not: cars alike on a curve turn by C/R from each to the next, and
the coupling between two of them by half of that, so that each car adds d·sin(C/2R) of the pulls at both its ends and
T(n) = w/(2ds)·(qⁿ − 1), with s = sin(C/2R) and q = (1 + ds)/(1 − ds). The plain model must be that to rounding. The
closed form differs from it by two things: sin(C/2R) is less than C/2R, which takes (C/R)²/24 off κ, and growth by
whole cars is more than smooth growth, by κ²/12 of the pull. Both go at least with the square of C/R, so that in its
first order the two are the same.
"""

from __future__ import annotations

import math

import plain
import pytest
from plain import House, Piece, Track, Vehicle

__all__: list[str] = []

LENGTH_MM = 160.0
CAR = Vehicle(LENGTH_MM, 110.0, 90.0, rolling=0.014)
ENGINE = Vehicle(LENGTH_MM, 110.0, 300.0, engine=True, pull_g=500.0)
CURVE_MM = 0.0004 * 5729.58 * 304.8 / 87.1
"""What a curve of 1 mm radius would add in HO, as a share of weight."""


def _round_a_curve(cars: int, radius_mm: float, house: House, grade_percent: float = 0.0) -> plain.Figures:
    """An engine and cars of its length, all on one even curve."""
    train_mm = (cars + 1) * LENGTH_MM
    turned = math.degrees((train_mm + 100.0) / radius_mm)
    track = Track([Piece(radius_mm=radius_mm, turn="right", angle_deg=turned, grade_percent=grade_percent)])
    return plain.figures([ENGINE, *[CAR] * cars], track, house, train_mm + 50.0)


def _taken(radius_mm: float, grade_percent: float) -> float:
    return CAR.weight_g * (CAR.rolling + CURVE_MM / radius_mm + grade_percent / 100.0)


def _smooth(cars: int, radius_mm: float, drag: float, grade_percent: float = 0.0) -> float:
    growth = drag * LENGTH_MM / radius_mm
    return _taken(radius_mm, grade_percent) / growth * (math.exp(growth * cars) - 1.0)


@pytest.mark.parametrize("radius_mm", [400.0, 900.0, 3000.0])
@pytest.mark.parametrize("drag", [0.03, 0.1, 0.5])
@pytest.mark.parametrize("grade_percent", [0.0, 2.5])
def test_pull_grows_car_by_car(radius_mm: float, drag: float, grade_percent: float) -> None:
    cars = 25
    at = _round_a_curve(cars, radius_mm, House(flange_drag=drag), grade_percent)
    cost = drag * math.sin(LENGTH_MM / (2.0 * radius_mm))
    growth = (1.0 + cost) / (1.0 - cost)
    for behind in range(1, cars + 1):
        expected = _taken(radius_mm, grade_percent) / (2.0 * cost) * (growth**behind - 1.0)
        assert at.tension[cars - behind] == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("radius_mm", [600.0, 1200.0, 2400.0])
@pytest.mark.parametrize("drag", [0.03, 0.1])
def test_it_is_the_closed_form_of_an_even_curve(radius_mm: float, drag: float) -> None:
    """Within what sin(C/2R) is short of C/2R, (C/R)²/24 of the growth κn: 0.3 % of it at 600 mm."""
    cars = 60
    at = _round_a_curve(cars, radius_mm, House(flange_drag=drag))
    share = (LENGTH_MM / radius_mm) ** 2 / 24.0 * drag * LENGTH_MM / radius_mm * cars
    for behind in (1, 10, 30, cars):
        assert at.tension[cars - behind] == pytest.approx(_smooth(behind, radius_mm, drag), rel=1.1 * share)
    without = _round_a_curve(cars, radius_mm, House(flange_drag=0.0))
    # what it is about is far more than what it is held to
    assert at.tension[0] - without.tension[0] > 50.0 * share * at.tension[0]


def test_twice_the_radius_leaves_a_quarter_of_the_difference_at_most() -> None:
    """So that nothing of the first order is missing: it would leave half."""

    def differs(radius_mm: float) -> float:
        found = _round_a_curve(20, radius_mm, House(flange_drag=0.03)).tension[0]
        return abs(found / _smooth(20, radius_mm, 0.03) - 1.0)

    for radius_mm in (500.0, 1000.0, 2000.0):
        assert differs(2.0 * radius_mm) < differs(radius_mm) / 4.0


def test_a_pushed_train_is_held_up_by_the_rail_as_a_pulled_one_is() -> None:
    """Pushed up the same curve the cars take as much, the push growing from the head to the helper."""
    cars, radius_mm, drag = 30, 700.0, 0.1
    train_mm = (cars + 1) * LENGTH_MM
    track = Track([Piece(radius_mm=radius_mm, turn="left", angle_deg=math.degrees((train_mm + 100.0) / radius_mm))])
    pushed = plain.figures([*[CAR] * cars, ENGINE], track, House(flange_drag=drag), train_mm + 50.0)
    for ahead in (1, 10, cars):
        assert -pushed.tension[ahead - 1] == pytest.approx(_smooth(ahead, radius_mm, drag), rel=0.002)
