"""What weighs just enough is enough everywhere: under a train's rules, at the bench and at the door."""

from __future__ import annotations

import pytest
from builders import car, case, engine, one_line, session, spot, straight, train

from consist.bench.target import status_of
from consist.house import GuestPractice
from consist.rules.cars import car_weight

__all__: list[str] = []

OUNCE_G = 28.349523125
HO_TARGETS_G = [(1.0 + 0.5 * tenths / 10.0) * OUNCE_G for tenths in range(10, 100)]
"""NMRA RP-20.1 in HO, 1 oz and 0.5 oz for each inch, for cars of 1 to 9.9 in."""
LITTLE_G = 0.02


def _codes(weight_g: float, target_g: float) -> list[str]:
    where = one_line(straight(1000.0))
    one = train(where, [spot(car("C1", weight_g, target_g=target_g), 1)], [engine()])
    return [found.code for found in car_weight(case(session(where, one), one))]


@pytest.mark.parametrize("just", [lambda target: target * 0.9, lambda target: target - target / 10.0])
def test_a_tenth_under_is_near_enough_whatever_its_last_binary_digit(just: object) -> None:
    assert callable(just)
    for target in HO_TARGETS_G:
        weight = just(target)
        assert _codes(weight, target) == []
        assert status_of(weight, target) == "near"
        assert GuestPractice(under_percent=10.0).weight_level(weight, target) == "go"


def test_a_little_more_under_is_told() -> None:
    for target in HO_TARGETS_G:
        weight = 0.9 * target - LITTLE_G
        assert _codes(weight, target) == ["underweight"]
        assert status_of(weight, target) == "under"
        assert GuestPractice(under_percent=10.0).weight_level(weight, target) == "care"


def test_upper_limits_are_met_by_what_is_just_on_them() -> None:
    for target in HO_TARGETS_G:
        for weight in (target * 1.3, target + 0.3 * target):
            assert _codes(weight, target) == []
            assert status_of(weight, target) == "heavy"
            assert status_of(weight + LITTLE_G, target) == "over"
            assert _codes(weight + LITTLE_G, target) == ["overweight"]
        assert status_of(target + target / 10.0, target) == "on"
