"""`assumed`, trains without a car, the order of findings, and the verdict."""

from __future__ import annotations

import pytest
from builders import car, case, curve, engine, one_line, session, straight, train

from consist.house import House
from consist.rules import Level, Verdict, findings
from consist.rules.whole_trains import assumed, no_cars

__all__: list[str] = []

WHERE = one_line(straight(300.0), curve(500.0, 90.0), straight(300.0))


def test_one_note_a_train_counts_what_was_assumed() -> None:
    cars = [car("C1", assumed=["rolling", "truck centers"]), car("C2", assumed=["rolling"]), car("C3")]
    one = train(WHERE, cars, [engine("1", assumed=["grip"])])
    (found,) = assumed(case(session(WHERE, one), one))
    assert (found.code, found.level, found.value) == ("assumed", "note", 4.0)
    assert "rolling of cars (2)" in found.say
    assert "truck centers of cars (1)" in found.say
    assert "grip of engines (1)" in found.say


def test_nothing_assumed_nothing_said() -> None:
    one = train(WHERE, [car("C1")], [engine()])
    assert assumed(case(session(WHERE, one), one)) == []


def test_a_train_without_cars_is_a_matter_of_care() -> None:
    empty, full = train(WHERE, [], [engine()]), train(WHERE, [car("C1")], [engine()])
    assert [one.level for one in no_cars(case(session(WHERE, empty), empty))] == ["care"]
    assert no_cars(case(session(WHERE, full), full)) == []


def test_findings_come_gravest_first() -> None:
    cars = [car("C1", 15.0, target_g=100.0, assumed=["rolling"], min_radius_mm=900.0), car("C2", assumed=["weight"])]
    one = train(WHERE, cars, [engine(pull_g=0.5, weight_g=1e-9)])
    found = findings(case(session(WHERE, one, house=House()), one))
    levels = [one.level for one in found]
    assert levels == sorted(levels, key=["hold", "care", "note"].index)
    assert set(levels) == {"hold", "care", "note"}
    assert {"power-short", "radius", "underweight", "not-weighed", "assumed"} <= {one.code for one in found}


@pytest.mark.parametrize(
    ("margin", "levels", "expected"),
    [
        (None, [], "go"),
        (1.5, [], "go"),  # below is care; at it is not
        (1.49, [], "care"),
        (1.0, [], "care"),
        (0.99, [], "hold"),
        (3.0, ["note"], "go"),
        (3.0, ["note", "care"], "care"),
        (3.0, ["care", "hold"], "hold"),
        (None, ["hold"], "hold"),
        (0.5, ["care"], "hold"),
    ],
)
def test_the_verdict_follows_margin_and_findings(
    margin: float | None, levels: list[Level], expected: Verdict
) -> None:
    house = House(care_margin=1.5, hold_margin=1.0)
    assert house.judged(0.0 if margin is None else 1.0 / margin, levels) == expected
