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
        self._in_full: dict[Order, Floats] = {}

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
    def affordable(self) -> int:
        """About how many orders the budget leaves room for at few places."""
        return int(min(self.budget.left / self._looks, 1e9)) if self._looks else 0

    @property
    def as_much_as_one_in_full(self) -> int:
        """About how many orders at few places take as long as one in full."""
        return self.evaluator.heads // max(self.evaluator.places, 1)

    @property
    def _looks(self) -> int:
        return self.evaluator.cars * max(self.evaluator.places, 1)

    def uses(self, orders: Orders) -> Floats:
        """Each car's greatest use at few places, of shape (orders, cars): never above that in full."""
        self.budget.take(float(len(orders) * self._looks))
        return self.evaluator.at_places(orders)

    def floors(self, orders: Orders) -> Floats:
        """The worst use at few places, of shape (orders,): never above that in full."""
        worst: Floats = self.uses(orders).max(axis=1, initial=0.0)
        return worst

    def in_full(self, order: Order) -> Floats:
        """Each car's greatest use in full, of shape (cars,); an order is worked out once."""
        uses = self._in_full.get(order)
        if uses is None:
            self.budget.take(float(self.evaluator.cars * self.evaluator.heads))
            uses = self._in_full[order] = self.evaluator.in_full(order)
        return uses

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
            floors = self.floors(batch)
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
                floors = np.maximum(floors, self.floors(batch))
                floors[likeliest] = inf
        return best


def _parted(orders: Orders) -> Iterable[Orders]:
    return (orders[start : start + AT_ONCE] for start in range(0, len(orders), AT_ONCE))
