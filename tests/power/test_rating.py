"""Tonnage ratings worked by hand, and against a train run on the line."""

from __future__ import annotations

from math import pi

import pytest
from builders import car, curve, engine, layout, line, one_line, straight, world

from consist.house import House
from consist.power import Rating
from consist.power.rating import LayoutRatings
from consist.power.train_pull import TrainPull
from consist.stock import Engine, WeightStandard
from consist.track import Layout

__all__: list[str] = []

STANDARD = WeightStandard("own", "own", "body", 0.0, 1.0)  # the car of 5.5 in weighs 139.7 g
A = engine("1", 500.0, 100.0)


def _ratings(of: Layout, *engines: Engine, flange_drag: float = 0.0) -> tuple[Rating, ...]:
    return LayoutRatings(of, engines, STANDARD, House(flange_drag=flange_drag)).ratings


def test_by_hand_on_a_grade_with_a_curve() -> None:
    """A curve of 802 mm in HO adds 1 % to a grade of 2 %: 85 - 15 = 70 g over 4.4 % is 1591 g, 11 cars of 139.7 g.

    Going back the level piece rules: 85 g over 1.4 % is 6071 g, 43 cars.
    """
    there, back = _ratings(one_line(straight(1000.0), curve(802.0, 90.0, grade_percent=2.0)), A)
    assert (there.line, there.start, there.finish) == (1, "Left Yard", "Right Yard")
    assert (back.line, back.start, back.finish) == (1, "Right Yard", "Left Yard")
    assert there.ruling_percent == pytest.approx(3.0, abs=0.001)
    assert there.ruling_piece == 2
    assert there.trailing_g == pytest.approx([1591.0, 3182.0, 4773.0], abs=1.0)
    assert there.cars == (11, 22, 34)
    assert (back.ruling_percent, back.ruling_piece) == (0.0, 1)
    assert back.trailing_g[0] == pytest.approx(85.0 / 0.014)
    assert back.cars[0] == 43


def test_downhill_all_the_way_there_is_no_limit() -> None:
    """On 1.4 % down a car rolls by itself."""
    down, up = _ratings(one_line(straight(1000.0, -1.4), straight(1000.0, -2.0)), A)
    assert down.trailing_g == (None, None, None)
    assert down.cars == (None, None, None)
    # up: 85 - 500 x 2 % = 75 g over 3.4 %
    assert up.trailing_g[0] == pytest.approx(75.0 / 0.034)
    assert up.ruling_piece == 2


def test_an_engine_that_cannot_move_itself_is_rated_at_nothing() -> None:
    (there, _) = _ratings(one_line(straight(1000.0, 5.0)), engine("1", 2000.0, 100.0))
    assert (there.trailing_g, there.cars) == ((0.0, 0.0, 0.0), (0, 0, 0))


def test_every_line_both_ways_for_every_class_by_its_weakest() -> None:
    where = layout(line("P, e", "Q, w", straight(500.0)), line("Q, e", "R, w", straight(500.0, 1.0)))
    found = _ratings(where, A, engine("2", 500.0, 60.0), engine("3", 300.0, 60.0, engine_class="B"))
    assert [(one.line, one.start, one.engine_class) for one in found] == [
        (number, start, name) for number, start in ((1, "P"), (1, "Q"), (2, "Q"), (2, "R")) for name in "AB"
    ]
    # the class A goes by the engine of 60 g: 51 g over 1.4 %
    assert found[0].trailing_g[0] == pytest.approx(51.0 / 0.014)


def test_a_train_of_the_rated_weight_just_goes() -> None:
    """Run on a curve on a grade that is longer than the train, both figures must meet at a use of 1."""
    assert _use_of_the_rated_weight(0.0) == pytest.approx(1.0, rel=1e-6)


def test_a_train_of_the_rated_weight_just_goes_with_what_side_loads_cost() -> None:
    """The rating has the closed form of an even curve, the train its cars one by one: a fifth of a per cent apart."""
    assert _use_of_the_rated_weight(0.03) == pytest.approx(1.0, abs=0.002)


def _use_of_the_rated_weight(flange_drag: float) -> float:
    """The use of the engine's pull by cars of the length that ratings count in, as many as come nearest in weight."""
    track = curve(1500.0, 180.0, grade_percent=1.5)
    (there, _) = _ratings(one_line(track), A, flange_drag=flange_drag)
    load, car_mm, car_g = there.trailing_g[0], 5.5 * 25.4 + 12.7, 139.7
    assert load is not None
    count = round(load / car_g)
    assert pi * 1500.0 > 200.0 + count * car_mm
    cars = [car(f"C{k}", load / count, car_mm) for k in range(count)]
    of = world([track], cars, roster=[A], house=House(flange_drag=flange_drag))
    return TrainPull(of.prepared).worst([A]).use


def test_what_stands_behind_a_curve_is_drawn_through_all_of_it() -> None:
    """By hand: k = 0.03 x 152.4 mm / 802 mm = 0.005701 a car, 802 mm x pi/2 / 152.4 mm = 8.2663 cars in the curve.

    70 g over 4.4 % is 1590.9 g, or 11.388 cars without side loads; with them e^(8.2663 k) = 1.04825, and what
    stands behind the curve is (11.388 - 0.04825 / 0.005701) / 1.04825 = 2.790 cars: 11.056 in all.
    """
    (there, _) = _ratings(one_line(straight(1000.0), curve(802.0, 90.0, grade_percent=2.0)), A, flange_drag=0.03)
    assert there.trailing_g[0] == pytest.approx(11.056 * 139.7, rel=2e-4)
