"""Orders tried within a budget: many at few places, and in full only those that those do not rule out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from math import inf

import numpy as np
from numpy.typing import NDArray

from consist.order.budget import Budget
from consist.order.neighbours import Neighbours
from consist.order.yard import Batch, Order, Yard
from consist.trains import Orders

__all__ = ["NO_BETTER", "PROVEN_WITHIN", "Found", "Trials", "an_order", "parted"]

Floats = NDArray[np.float64]

AT_ONCE = 256
"""So many orders are tried at once: some hundredths of a second, between which the budget is asked."""
OVERHEAD = 12
"""Drawing an order and setting it up takes as long as so many looks at each of its cars."""
PROVEN_WITHIN = 0.005
"""How close a proof is: the tolerance of the full figures."""
NO_BETTER = 0.001
"""Orders better by less than this share are no better: less is the tolerance of the full figures."""


@dataclass(frozen=True)
class Found:
    """An order and its worst use in full.

    `proven` is whether every order it was sought among was tried, and none is better by more than what was asked.
    """

    order: Order
    use: float
    proven: bool = False


class Trials:
    """Tries the orders of one train and takes each trial from the budget, in looks at one car at one head."""

    def __init__(self, orders: Orders, yard: Yard, budget: Budget) -> None:
        self.orders, self.yard, self.budget = orders, yard, budget
        self.neighbours = Neighbours(yard, orders.kinds)
        self._in_full: set[Order] = set()
        self._tried, self._looks = 0, 0.0

    @property
    def looks_an_order(self) -> float:
        """About how many looks an order takes at few places, those with limits being as those before."""
        every = self.orders.cars * (max(self.orders.places, 1) + OVERHEAD)
        return self._looks / self._tried if self._tried else float(every)

    @property
    def looks_in_full(self) -> float:
        """About how many looks an order in full takes."""
        return float(self.orders.cars * self.orders.heads)

    @property
    def affordable(self) -> int:
        """About how many orders the budget leaves room for at few places."""
        return int(min(self.budget.left / self.looks_an_order, 1e9)) if self.orders.cars else 0

    def uses(self, orders: Batch, limits: Floats | float | None = None) -> Floats:
        """Each car's greatest use at few places, of shape (orders, cars), as `Orders.at_places` tells it."""
        before = self.orders.looked
        uses = self.orders.at_places(orders, None if limits is None else np.broadcast_to(limits, len(orders)))
        looks = float(self.orders.looked - before + OVERHEAD * orders.size)
        self.budget.take(looks)
        if limits is not None:
            self._tried, self._looks = self._tried + len(orders), self._looks + looks
        return uses

    def floors(self, orders: Batch, limits: Floats | float | None = None) -> Floats:
        """The worst use at few places, of shape (orders,): never above that in full; limits likewise."""
        worst: Floats = self.uses(orders, limits).max(axis=1, initial=0.0)
        return worst

    def worst(self, order: Order) -> float:
        """The worst use in full; an order is worked out once."""
        if order not in self._in_full:
            self._in_full.add(order)
            self.budget.take(self.looks_in_full)
        return self.orders.trip(order).worst_use

    def least(self, orders: Iterable[Batch], known: Found, within: float) -> Found:
        """The best order of all of them and the known one: `proven` if none left is better by that share.

        An order is ruled out once its figure at few places reaches the best use so far, less that share. The most
        promising order left is worked out in full, by which the few places grow and may rule out others.
        """
        best = replace(known, proven=True)
        for batch in (part for each in orders for part in parted(each)):
            if self.budget.spent():
                return replace(best, proven=False)
            floors = self.floors(batch, best.use * (1.0 - within))
            while True:
                left = floors < best.use * (1.0 - within)
                batch, floors = batch[left], floors[left]
                if not len(batch):
                    break
                if self.budget.spent():
                    return replace(best, proven=False)
                likeliest = int(np.argmin(floors))
                order = an_order(batch[likeliest])
                use = self.worst(order)
                if use < best.use:
                    best = Found(order, use, True)
                floors = np.maximum(floors, self.floors(batch, best.use * (1.0 - within)))
                floors[likeliest] = inf
        return best


def parted(orders: Batch) -> Iterator[Batch]:
    """So few of them each time that the budget can be asked between."""
    return (orders[start : start + AT_ONCE] for start in range(0, len(orders), AT_ONCE))


def an_order(row: NDArray[np.intp]) -> Order:
    """A row of a batch by itself."""
    return tuple(row.tolist())
