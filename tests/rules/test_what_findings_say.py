"""Findings word by word, with the code, the figure and the limit that a program reads."""

from __future__ import annotations

import pytest
from builders import car, case, curve, engine, one_line, session, straight, train

from consist.house import House
from consist.rules.cars import car_weight, side_pull
from consist.rules.unlikely import unlikely
from consist.rules.whole_trains import no_cars, slack

__all__: list[str] = []

WHERE = one_line(straight(600.0), curve(900.0, 30.0), straight(600.0))


def test_a_train_without_a_car() -> None:
    one = train(WHERE, [], [engine()])
    (found,) = no_cars(case(session(WHERE, one), one))
    assert (found.code, found.level) == ("no-cars", "care")
    assert found.say == (
        "No car rides in this train; add its cars to the trains table, or take the train out of the session."
    )
    assert slack(case(session(WHERE, one), one)) == []


@pytest.mark.parametrize(
    ("weight", "target", "code", "say"),
    [
        (
            85.0,
            100.0,
            "underweight",
            "C1 in spot 1 weighs 85 g, 15 g under the 100 g of own for its body length; add 15 g.",
        ),
        (
            140.0,
            100.0,
            "overweight",
            "C1 in spot 1 weighs 140 g empty, 40 g over the 100 g of own for its body length; stand it near the head "
            "end, or lighten it.",
        ),
    ],
)
def test_a_weight_is_told_with_the_standard_that_asks_another(
    weight: float, target: float, code: str, say: str
) -> None:
    one = train(WHERE, [car("C1", weight, target_g=target)], [engine()])
    (found,) = car_weight(case(session(WHERE, one), one))
    assert (found.code, found.value, found.limit) == (code, weight, target)
    assert found.say.replace("\xa0", " ") == say


def test_what_is_odd_of_the_track_is_told_of_trains_that_run_there() -> None:
    sharp = one_line(straight(600.0), curve(30.0, 30.0), straight(600.0))
    (odd,) = sharp.findings
    one = train(sharp, [car()], [engine()])
    (found,) = unlikely(case(session(sharp, one), one))
    told = (found.code, found.level, found.say, found.value, found.limit)
    assert told == ("unlikely", "care", odd.say, odd.value, odd.limit)


def test_a_side_pull_is_told_with_how_much_of_what_it_can_bear() -> None:
    sharp = one_line(straight(900.0), curve(400.0, 90.0), straight(900.0))
    stock = [car("L", 40.0, target_g=40.0), *(car(f"H{number}", 200.0, target_g=200.0) for number in range(12))]
    one = train(sharp, stock, [engine(pull_g=900.0)])
    of = case(session(sharp, one), one)
    (worst,) = [found for found in side_pull(of) if found.car == "L"]
    assert worst.value is not None
    assert worst.level == "hold"
    assert f"with {100.0 / worst.value:.0f} % of what it can bear" in worst.say


def test_a_use_never_seems_to_cross_a_limit_of_the_house_that_it_has_not() -> None:
    where = one_line(straight(600.0))
    for care, hold in ((1.5, 1.0), (2.0, 1.25)):
        one = train(where, [car("C1")], [engine("1")])
        told = case(session(where, one, house=House(care_margin=care, hold_margin=hold)), one)
        for limit in (1.0 / care, 1.0 / hold):
            for use in (limit * 0.9997, limit * 1.0003):
                shown = float(told.percent(use).rstrip(" %")) / 100.0
                assert (shown > limit) is (use > limit), (limit, use, shown)
        assert told.percent(0.3001) == "30 %"
