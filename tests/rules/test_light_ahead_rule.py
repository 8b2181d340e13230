"""`light-ahead`: the pairs of a light car ahead of a heavy one that matter most."""

from __future__ import annotations

import pytest
from builders import car, case, curve, engine, one_line, session, straight, train

from consist.house import House
from consist.rules.cars import light_ahead
from consist.rules.case import Finding
from consist.stock import Car

__all__: list[str] = []

TIGHT = one_line(straight(100.0), curve(420.0, 150.0), straight(400.0))


def _found(cars: list[Car], house: House | None = None) -> list[Finding]:
    one = train(TIGHT, cars, [engine(pull_g=400.0)])
    return light_ahead(case(session(TIGHT, one, house=house), one))


def test_a_light_car_ahead_of_a_heavy_one_is_told_with_both_names() -> None:
    cars = [car("Light", 20.0), car("C1", 100.0), car("Heavy", 180.0), car("C2", 100.0)]
    found = _found(cars, House(care_margin=1000.0))
    first = found[0]
    assert (first.code, first.level, first.car, first.spot) == ("light-ahead", "care", "Light", 1)
    # both are as long, so weight per length goes by weight
    assert first.value == pytest.approx(20.0 / 180.0)
    assert "Heavy" in first.say


def test_it_is_a_note_where_the_light_car_has_the_houses_margin() -> None:
    cars = [car("Light", 20.0), car("Heavy", 180.0)]
    one = train(TIGHT, cars, [engine(pull_g=400.0)])
    use = (made := case(session(TIGHT, one), one)).side_use(made.cars[0])
    noted = _found(cars, House(care_margin=1.0 / use / 1.2))
    assert [one.level for one in noted] == ["note"]
    assert _found(cars, House(care_margin=1.0 / use / 2.2)) == []


def test_heavy_to_light_says_nothing() -> None:
    cars = [car(f"C{k}", 180.0 - 20.0 * k) for k in range(6)]
    assert _found(cars, House(care_margin=1000.0)) == []


def test_a_car_little_lighter_says_nothing() -> None:
    """Below 0.8 of the other's weight per length, common practice, no source."""
    assert _found([car("C1", 81.0), car("C2", 100.0)], House(care_margin=1000.0)) == []
    assert len(_found([car("C1", 79.0), car("C2", 100.0)], House(care_margin=1000.0))) == 1


def test_weight_counts_by_length() -> None:
    """A short car of half the weight and half the length is no lighter."""
    cars = [car("Short", 50.0, 100.0), car("Long", 100.0, 200.0)]
    assert _found(cars, House(care_margin=1000.0)) == []


def test_three_pairs_at_most_the_worst_off_first() -> None:
    cars = [*(car(f"L{k}", 20.0 + 5.0 * k) for k in range(5)), car("Heavy", 200.0)]
    found = _found(cars, House(care_margin=1000.0))
    assert len(found) == 3
    assert found[0].car == "L0"
