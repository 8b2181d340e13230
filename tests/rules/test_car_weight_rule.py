"""`not-weighed`, `underweight` and `overweight`: cars against the weight standard, as they run."""

from __future__ import annotations

import pytest
from builders import car, case, engine, one_line, session, spot, straight, train

from consist.house import House
from consist.rules.cars import car_weight
from consist.rules.case import Finding
from consist.stock import Car

__all__: list[str] = []


def _found(one_car: Car, *, loaded: bool = False) -> list[Finding]:
    where = one_line(straight(1000.0))
    one = train(where, [spot(one_car, 1, loaded=loaded)], [engine()])
    return car_weight(case(session(where, one), one))


@pytest.mark.parametrize(
    ("weight_g", "code", "level"),
    [
        (69.0, "underweight", "care"),  # over 30 % under
        (71.0, "underweight", "note"),
        (89.0, "underweight", "note"),  # over 10 % under
        (91.0, None, None),
        (100.0, None, None),
        (129.0, None, None),  # NEM 302 allows up to 30 % more
        (131.0, "overweight", "note"),
    ],
)
def test_levels_by_how_far_off_the_target_a_car_is(weight_g: float, code: str | None, level: str | None) -> None:
    found = _found(car("C1", weight_g, target_g=100.0))
    assert [(one.code, one.level) for one in found] == ([] if code is None else [(code, level)])
    for one in found:
        assert (one.car, one.spot, one.value, one.limit) == ("C1", 1, weight_g, 100.0)


def test_a_car_is_judged_as_it_runs_with_its_load() -> None:
    hopper = car("C1", 70.0, load_g=30.0, target_g=100.0)
    assert [one.code for one in _found(hopper)] == ["underweight"]
    assert _found(hopper, loaded=True) == []


def test_the_sentence_says_what_to_add() -> None:
    (found,) = _found(car("C1", 60.0, target_g=100.0))
    assert "add 40 g" in found.say


def test_a_car_that_was_not_weighed_leaves_the_verdict_at_best_at_care() -> None:
    (found,) = _found(car("C1", 100.0, target_g=100.0, assumed=["weight"]))
    assert (found.code, found.level, found.value, found.limit) == ("not-weighed", "care", None, 100.0)
    assert House().judged(0.0, [found.level]) == "care"


def test_an_odd_weight_is_a_finding_and_no_error() -> None:
    assert [one.code for one in _found(car("C1", 2.0, target_g=100.0))] == ["underweight"]
