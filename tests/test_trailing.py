"""What may trail: each limit told is put together as a train, checked afresh, and passed by one usual car more."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from many_sessions import random_session

import consist
from consist.session import CarInTrain, Session, Train
from consist.stock import Car, engine_by_rule
from consist.trailing import MOST_CARS, Trailing, TrailingRoute, plan_trailing, usual_car

__all__: list[str] = []

SAMPLES = Path(__file__).parents[1] / "sample_sessions"


def _margin(session: Session, train: Train, car: Car, loaded: bool, behind: int) -> float:
    """The margin of a car in a train put together by hand and checked like any other."""
    usual = usual_car(session)
    names = ["ahead", car.name, *(f"behind {number}" for number in range(behind))]
    last = len(train.route.stops) - 1
    cars = tuple(
        CarInTrain(
            car if name == car.name else replace(usual, name=name),
            spot,
            loaded and name == car.name,
            None,
            None,
            0,
            last,
        )
        for spot, name in enumerate(names, start=1)
    )
    engine = engine_by_rule("stand-in", session.layout.scale, weight_g=500.0)
    made = replace(train, name="made up", engines=(engine,), helpers=(), cars=cars)
    known = {each.car.name: each.car for each in cars}
    of = replace(session, cars=known, engines={engine.name: engine}, trains=(made,))
    margin = consist.check(of).train("made up").car(car.name).margin
    return float("inf") if margin is None else margin


def _hold(session: Session, told: Trailing, *, most: int) -> int:
    """Try the limits told, so many of a route at most, and count them."""
    tried = 0
    for route in told.routes:
        train = next(train for train in session.trains if train.route.stops == route.stops)
        for car, loaded, count, wanted in _limits(session, route)[:most]:
            tried += 1
            if count > 0:
                assert _margin(session, train, car, loaded, count) >= wanted * (1.0 - 1e-9), (route.stops, car.name)
            assert _margin(session, train, car, loaded, count + 1) < wanted, (route.stops, car.name)
    return tried


def _limits(session: Session, route: TrailingRoute) -> list[tuple[Car, bool, int, float]]:
    house = session.house
    told = [
        (session.cars[each.car], each.loaded, count, margin)
        for each in route.cars
        for count, margin in ((each.within_care, house.care_margin), (each.within_hold, house.hold_margin))
        if count is not None
    ]
    return sorted(told, key=lambda limit: limit[2])


@pytest.mark.parametrize("name", ["sunday_shelf", "club_night"])
def test_each_limit_told_holds_and_one_usual_car_more_does_not(name: str) -> None:
    session = consist.load(SAMPLES / name)
    assert _hold(session, plan_trailing(session), most=6) >= 3


def test_limits_of_random_sessions_hold() -> None:
    tried = 0
    for seed in range(300, 312):
        session = random_session(seed).session
        tried += _hold(session, plan_trailing(session), most=3)
    assert tried >= 10


def test_no_limit_is_told_where_a_train_of_all_cars_or_too_long_a_one_is_within() -> None:
    session = consist.load(SAMPLES / "sunday_shelf")
    usual, checked = usual_car(session), 0
    for route in plan_trailing(session).routes:
        train = next(train for train in session.trains if train.route.stops == route.stops)
        rooms = [session.layout.places[stop].standing_mm for stop in route.stops]
        room = min((each for each in rooms if each is not None), default=float("inf"))
        for limit in [each for each in route.cars if each.within_hold is None][:3]:
            car, count = session.cars[limit.car], 0
            ahead = engine_by_rule("e", session.layout.scale, weight_g=1.0).coupled_length_mm + car.coupled_length_mm
            while count < MOST_CARS - 2 and ahead + (count + 1) * usual.coupled_length_mm <= room:
                count += 1
            assert _margin(session, train, car, limit.loaded, count) >= session.house.hold_margin
            checked += 1
    assert checked == 9


def test_the_usual_car_is_the_median_on_its_target() -> None:
    session = consist.load(SAMPLES / "sunday_shelf")
    lengths = sorted(car.coupled_length_mm for car in session.cars.values())
    usual = usual_car(session)
    assert usual.coupled_length_mm == (lengths[10] + lengths[11]) / 2.0
    assert (usual.weight_g, usual.rolling, usual.coupler_mount) == (usual.target_g, 0.016, "body")


def test_a_session_without_cars_is_refused_in_a_line() -> None:
    session = replace(consist.load(SAMPLES / "sunday_shelf"), cars={}, trains=())
    with pytest.raises(consist.InputError, match=r"^cars\.csv: found no car, expected at least one row; add a car"):
        plan_trailing(session)


def test_each_route_is_told_once_and_loads_apart() -> None:
    told = plan_trailing(consist.load(SAMPLES / "club_night"))
    assert len({route.stops for route in told.routes}) == len(told.routes) == 7
    loads = [limit.loaded for limit in told.routes[0].cars if limit.car == "NQH 4001"]
    assert loads == [False, True]
