"""The least worst use of many orders of a train, as if every one of them were worked out in full.

At every position of the head that is looked at, a use is one that the order really has, so that no order's full
figure is below its greatest use there by more than its tolerance. Orders are worked out in full from the least of
those on, until none left can be better.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from consist.order import Yard
from consist.trains import Orders, Prepared

__all__ = ["FULL_WITHIN", "all_allowed", "evenly", "full_use", "least_in_full", "uses_in_full"]

Order = tuple[int, ...]
FULL_WITHIN = 0.005
"""How close a full figure is, as a share."""
HEADS = 250
"""So many positions of the head are looked at on each leg."""


def all_allowed(yard: Yard, orders: Sequence[Order]) -> list[Order]:
    """Those of some orders that the yard allows."""
    allowed = yard.allows(np.array(orders, dtype=np.intp))
    return [order for order, may in zip(orders, allowed, strict=True) if may]


def uses_in_full(orders: Orders, order: Sequence[int]) -> NDArray[np.float64]:
    """Each car's greatest use in an order, by number."""
    uses = np.zeros(orders.cars)
    uses[list(order)] = list(orders.trip(order).uses.values())
    return uses


def full_use(of: Prepared, order: Sequence[int]) -> float:
    """An order's worst use, the train made anew with its cars so."""
    train = replace(of.train, cars=tuple(of.train.cars[car] for car in order))
    return of.with_train(train).run().worst_use


def evenly(of: Prepared, orders: Sequence[Order], heads: int = HEADS) -> NDArray[np.float64]:
    """Each order's worst use at even positions of the head, of shape (orders,)."""
    at = Orders(of).at(np.array(orders, dtype=np.intp), lambda on: np.linspace(on.from_mm + 0.01, on.to_mm, heads))
    worst: NDArray[np.float64] = at.uses.max(axis=1, initial=0.0)
    return worst


def least_in_full(
    of: Prepared, orders: Sequence[Order], *, heads: int = HEADS, in_full: Callable[[Order], float] | None = None
) -> float:
    """The least worst use in full of any of these orders, infinite where there are none."""
    if not orders:
        return float("inf")
    known = in_full or (lambda order: full_use(of, order))
    floors = evenly(of, orders, heads)
    least = float("inf")
    for number in np.argsort(floors, kind="stable"):
        if floors[number] * (1.0 - FULL_WITHIN) >= least:
            break
        least = min(least, known(orders[number]))
    return least
