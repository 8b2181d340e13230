"""Lawler (1973), Management Science 19(5), 544-546: the cheapest job last gives the least possible maximum cost.

Here the place last of all is the head end: a car's 'completion time' is the resistance of itself and all behind it,
and its cost there, in the simplified problem, is that pull times its length over its weight.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import pytest
from builders import car, spot
from hypothesis import given
from hypothesis import strategies as st

from consist.order import yard_of
from consist.order.search import lawler_order
from consist.order.trial import Order
from consist.session import CarInTrain

__all__: list[str] = []

Size = tuple[float, float]
sizes = st.lists(st.tuples(st.floats(10.0, 300.0), st.floats(80.0, 300.0)), min_size=1, max_size=6)


def _worst(order: Sequence[int], cars: Sequence[CarInTrain]) -> float:
    pull = worst = 0.0
    for number in reversed(order):
        one = cars[number]
        pull += one.weight_g * one.car.rolling
        worst = max(worst, pull * one.car.coupled_length_mm / one.weight_g)
    return worst


def _keeps(order: Order, cars: Sequence[CarInTrain]) -> bool:
    """Whether the blocks stand as they did and every held car is in its place."""
    return all(
        cars[number].block == cars[place].block and (cars[place].hold is None or number == place)
        for place, number in enumerate(order)
    )


@given(sizes)
def test_no_permutation_does_better_on_the_simplified_problem(of: list[Size]) -> None:
    cars = [spot(car(f"C{k}", weight, length), k + 1) for k, (weight, length) in enumerate(of)]
    found = lawler_order(yard_of("Freight 1", cars), cars)
    best = min(_worst(order, cars) for order in itertools.permutations(range(len(cars))))
    assert _worst(found, cars) == pytest.approx(best, rel=1e-12)


@given(sizes, st.data())
def test_nor_with_blocks_in_their_order(of: list[Size], data: st.DataObject) -> None:
    """The same within blocks: whatever stands in a block, all behind it takes the same."""
    split = data.draw(st.integers(0, len(of)))
    cars = [
        spot(car(f"C{k}", weight, length), k + 1, block="Mill" if k < split else "Dock")
        for k, (weight, length) in enumerate(of)
    ]
    found = lawler_order(yard_of("Freight 1", cars), cars)
    assert _keeps(found, cars)
    allowed = [order for order in itertools.permutations(range(len(cars))) if _keeps(order, cars)]
    assert _worst(found, cars) == pytest.approx(min(_worst(order, cars) for order in allowed), rel=1e-12)


@given(sizes, st.data())
def test_held_cars_stay_where_they_are(of: list[Size], data: st.DataObject) -> None:
    held = data.draw(st.sets(st.integers(0, len(of) - 1)))
    cars = [
        spot(car(f"C{k}", weight, length), k + 1, hold="stay" if k in held else None)
        for k, (weight, length) in enumerate(of)
    ]
    found = lawler_order(yard_of("Freight 1", cars), cars)
    assert sorted(found) == list(range(len(cars)))
    assert all(found[place] == place for place in held)
