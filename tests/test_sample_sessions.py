"""The sample sessions end to end: each train tells the trouble it was made for."""

from __future__ import annotations

from pathlib import Path

import pytest

import consist

SESSIONS = Path(__file__).parent.parent / "sample_sessions"


@pytest.fixture(scope="module")
def club_night() -> dict[str, consist.TrainCheck]:
    result = consist.check(consist.load(SESSIONS / "club_night"))
    return {train.train: train for train in result.trains}


@pytest.fixture(scope="module")
def sunday_shelf() -> dict[str, consist.TrainCheck]:
    result = consist.check(consist.load(SESSIONS / "sunday_shelf"))
    return {train.train: train for train in result.trains}


def codes(train: consist.TrainCheck, level: str) -> set[str]:
    return {finding.code for finding in train.findings if finding.level == level}


def test_the_club_night_is_a_real_evening(club_night: dict[str, consist.TrainCheck]) -> None:
    assert len(club_night) >= 8
    assert len({car.car for train in club_night.values() for car in train.cars}) >= 80


def test_a_light_flat_behind_the_engines_of_an_ore_train_is_pulled_off(
    club_night: dict[str, consist.TrainCheck],
) -> None:
    train = club_night["Ore Loads 1"]
    assert train.verdict == "hold"
    assert train.worst is not None
    assert train.worst.spot == 1
    assert "side-pull" in codes(train, "hold")
    assert train.suggestion is not None
    assert train.suggestion.margin is not None
    assert train.margin is not None
    assert train.suggestion.margin > 1.0 > train.margin
    assert train.suggestion.moves[0].cars == (train.worst.car,)


def test_a_branch_train_is_short_of_power_and_is_told_what_would_do(
    club_night: dict[str, consist.TrainCheck],
) -> None:
    train = club_night["Marlpit Turn"]
    assert train.verdict == "hold"
    assert codes(train, "hold") == {"power-short"}
    assert train.power.use is not None
    assert train.power.use > 1.0
    assert train.power.needed is not None
    assert train.power.needed > len(train.power.assigned)


def test_a_helper_pushes_a_light_car_and_the_advice_is_not_to_set_it_nearer(
    club_night: dict[str, consist.TrainCheck],
) -> None:
    train = club_night["Hill Freight 21"]
    assert "buff-push" in codes(train, "care")
    assert "light-ahead" not in codes(train, "care")


def test_a_local_is_checked_leg_by_leg(club_night: dict[str, consist.TrainCheck]) -> None:
    train = club_night["Valley Local"]
    assert len(train.legs) == 3
    assert len({leg.cars for leg in train.legs}) == 3
    assert "not-weighed" in codes(train, "care")
    assert train.verdict == "care"


def test_guests_long_cars_meet_their_limits(club_night: dict[str, consist.TrainCheck]) -> None:
    assert codes(club_night["Limited 7"], "hold") == {"coupler-angle", "radius"}


def test_a_train_without_engines_is_checked_behind_stand_ins(club_night: dict[str, consist.TrainCheck]) -> None:
    train = club_night["Rack Extra"]
    assert train.power.assigned == ()
    assert train.power.needed is not None
    assert "power-short" in codes(train, "care")


def test_trains_that_are_fine_go(club_night: dict[str, consist.TrainCheck]) -> None:
    fine = {name for name, train in club_night.items() if train.verdict == "go"}
    assert fine == {"Fast Freight 15", "Tank Line 33"}


def test_the_shelf_has_one_train_of_each_kind(sunday_shelf: dict[str, consist.TrainCheck]) -> None:
    assert sunday_shelf["Creamery 5"].verdict == "go"
    assert "light-ahead" in codes(sunday_shelf["Quarry Mixed 3"], "care")
    assert {"underweight", "slack"} <= codes(sunday_shelf["Coal Empties 2"], "care")


def test_the_same_input_gives_the_same_results(sunday_shelf: dict[str, consist.TrainCheck]) -> None:
    again = consist.check(consist.load(SESSIONS / "sunday_shelf"))
    assert tuple(sunday_shelf.values()) == again.trains


def test_every_figure_of_a_car_agrees_with_its_train(club_night: dict[str, consist.TrainCheck]) -> None:
    for train in club_night.values():
        assert train.side_use == max(car.side_use for car in train.cars)
        assert train.side_use == max(leg.side_use for leg in train.legs)
        assert train.order_score is not None
        assert 0.0 < train.order_score <= 100.0
