"""`slack`: couplings that stretch and bunch along the run."""

from __future__ import annotations

from builders import car, case, engine, one_line, session, straight, train

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


def test_on_the_level_nothing_runs_in() -> None:
    assert _found([straight(3000.0)]) == []


def test_uphill_only_nothing_runs_in() -> None:
    assert _found([straight(1000.0, 1.0), straight(2000.0, 3.0)]) == []


def test_down_a_grade_gentler_than_the_cars_roll_on_nothing_runs_in() -> None:
    assert _found([straight(1000.0), straight(3000.0, -1.2)]) == []
