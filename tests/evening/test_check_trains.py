"""The check of whole sessions built in code: legs, trains with nothing in them, verdicts, and the same twice."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
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

from consist.errors import UnknownNameError
from consist.evening import check
from consist.evening.results import TrainCheck
from consist.house import House
from consist.session import CarInTrain, Session, Train
from consist.stock import Engine

__all__: list[str] = []

WHERE = layout(
    line("West, e", "Mill, w", straight(1200.0), curve(520.0, 70.0, easement_mm=120.0)),
    line("Mill, e", "East, w", curve(560.0, 80.0, "right", grade_percent=2.0), straight(900.0, 2.0)),
)
STOPS = ("West", "Mill", "East")


def _train(cars: list[CarInTrain], engines: list[Engine] | None = None, **more: object) -> Train:
    one = train(WHERE, cars, [engine()] if engines is None else engines, stops=STOPS)
    return replace(one, **more)  # type: ignore[arg-type]


def _through(*weights: float) -> list[CarInTrain]:
    return [spot(car(f"C{k}", weight), k + 1, leaves=2) for k, weight in enumerate(weights)]


def _checked(of: Session) -> TrainCheck:
    (one,) = check(of).trains
    return one


LOCAL = [
    spot(car("Stays 1", 90.0), 1, leaves=2),
    spot(car("Goes", 140.0), 2, leaves=1),
    spot(car("Comes", 60.0), 3, joins=1, leaves=2),
    spot(car("Stays 2", 40.0), 4, leaves=2),
]


def test_cars_that_join_and_leave_part_the_route_into_legs() -> None:
    one = _checked(session(WHERE, _train(LOCAL)))
    assert [(leg.start, leg.finish) for leg in one.legs] == [("West", "Mill"), ("Mill", "East")]
    assert [leg.cars for leg in one.legs] == [("Stays 1", "Goes", "Stays 2"), ("Stays 1", "Comes", "Stays 2")]
    assert [leg.weight_g for leg in one.legs] == pytest.approx([270.0, 190.0])


def test_a_stop_at_which_nothing_changes_parts_nothing() -> None:
    one = _checked(session(WHERE, _train(_through(90.0, 60.0))))
    assert [(leg.start, leg.finish) for leg in one.legs] == [("West", "East")]


def test_figures_are_the_worst_over_the_legs() -> None:
    one = _checked(session(WHERE, _train(LOCAL)))
    assert one.side_use == max(leg.side_use for leg in one.legs)
    assert one.margin == min(leg.margin for leg in one.legs if leg.margin is not None)
    assert one.peak_drawbar is not None
    assert one.peak_drawbar.g == max(leg.peak_drawbar_g or 0.0 for leg in one.legs)
    assert one.power.use == max(leg.power_use or 0.0 for leg in one.legs)


def test_heavy_forward_weight_and_length_are_of_the_leg_with_the_worst_margin() -> None:
    one = _checked(session(WHERE, _train(LOCAL)))
    worst = min(one.legs, key=lambda leg: leg.margin or np.inf)
    assert one.weight_g == worst.weight_g
    # all are as long: 140 before 90 or 60 before 90 decides
    assert one.heavy_forward == pytest.approx(200.0 / 3.0 if "Goes" in worst.cars else 100.0)
    assert one.length_mm == pytest.approx(200.0 + 3 * 150.0)


def test_each_leg_is_that_of_the_plain_model() -> None:
    """Both legs at each 5 mm: the place itself belongs to both, and a car set out there is in the first alone."""
    of = session(WHERE, _train(LOCAL))
    one, route = _checked(of), of.trains[0].route
    track = plain.Track(plain_pieces(route.pieces))
    for number, leg in enumerate(one.legs):
        cars = [row for row in LOCAL if row.car.name in leg.cars]
        stock = plain_train([engine()], cars)
        start, finish = route.stops_mm[number : number + 2]
        heads = np.append(np.arange(start, finish, 5.0), finish)
        seen = [plain.figures(stock, track, plain_house(of), float(head)) for head in heads]
        assert leg.power_use == pytest.approx(max(at.resistance / at.usable for at in seen), rel=0.006)
        assert leg.peak_drawbar_g == pytest.approx(max(max(at.tension) for at in seen), rel=0.006)
        # between 5 mm a side use may hide a little more
        assert leg.side_use >= 0.995 * max(max(at.use) for at in seen)
        assert leg.side_use <= 1.05 * max(max(at.use) for at in seen)


def test_where_the_worst_car_stands_is_said_with_its_head() -> None:
    one = _checked(session(WHERE, _train(_through(30.0, 90.0, 120.0))))
    assert one.worst is not None
    worst = max(one.cars, key=lambda each: each.side_use)
    assert (one.worst.car, one.worst.spot) == (worst.car, worst.spot)
    # the engine of 200 mm, the cars ahead of it, and half its own length
    assert one.worst.head_mm - one.worst.car_mm == pytest.approx(200.0 + 150.0 * (worst.spot - 0.5))


def test_the_peak_drawbar_is_behind_the_lead_engine_without_helpers() -> None:
    one = _checked(session(WHERE, _train(_through(90.0, 60.0, 40.0))))
    assert one.peak_drawbar is not None
    assert one.peak_drawbar.behind == "1"


def test_a_train_without_a_single_vehicle_is_checked_all_the_same() -> None:
    one = _checked(session(WHERE, _train([], [])))
    assert (one.margin, one.peak_drawbar, one.cars) == (None, None, ())
    assert {found.code for found in one.findings} == {"no-cars", "power-short"}


def test_a_train_with_no_cars_is_on_care_and_nothing_else() -> None:
    one = _checked(session(WHERE, _train([])))
    assert (one.verdict, one.margin, one.side_use) == ("care", None, 0.0)
    assert (one.worst, one.order_score, one.heavy_forward, one.suggestion) == (None, None, None, None)
    assert (one.weight_g, one.cars) == (0.0, ())
    assert [(found.code, found.level) for found in one.findings] == [("no-cars", "care")]


def test_a_train_with_no_engines_is_checked_behind_the_fewest_of_the_class_that_needs_the_fewest() -> None:
    roster = [engine("1", 300.0, 20.0, engine_class="Small"), engine("2", 500.0, 90.0, engine_class="Large")]
    one = _checked(session(WHERE, _train(_through(200.0, 200.0, 200.0), []), roster=roster))
    assert one.power.assigned == ()
    assert one.power.by_class["Large"] == 1
    assert one.verdict != "go"
    (found,) = [each for each in one.findings if each.code == "power-short"]
    assert (found.level, "1 of class Large" in found.say) == ("care", True)
    behind = _checked(session(WHERE, _train(_through(200.0, 200.0, 200.0), [roster[1]]), roster=roster))
    assert one.side_use == pytest.approx(behind.side_use)


def test_a_train_with_no_engine_anywhere_is_checked_as_drawn_by_hand() -> None:
    one = _checked(session(WHERE, _train(_through(100.0, 60.0), [])))
    assert (one.power.by_class, one.power.needed, one.power.use) == ({}, None, None)
    assert one.verdict == "care"
    assert one.peak_drawbar is not None


def test_one_car_and_no_engine_has_no_coupling_and_no_margin() -> None:
    one = _checked(session(WHERE, _train(_through(100.0), [])))
    assert (one.margin, one.peak_drawbar) == (None, None)


def test_a_car_in_two_trains_is_a_finding_of_both() -> None:
    first = replace(_train(_through(90.0, 60.0), [engine("1")]), name="Freight 1", depart=600, arrive=640)
    second = replace(_train(_through(90.0), [engine("2")]), name="Freight 2", depart=620, arrive=660)
    result = check(session(WHERE, first, second))
    for one in result.trains:
        assert one.verdict == "hold"
        assert [found.car for found in one.findings if found.level == "hold"] == ["C0"]
    assert result.on_hold == ("Freight 1", "Freight 2")


def test_the_same_session_checked_twice_gives_the_same() -> None:
    def once() -> object:
        cars = [spot(car(f"C{k}", 25.0 + 37.0 * (k % 4), 120.0 + 11.0 * k), k + 1, leaves=2) for k in range(9)]
        return check(session(WHERE, _train(cars, [engine(pull_g=200.0)]), house=House(care_margin=9.0)))

    assert once() == once()


def test_only_the_train_named_is_checked() -> None:
    first = replace(_train(_through(90.0), [engine("1")]), name="Freight 1")
    second = replace(_train(_through(70.0), [engine("2")]), name="Freight 2")
    of = session(WHERE, first, second)
    assert [one.train for one in check(of, only="Freight 2").trains] == ["Freight 2"]
    with pytest.raises(UnknownNameError, match="did you mean 'Freight 2'"):
        check(of, only="Freight 3")


def test_progress_is_told_before_each_train() -> None:
    first = replace(_train(_through(90.0), [engine("1")]), name="Freight 1")
    second = replace(_train(_through(70.0), [engine("2")]), name="Freight 2")
    told: list[tuple[str, int, int]] = []
    check(session(WHERE, first, second), progress=lambda *step: told.append(step))
    assert told == [("Freight 1", 0, 2), ("Freight 2", 1, 2)]


def _light_ahead_of_heavy(care_margin: float = 1.5, hold_margin: float = 1.0) -> TrainCheck:
    cars = [spot(car("Light", 18.0), 1, leaves=2), *(spot(car(f"C{k}", 130.0), k + 2, leaves=2) for k in range(8))]
    house = House(care_margin=care_margin, hold_margin=hold_margin)
    return _checked(session(WHERE, _train(cars, [engine(pull_g=200.0)]), house=house))


def test_a_better_order_is_suggested_where_the_verdict_needs_one_and_can_have_it() -> None:
    margin = _light_ahead_of_heavy().margin
    assert margin is not None
    one = _light_ahead_of_heavy(care_margin=1.2 * margin, hold_margin=1.1 * margin)
    assert one.verdict == "hold"
    assert one.suggestion is not None
    assert one.suggestion.margin is not None
    assert one.suggestion.margin >= 1.1 * margin
    assert sorted(one.suggestion.order) == sorted(each.car for each in one.cars)
    # one car has to move, and no more are
    assert [move.cars for move in one.suggestion.moves] == [("Light",)]
    assert one.order_score is not None
    assert one.order_score < 100.0


def test_nothing_is_suggested_where_all_is_well() -> None:
    margin = _light_ahead_of_heavy().margin
    assert margin is not None
    one = _light_ahead_of_heavy(care_margin=0.9 * margin, hold_margin=0.5 * margin)
    assert one.suggestion is None
    assert one.verdict == "go"


def test_the_suggested_margin_is_what_a_check_of_that_order_gives() -> None:
    margin = _light_ahead_of_heavy().margin
    assert margin is not None
    found = _light_ahead_of_heavy(care_margin=1.2 * margin, hold_margin=1.1 * margin).suggestion
    assert found is not None
    weights = {"Light": 18.0}
    cars = [spot(car(name, weights.get(name, 130.0)), k + 1, leaves=2) for k, name in enumerate(found.order)]
    again = _checked(session(WHERE, _train(cars, [engine(pull_g=200.0)])))
    assert again.margin == pytest.approx(found.margin)


def test_no_order_can_better_cars_that_are_all_alike() -> None:
    one = _checked(session(WHERE, _train(_through(80.0, 80.0, 80.0, 80.0))))
    assert one.order_score == pytest.approx(100.0)
    assert one.suggestion is None
    assert one.heavy_forward == pytest.approx(50.0)


def test_a_train_on_straight_track_scores_100_and_has_no_margin() -> None:
    where = layout(line("West, e", "East, w", straight(2000.0)))
    one = train(where, [car("C1"), car("C2", 50.0)], [engine()], stops=("West", "East"))
    result = _checked(session(where, one))
    assert (result.margin, result.order_score, result.worst, result.verdict) == (None, 100.0, None, "go")
