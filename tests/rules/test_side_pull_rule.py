"""`side-pull` and `buff-push`: who is spoken of, at which level, with which figures."""

from __future__ import annotations

import pytest
from builders import car, case, curve, engine, one_line, session, straight, train

from consist.house import House
from consist.rules.cars import side_pull
from consist.rules.case import Case
from consist.stock import Engine

__all__: list[str] = []

TRACK = [straight(200.0), curve(500.0, 120.0), straight(300.0)]
CARS = [car("Light", 20.0), *(car(f"C{k}", 120.0) for k in range(7))]


def _case(house: House, *, helpers: bool = False) -> Case:
    where = one_line(*TRACK)
    pushing: list[Engine] = [engine("9", pull_g=300.0)] if helpers else []
    one = train(where, CARS if not helpers else CARS[::-1], [] if helpers else [engine(pull_g=300.0)], pushing)
    return case(session(where, one, house=house), one)


def _light_margin() -> float:
    of = _case(House())
    return 1.0 / of.side_use(of.cars[0])


def test_nothing_is_said_where_every_car_has_the_houses_margin() -> None:
    margin = _light_margin()
    assert side_pull(_case(House(care_margin=0.99 * margin, hold_margin=0.5 * margin))) == []


def test_below_the_care_margin_a_car_is_a_matter_of_care() -> None:
    margin = _light_margin()
    found = side_pull(_case(House(care_margin=1.01 * margin, hold_margin=0.5 * margin)))
    assert [(one.code, one.level, one.car, one.spot) for one in found] == [("side-pull", "care", "Light", 1)]
    assert found[0].value == pytest.approx(margin)
    assert found[0].limit == pytest.approx(1.01 * margin)
    assert "pulled to the inside of the curve" in found[0].say
    assert "move it toward the rear end" in found[0].say


def test_below_the_hold_margin_it_is_a_hold() -> None:
    margin = _light_margin()
    found = side_pull(_case(House(care_margin=1.5 * margin, hold_margin=1.01 * margin)))
    assert found[0].level == "hold"
    assert found[0].limit == pytest.approx(1.01 * margin)


def test_a_pushed_car_is_told_so_and_sent_away_from_the_helper() -> None:
    found = side_pull(_case(House(care_margin=1000.0, hold_margin=1e-3), helpers=True))
    light = next(one for one in found if one.car == "Light")
    assert light.code == "buff-push"
    assert "pushed out of the curve" in light.say
    assert "away from the helper" in light.say


def test_the_place_is_where_the_car_stands_and_not_the_head() -> None:
    """The car's margin is least on the line's curve, so between its two places."""
    found = side_pull(_case(House(care_margin=1000.0)))
    assert found[0].place == "between Left Yard and Right Yard"


def test_on_straight_track_nothing_is_said() -> None:
    where = one_line(straight(3000.0))
    one = train(where, CARS, [engine()])
    assert side_pull(case(session(where, one, house=House(care_margin=1e6)), one)) == []
