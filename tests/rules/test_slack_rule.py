"""`slack`: couplings that stretch and bunch along the run."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from builders import car, case, engine, one_line, session, straight, train

from consist.mechanics.peaks import Peak
from consist.rules.case import Finding
from consist.rules.whole_trains import slack
from consist.track import Piece

__all__: list[str] = []

SUMMIT = [straight(2500.0, 2.5), straight(2500.0, -2.5)]


def _found(track: list[Piece], target_g: float = 100.0, weight_g: float = 100.0) -> list[Finding]:
    where = one_line(*track)
    cars = [car(f"C{k}", weight_g, target_g=target_g) for k in range(5)]
    one = train(where, cars, [engine()])
    return slack(case(session(where, one), one))


def test_over_a_summit_every_coupling_runs_in_and_out() -> None:
    """Up 2.5 % all is stretched; down 2.5 % cars that roll on 1.4 % push, and the engine holds them."""
    (found,) = _found(SUMMIT)
    assert (found.code, found.level, found.value, found.limit) == ("slack", "note", 5.0, 5.0)
    assert "change speed gently" in found.say


def test_light_cars_make_it_a_matter_of_care() -> None:
    (found,) = _found(SUMMIT, target_g=101.0)
    assert found.level == "care"
    assert "the cars are light for their length" in found.say


def _with(couplings: int, running: int, force_g: float = 50.0, target_g: float = 200.0) -> list[Finding]:
    """What is found where so many of a train's couplings are stretched and bunched with a force; cars of 100 g."""
    where = one_line(*SUMMIT)
    one = train(where, [car(f"C{k}", target_g=target_g) for k in range(couplings)], [engine()])
    of = case(session(where, one), one)
    (leg,) = of.trip.legs
    felt = np.where(np.arange(couplings) < running, force_g, 0.0)
    peaks = replace(leg.peaks, tension=Peak(felt, np.zeros(couplings)), buff=Peak(felt, np.zeros(couplings)))
    return slack(replace(of, trip=replace(of.trip, legs=(replace(leg, peaks=peaks),))))


@pytest.mark.parametrize(
    ("couplings", "running", "level"),
    [
        (6, 2, "care"),
        (7, 2, "note"),
        (7, 3, "care"),
        (3, 1, "care"),
        (4, 1, "note"),
        (12, 4, "care"),
        (13, 4, "note"),
    ],
)
def test_a_third_of_the_couplings_makes_it_a_matter_of_care(couplings: int, running: int, level: str) -> None:
    (found,) = _with(couplings, running)
    assert (found.level, found.value, found.limit) == (level, running, couplings)
    (enough,) = _with(couplings, running, target_g=100.0)
    assert enough.level == "note"


@pytest.mark.parametrize(("force_g", "felt"), [(0.2, False), (0.2001, True), (-5.0, False)])
def test_a_force_is_felt_past_a_five_hundredth_of_the_lighter_neighbour(force_g: float, felt: bool) -> None:
    """0.2 g of a car of 100 g; the engine ahead weighs 400 g."""
    assert bool(_with(6, 1, force_g)) is felt


def test_on_the_level_nothing_runs_in() -> None:
    assert _found([straight(3000.0)]) == []


def test_uphill_only_nothing_runs_in() -> None:
    assert _found([straight(1000.0, 1.0), straight(2000.0, 3.0)]) == []


def test_down_a_grade_gentler_than_the_cars_roll_on_nothing_runs_in() -> None:
    assert _found([straight(1000.0), straight(3000.0, -1.2)]) == []
