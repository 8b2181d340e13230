"""Every order a yard may make, against all permutations sifted by what it allows."""

from __future__ import annotations

import itertools
import random
from collections import Counter

import numpy as np
import pytest
from builders import car, spot
from random_yards import random_yard

from consist.order import Yard, yard_of
from consist.order.yard import every_order

__all__: list[str] = []

Order = tuple[int, ...]


def made(yard: Yard, kinds: list[int] | None = None) -> list[Order]:
    alike = np.arange(len(yard.start)) if kinds is None else np.array(kinds)
    return [tuple(int(number) for number in order) for batch in every_order(yard, alike) for order in batch]


def sifted(yard: Yard) -> set[Order]:
    return {order for order in itertools.permutations(range(len(yard.start))) if yard.allowed(order)}


@pytest.mark.parametrize("free_blocks", [False, True])
def test_every_order_that_is_allowed_is_made_once(free_blocks: bool) -> None:
    kept = set()
    for seed in range(150):
        yard = random_yard(seed, 1 + seed % 6, free_blocks=free_blocks)
        orders = made(yard)
        allowed = sifted(yard)
        assert len(orders) == len(set(orders))
        assert set(orders) == allowed, seed
        kept.add(
            (
                len(set(yard.block)) > 1,
                bool(yard.pinned),
                bool(yard.follows),
                len(set(yard.group)) > len(set(yard.block)),
            )
        )
    assert len(kept) > 8, "blocks, holds, ties and legs come up together"


@pytest.mark.parametrize("free_blocks", [False, True])
def test_orders_that_differ_by_cars_that_are_alike_are_made_once(free_blocks: bool) -> None:
    fewer = 0
    for seed in range(150):
        yard = random_yard(1000 + seed, 2 + seed % 5, free_blocks=free_blocks, legs=False)
        rng = random.Random(seed)
        kinds: list[int] = []
        for number in range(len(yard.start)):
            kinds.append(rng.choice([number, *dict.fromkeys(kinds)]))
        allowed = sifted(yard)
        seen = Counter(tuple(kinds[number] for number in order) for order in made(yard, kinds))
        assert set(seen) == {tuple(kinds[number] for number in order) for order in allowed}, seed
        if not yard.follows and len(set(yard.block)) == 1:
            assert max(seen.values()) == 1
            fewer += len(seen) < len(allowed)
    assert fewer > 20


def test_cars_alike_in_two_free_blocks_do_not_stand_for_each_other() -> None:
    """C0 and C2 are alike: with C0 ahead C1 must follow, with C2 ahead C3 must."""
    yard = yard_of("T", [spot(car(f"C{k}"), k + 1, block="XXYY"[k]) for k in range(4)], free_blocks=True)
    kinds = [0, 1, 0, 3]
    assert {tuple(kinds[number] for number in order) for order in made(yard, kinds)} == {
        tuple(kinds[number] for number in order) for order in sifted(yard)
    }


@pytest.mark.parametrize("count", [14, 40])
def test_the_first_orders_of_many_blocks_of_one_car_come_soon(count: int) -> None:
    cars = [spot(car(f"C{k}"), k + 1, block=f"Block {k}") for k in range(count)]
    yard = yard_of("T", cars, free_blocks=True)
    orders = next(iter(every_order(yard, np.arange(count))))
    assert len(orders) > 100
    assert yard.allows(orders).all()
    assert yard.count(5041) == 5041
