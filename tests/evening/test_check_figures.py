"""The check's figures by hand: who feels which pull, where a peak is, which leg is told of, what engines hold.

On straight track side loads cost nothing and no car is pulled aside, so that forces are weights times shares.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import radians

import plain
import pytest
from builders import (
    car,
    curve,
    engine,
    layout,
    line,
    plain_house,
    plain_pieces,
    plain_train,
    session,
    spot,
    straight,
    train,
)

from consist.evening import check
from consist.evening.results import TrainCheck
from consist.session import CarInTrain
from consist.stock import Engine
from consist.track import Layout

__all__: list[str] = []

STOPS = ("West", "Mill", "East")


def _line(first: float, second: float, first_mm: float = 3000.0, second_mm: float = 3000.0) -> Layout:
    """Straight track from West by Mill to East, each line on its own grade (per cent)."""
    return layout(
        line("West, e", "Mill, w", straight(first_mm, first)), line("Mill, e", "East, w", straight(second_mm, second))
    )


def _checked(
    where: Layout, cars: Sequence[CarInTrain], ahead: Sequence[Engine] = (), behind: Sequence[Engine] = ()
) -> TrainCheck:
    (one,) = check(session(where, train(where, cars, ahead, behind, stops=STOPS))).trains
    return one


def _through(count: int, weight_g: float = 100.0) -> list[CarInTrain]:
    return [spot(car(f"C{k}", weight_g), k + 1, leaves=2) for k in range(count)]


def test_a_car_feels_the_pull_at_both_its_couplers() -> None:
    """Up 2 % each car takes 3.4 g: the first is pulled with 10.2 g, and pulls with 6.8 g."""
    one = _checked(_line(2.0, 2.0), _through(3), [engine()])
    assert [each.peak_drawbar_g for each in one.cars] == pytest.approx([10.2, 6.8, 3.4])


def test_a_car_ahead_of_a_helper_that_holds_feels_the_coupling_behind_it_most() -> None:
    """Down 3 % each pushes with 1.6 g, and a helper alone holds them: the last coupling is stretched with 4.8 g."""
    one = _checked(_line(-3.0, -3.0), _through(3), [], [engine()])
    assert [each.peak_drawbar_g for each in one.cars] == pytest.approx([1.6, 3.2, 4.8])
    assert one.peak_drawbar is not None
    assert one.peak_drawbar.behind == "C2"
    assert one.peak_drawbar.g == pytest.approx(4.8)


def test_the_peak_drawbar_is_placed_where_its_coupling_is() -> None:
    """The head is at East, 250 mm past Mill, and the engine 200 mm long: its rear coupling is 50 mm past Mill.

    The head itself is at East, and the rear of the first car is short of Mill.
    """
    one = _checked(_line(0.0, 3.0, second_mm=250.0), _through(1), [engine(length_mm=200.0)])
    assert one.peak_drawbar is not None
    assert one.peak_drawbar.head_mm == pytest.approx(3250.0)
    assert (one.peak_drawbar.behind, one.peak_drawbar.place) == ("1", "between Mill and East")


def test_the_last_place_is_told_as_itself() -> None:
    """The grade begins 300 mm before East, so that the car is on it farthest with the head just there.

    The engine of 100 g and 5 g has 4.25 − 3 = 1.25 g for it: too little for the 1.4 g that it takes on the level.
    """
    where = layout(
        line("West, e", "Mill, w", straight(3000.0)),
        line("Mill, e", "East, w", straight(2000.0), straight(300.0, 3.0)),
    )
    one = _checked(where, _through(1), [engine("1", 100.0, 5.0)])
    (found,) = [each for each in one.findings if each.code == "power-short"]
    assert found.place == "East"
    assert "with the head at East" in found.say


def test_the_place_of_the_worst_car_is_where_its_middle_is() -> None:
    """A light car behind a heavy one is worst off at the short curve ahead of Mill, the head 425 mm on, past Mill."""
    where = layout(
        line("West, e", "Mill, w", straight(2000.0), curve(500.0, 20.0)), line("Mill, e", "East, w", straight(1000.0))
    )
    cars = [spot(car("C0", 120.0), 1, leaves=2), spot(car("C1", 20.0), 2, leaves=2), *_through(6, 150.0)[2:]]
    one = _checked(where, cars, [engine(pull_g=300.0)])
    assert one.worst is not None
    assert one.worst.car == "C1"
    # the engine of 200 mm, the first car, and half of the second
    assert one.worst.car_mm == pytest.approx(one.worst.head_mm - 200.0 - 150.0 - 75.0)
    mill = 2000.0 + 500.0 * radians(20.0)
    assert one.worst.car_mm < mill < one.worst.head_mm
    assert one.worst.place == "between West and Mill"


def test_of_legs_that_are_equal_the_heaviest_is_told_of() -> None:
    """On straight track no leg has any side use; the one with more cars is told of, whichever comes first."""
    stays = spot(car("Stays", 90.0), 1, leaves=2)
    goes, comes = spot(car("Goes", 70.0), 2, leaves=1), spot(car("Comes", 70.0), 2, joins=1, leaves=2)
    for other in (goes, comes):
        one = _checked(_line(0.0, 1.0), [stays, other], [engine()])
        assert [leg.weight_g for leg in one.legs] in ([160.0, 90.0], [90.0, 160.0])
        assert one.weight_g == 160.0
        assert one.length_mm == pytest.approx(200.0 + 2 * 150.0)
        assert one.heavy_forward == 100.0


def test_the_front_car_of_a_train_drawn_by_hand_is_pulled_aside_too() -> None:
    """With no engine nothing pulls ahead of it, and it draws those behind it."""
    where = layout(
        line("West, e", "Mill, w", straight(800.0)), line("Mill, e", "East, w", curve(500.0, 120.0), straight(300.0))
    )
    one = _checked(where, _through(4))
    route = where.lines[0].pieces + where.lines[1].pieces
    stock = plain_train([], _through(4))
    house = plain_house(session(where, train(where, _through(4), stops=STOPS)))
    track = plain.Track(plain_pieces(route))
    seen = plain.peaks(stock, track, house, 0.0, track.length_mm, 4.0)
    assert [each.side_use for each in one.cars] == pytest.approx([peak.value for peak in seen.use], rel=0.006)
    assert one.cars[0].side_use > 0.03
    assert one.cars[0].peak_drawbar_g == one.cars[1].peak_drawbar_g == pytest.approx(seen.tension[0].value, rel=0.005)


def test_what_engines_hold_is_told_beside_what_they_pull() -> None:
    """Up 2 % five cars ask for 17 g, down 3 % they push with 8 g; an engine of 300 g has 45 g and 42 g."""
    one = _checked(_line(2.0, -3.0), _through(5), [engine("1", 300.0, 60.0)])
    assert one.power.use == pytest.approx(17.0 / 45.0)
    assert one.power.hold_use == pytest.approx(8.0 / 42.0)
    assert [leg.power_use for leg in one.legs] == pytest.approx([17.0 / 45.0])
    assert one.verdict == "go"


def test_what_cannot_be_held_at_all_has_no_figure() -> None:
    one = _checked(_line(0.0, -3.0), _through(5), [engine("1", 400.0, 10.1)])
    assert one.power.hold_use is None
    assert one.power.use == pytest.approx(7.0 / (0.85 * 10.1))
    assert one.verdict == "hold"
    assert [found.code for found in one.findings if found.level == "hold"] == ["power-short"]


def test_without_an_engine_there_is_no_figure_of_either() -> None:
    one = _checked(_line(0.0, -3.0), _through(2))
    assert (one.power.use, one.power.hold_use) == (None, None)
