"""A calculation published in a public discussion (no measurement): how many cars climb a curved grade.

Engines of 4 oz of pull, cars of 8 in and 4 oz, 0.1 % of rolling, a grade of 2 % on a radius of 40 in, a tenth of the
side load as drag, no other curve resistance: 33 cars behind one engine, 53 behind two at the head end, 66 with the
second in the middle of the train. It tests how pull grows round a curve, not our own figures.

The closed form ln(1 + P·κ/w)/κ, with κ = 0.1·8/40 = 0.02 and w = 4·0.021 = 0.084 oz, gives 33.45, 53.32 and 66.91.
The plain model works car by car, with sin(C/2R) where the closed form has C/2R: on this curve, C/R being 0.2, the
growth is less by (C/R)²/24, 0.17 %, and the cars are more by a few hundredths. Whole cars are the same.

An engine weighs nothing here, takes nothing on the grade and keeps nothing in reserve, as the calculation has it. It
is as long as a car, so that its coupling stands as every other.
"""

from __future__ import annotations

import math

import plain
import pytest
from plain import House, Piece, Track, Vehicle

__all__: list[str] = []

OUNCE_G, INCH_MM = 28.349523125, 25.4
ENGINE = Vehicle(8.0 * INCH_MM, 5.6 * INCH_MM, 0.0, engine=True, pull_g=4.0 * OUNCE_G)
CAR = Vehicle(8.0 * INCH_MM, 5.6 * INCH_MM, 4.0 * OUNCE_G, rolling=0.001)
HOUSE = House(reserve=0.0, flange_drag=0.1, curve_share_per_degree=0.0)
RADIUS_MM = 40.0 * INCH_MM
# a helix of two turns and a half, on which 70 vehicles stand
HELIX = Track([Piece(radius_mm=RADIUS_MM, turn="left", angle_deg=900.0, grade_percent=2.0)])


def _use(train: list[Vehicle]) -> float:
    """The share of the engines' pull that the train takes, all of it on the grade."""
    assert len(train) * CAR.length_mm < HELIX.length_mm
    return plain.figures(train, HELIX, HOUSE, HELIX.length_mm).power_use


def _behind(engines: int, cars: int) -> list[Vehicle]:
    return [*[ENGINE] * engines, *[CAR] * cars]


def _parted(cars: int) -> list[Vehicle]:
    """One engine ahead, the other as near the middle as whole cars allow, with the greater half of them behind it."""
    return [ENGINE, *[CAR] * (cars // 2), ENGINE, *[CAR] * (cars - cars // 2)]


@pytest.mark.parametrize(("engines", "cars"), [(1, 33), (2, 53)])
def test_cars_that_engines_at_the_head_end_pull(engines: int, cars: int) -> None:
    assert _use(_behind(engines, cars)) <= 1.0 < _use(_behind(engines, cars + 1))


def test_cars_that_two_engines_pull_with_the_second_in_the_middle() -> None:
    assert _use(_parted(66)) <= 1.0 < _use(_parted(67))
    # each then pulls its own half, as one engine pulls 33
    assert _use(_parted(66)) == pytest.approx(_use(_behind(1, 33)), rel=1e-9)


@pytest.mark.parametrize(("engines", "closed"), [(1, 33.45), (2, 53.32)])
def test_parts_of_a_car_are_those_of_the_closed_form(engines: int, closed: float) -> None:
    """The last part of a car by a straight line between two whole numbers of cars."""
    whole = math.floor(closed)
    # how much the cars would pull if the engines gave it all
    pulls = [
        plain.figures(_behind(engines, whole + more), HELIX, HOUSE, HELIX.length_mm).resistance for more in (0, 1)
    ]
    found = whole + (engines * ENGINE.pull_g - pulls[0]) / (pulls[1] - pulls[0])
    growth, taken = 0.02, 0.084
    smooth = math.log(1.0 + 4.0 * engines * growth / taken) / growth
    assert smooth == pytest.approx(closed, abs=0.005)
    assert smooth < found < smooth + 0.05


def test_without_the_drag_far_more_cars_would_climb() -> None:
    """4/0.084 = 47.6 cars an engine, wherever the engines are: what the calculation is about."""
    free = House(reserve=0.0, flange_drag=0.0, curve_share_per_degree=0.0)
    longer = Track([Piece(radius_mm=RADIUS_MM, turn="left", angle_deg=1800.0, grade_percent=2.0)])
    for cars, enough in ((47, True), (48, False)):
        assert (plain.figures(_behind(1, cars), longer, free, longer.length_mm).power_use <= 1.0) is enough
    for cars, enough in ((95, True), (96, False)):
        assert (plain.figures(_behind(2, cars), longer, free, longer.length_mm).power_use <= 1.0) is enough
