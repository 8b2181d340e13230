"""Lawler's rule: the heaviest pull goes to the car that bears it best. It gives an order to start from, and a bound.

Source: Lawler (1973), Management Science 19(5), 544-546: for costs that do not fall as more comes before, choosing
from the last place the job that is cheapest there gives the least possible greatest cost. Here the last place is the
head end, and what comes before is what stands behind. The rule asks no more of a cost than that it does not fall
where more cars stand behind, so it may depend on which they are; blocks that change places whole are jobs of their
own.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from consist.order.yard import Order, Yard

__all__ = ["Foremost", "by_rule", "lawler_order"]

Floats = NDArray[np.float64]
Standing = NDArray[np.bool_]
Foremost = Callable[[Standing], Floats]
"""For some of the cars, of shape (cars,): what each of them costs where it stands foremost of them, by car.

It must not fall for a car where more stand behind it. What it says of cars that are not among them is not used.
"""
Settled = tuple[Order, float]
"""Cars in their order, and the greatest cost of any."""


def by_rule(yard: Yard, foremost: Foremost) -> Settled:
    """The order by Lawler's rule, and a cost that no allowed order's greatest cost can be below.

    Without held cars this order's own greatest cost is that bound: no order does better. Ties, and held cars where
    what stands behind them depends on the order, are left out of account, which can only lower the bound. Where ties
    or holds forbid the order, the train as it stands comes in its place.
    """
    order, bound = _Rule(yard, foremost).of_train()
    return (order if yard.allowed(order) else yard.start), bound


def lawler_order(yard: Yard, length_mm: Floats, weight_g: Floats) -> Order:
    """The order by the rule in the simplified problem, in which a car's use at a pull T is T·C/W.

    That is the pull-in of a car on a long even curve, T growing with the weight behind. Arrays are by car, of shape
    (cars,).
    """
    return by_rule(yard, lambda standing: weight_g[standing].sum() * length_mm / weight_g)[0]


class _Rule:
    """The rule at work."""

    def __init__(self, yard: Yard, foremost: Foremost) -> None:
        self._yard = yard
        self._costs = cache(lambda standing: foremost(np.frombuffer(standing, dtype=np.bool_)))

    def of_train(self) -> Settled:
        start, pinned = self._yard.start, self._yard.pinned
        if not self._yard.free_blocks:
            settled, standing = [], start
            for group in _runs(start, self._yard.group):
                settled.append(self._group(group, standing))
                standing = standing[len(group) :]
            return _together(settled)
        # where blocks are free only the cars held at the ends are sure of what stands behind them
        head = tuple(itertools.takewhile(pinned.__contains__, start))
        rear = tuple(itertools.takewhile(pinned.__contains__, start[len(head) :][::-1]))[::-1]
        loose = [car for car in start if car not in pinned]
        blocks = [_runs(block, self._yard.group) for block in _runs(loose, self._yard.block)]
        return _together([self._group(head, start), self._free(blocks, (*loose, *rear)), self._group(rear, rear)])

    def _free(self, part: Order | Sequence[Order | Sequence[Order]], standing: Sequence[int]) -> Settled:
        """A group, or parts that change places: each time the one that costs least at the head of those left."""
        if isinstance(part, tuple):
            return self._group(part, standing)
        left, settled = list(part), []
        while left:
            tried = [self._free(each, standing) for each in left]
            best = min(range(len(left)), key=lambda number: tried[number][1])
            del left[best]
            settled.append(tried[best])
            standing = [car for car in standing if car not in tried[best][0]]
        return _together(settled)

    def _group(self, group: Order, standing: Sequence[int]) -> Settled:
        """A group at the head of the cars that stand, its free places filled from the head end by the cheapest."""
        surely = np.zeros(len(self._yard.start), dtype=np.bool_)
        surely[list(standing)] = True
        free = [car for car in group if car not in self._yard.pinned]
        order: list[int] = []
        greatest = 0.0
        for held in group:
            if held in self._yard.pinned:
                behind = surely.copy()
                behind[free] = False
                car, cost = held, self._costs(behind.tobytes())[held]
            else:
                costs = self._costs(surely.tobytes())
                car = min(free, key=lambda one: (costs[one], one))
                free.remove(car)
                cost = costs[car]
            greatest = max(greatest, float(cost))
            surely[car] = False
            order.append(car)
        return tuple(order), greatest


def _runs(cars: Sequence[int], label: Sequence[int]) -> list[Order]:
    return [tuple(run) for _, run in itertools.groupby(cars, key=label.__getitem__)]


def _together(parts: Sequence[Settled]) -> Settled:
    order = tuple(itertools.chain.from_iterable(cars for cars, _ in parts))
    return order, max((greatest for _, greatest in parts), default=0.0)
