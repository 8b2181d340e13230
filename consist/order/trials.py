"""Orders tried within a budget: many at few places, and in full only those that those do not rule out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from math import inf

import numpy as np
from numpy.typing import NDArray

from consist.order.budget import Budget
from consist.order.evaluator import Evaluator, Floats, Order, Orders
from consist.order.neighbours import Neighbours
from consist.order.yard import Yard

__all__ = ["Found", "Trials"]

AT_ONCE = 256
"""So many orders are tried at once: some hundredths of a second, between which the budget is asked."""
OVERHEAD = 12
"""Drawing an order and setting it up takes as long as so many looks at each of its cars."""


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

    def __init__(self, evaluator: Evaluator, yard: Yard, budget: Budget) -> None:
        self.evaluator, self.yard, self.budget = evaluator, yard, budget
        self._in_full: set[Order] = set()
        self._tried, self._looks = 0, 0.0

    @cached_property
    def kinds(self) -> NDArray[np.intp]:
        """By car, the first car that it is alike to."""
        cars = range(self.evaluator.cars)
        first = [next(other for other in cars if other == car or self.evaluator.alike(other, car)) for car in cars]
        return np.array(first, dtype=np.intp)

    @cached_property
    def neighbours(self) -> Neighbours:
        """Orders near one."""
        return Neighbours(self.yard, self.kinds)

    @property
    def looks_an_order(self) -> float:
        """About how many looks an order takes at few places, those with limits being as those before."""
        every = self.evaluator.cars * (max(self.evaluator.places, 1) + OVERHEAD)
        return self._looks / self._tried if self._tried else float(every)

    @property
    def looks_in_full(self) -> float:
        """About how many looks an order in full takes."""
        return float(self.evaluator.cars * self.evaluator.heads)

    @property
    def affordable(self) -> int:
        """About how many orders the budget leaves room for at few places."""
        return int(min(self.budget.left / self.looks_an_order, 1e9)) if self.evaluator.cars else 0

    def has_room_for(self, in_full: int) -> bool:
        """Whether the budget has room for more than so many orders in full."""
        return not self.budget.spent() and self.budget.left > in_full * self.looks_in_full

    def uses(self, orders: Orders, limits: Floats | None = None) -> Floats:
        """Each car's greatest use at few places, of shape (orders, cars): never above that in full.

        An order that comes to its limit, of shape (orders,), at some places is not looked at at others.
        """
        before = self.evaluator.looked
        uses = self.evaluator.at_places(orders, limits)
        looks = float(self.evaluator.looked - before + OVERHEAD * orders.size)
        self.budget.take(looks)
        if limits is not None:
            self._tried, self._looks = self._tried + len(orders), self._looks + looks
        return uses

    def floors(self, orders: Orders, limits: Floats | float | None = None) -> Floats:
        """The worst use at few places, of shape (orders,): never above that in full; limits likewise."""
        limits = None if limits is None else np.broadcast_to(limits, len(orders))
        worst: Floats = self.uses(orders, limits).max(axis=1, initial=0.0)
        return worst

    def in_full(self, order: Order) -> Floats:
        """Each car's greatest use in full, of shape (cars,); an order is worked out once."""
        if order not in self._in_full:
            self._in_full.add(order)
            self.budget.take(self.looks_in_full)
        return self.evaluator.in_full(order)

    def worst(self, order: Order) -> float:
        """The worst use in full."""
        return float(self.in_full(order).max(initial=0.0))

    def least(self, orders: Iterable[Orders], known: Found, within: float) -> Found:
        """The best order of all of them and the known one: `proven` if none left is better by that share.

        An order is ruled out once its figure at few places reaches the best use so far, less that share. The most
        promising order left is worked out in full, by which the few places grow and may rule out others.
        """
        best = replace(known, proven=True)
        for batch in (part for each in orders for part in _parted(each)):
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
                order = tuple(int(car) for car in batch[likeliest])
                use = self.worst(order)
                if use < best.use:
                    best = Found(order, use, True)
                floors = np.maximum(floors, self.floors(batch, best.use * (1.0 - within)))
                floors[likeliest] = inf
        return best


def _parted(orders: Orders) -> Iterable[Orders]:
    return (orders[start : start + AT_ONCE] for start in range(0, len(orders), AT_ONCE))
