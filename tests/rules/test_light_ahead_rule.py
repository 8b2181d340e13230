"""`light-ahead`: the pairs of a light car ahead of a heavy one that matter most."""

from __future__ import annotations

import pytest
from builders import car, case, curve, engine, one_line, session, straight, train

from consist.house import House
from consist.rules.cars import _behind_words, light_ahead
from consist.rules.case import Finding
from consist.stock import Car
from consist.trailing import TooMany, trailing_on

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


def _told(cars: list[Car], house: House | None = None, helpers: int = 0) -> tuple[Finding, int | None]:
    """What is said of the first light car, and what `trailing` tells of it."""
    pushing = [engine(f"H{k}", pull_g=400.0) for k in range(helpers)]
    one = train(TIGHT, cars, [engine(pull_g=400.0)], pushing)
    of = session(TIGHT, one, house=house)
    found = light_ahead(case(of, one))[0]
    (limit,) = trailing_on(of, one, [(next(each for each in cars if each.name == found.car), False)])
    return found, limit.within_care


def test_the_limit_passed_is_that_of_what_may_trail() -> None:
    found, most = _told([car("Light", 12.0), *(car(f"C{k}", 100.0) for k in range(15))])
    assert most is not None
    assert 1 < most < 15
    assert f"; no more than {most} usual cars behind it on this route; 15 stand there; set the lighter" in found.say
    assert (found.level, found.limit) == ("care", 0.8)
    assert found.value == pytest.approx(0.12)


def test_fewer_cars_that_are_heavy_are_told_by_what_they_weigh() -> None:
    """The usual car weighs its standard's target, here its body's 137.3 mm in grams."""
    cars = [car("Light", 40.0), *(car(f"C{k}", 400.0) for k in range(4))]
    found, most = _told(cars)
    assert most is not None
    assert 4 <= most < 11
    assert f"no more than {most} usual cars behind it on this route; 4 stand there, as heavy as 12;" in found.say


def test_no_limit_is_named_where_none_is_passed_or_known() -> None:
    """A car with the house's margin, one that rides part of the way, and a train that is pushed as well."""
    cars = [car("Light", 12.0), *(car(f"C{k}", 100.0) for k in range(15))]
    found, _ = _told(cars)
    assert "on this route" in found.say
    one = train(TIGHT, cars, [engine(pull_g=400.0)])
    use = (made := case(session(TIGHT, one), one)).side_use(made.cars[0])
    noted, _ = _told(cars, House(care_margin=1.0 / use / 1.2, hold_margin=0.01))
    pushed, _ = _told(cars, House(care_margin=3.0), helpers=1)
    for each in (noted, pushed):
        assert each.car == "Light"
        assert "on this route" not in each.say


@pytest.mark.parametrize(
    ("over", "words"),
    [
        (TooMany(0, 1, 1), "; no usual car behind it on this route; 1 stands there"),
        (TooMany(1, 2, 2), "; no more than 1 usual car behind it on this route; 2 stand there"),
        (TooMany(4, 3, 6), "; no more than 4 usual cars behind it on this route; 3 stand there, as heavy as 6"),
    ],
)
def test_how_many_too_many_is_told_in_number_and_kind(over: TooMany, words: str) -> None:
    assert _behind_words(over) == words
