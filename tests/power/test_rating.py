"""Tonnage ratings worked by hand, and against a train run on the line."""

from __future__ import annotations

from math import pi

import pytest
from builders import car, curve, engine, layout, line, one_line, straight, world

from consist.intake.records import HouseRecord
from consist.power import Rating, ratings
from consist.power.train_pull import TrainPull
from consist.stock import Engine, WeightStandard
from consist.track import Layout

__all__: list[str] = []

STANDARD = WeightStandard("own", "own", "body", 0.0, 1.0)  # the car of 5.5 in weighs 139.7 g
A = engine("1", 500.0, 100.0)


def _ratings(of: Layout, *engines: Engine) -> tuple[Rating, ...]:
    return ratings(of, engines, rolling_percent=1.4, pull_reserve=0.15, standard=STANDARD, flange_drag=0.03)


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
    """Run on a curve on a grade that is longer than the train, both figures must meet at a use of 1.

    A house where side loads cost nothing: a rating by weight alone knows nothing of cars' lengths.
    """
    assert _use_of_the_rated_weight(HouseRecord(flange_drag=0.0)) == pytest.approx(1.0, rel=1e-6)


@pytest.mark.xfail(strict=True, reason="ratings leave out what side loads cost on a curve: 3 % in this train")
def test_a_train_of_the_rated_weight_goes_with_what_side_loads_cost() -> None:
    assert _use_of_the_rated_weight(HouseRecord()) <= 1.001


def _use_of_the_rated_weight(house: HouseRecord) -> float:
    track = curve(1500.0, 180.0, grade_percent=1.5)
    (there, _) = _ratings(one_line(track), A)
    load = there.trailing_g[0]
    assert load is not None
    assert pi * 1500.0 > 200.0 + 20 * 150.0
    of = world([track], [car(f"C{k}", load / 20.0) for k in range(20)], roster=[A], house=house)
    return TrainPull(of.prepared).worst([A]).use
