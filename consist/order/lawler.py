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
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from consist.order.evaluator import Floats, Order
from consist.order.yard import Yard

__all__ = ["Foremost", "by_rule", "lawler_order"]

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
    order, bound = _Rule(foremost).of_train(yard)
    return (order if yard.allowed(order) else yard.start), bound


def lawler_order(yard: Yard, length_mm: Floats, weight_g: Floats) -> Order:
    """The order by the rule in the simplified problem, in which a car's use at a pull T is T·C/W.

    That is the pull-in of a car on a long even curve, T growing with the weight behind. Arrays are by car, of shape
    (cars,).
    """
    return by_rule(yard, lambda standing: weight_g[standing].sum() * length_mm / weight_g)[0]


@dataclass
class _Rule:
    """The rule at work; `_known` are the costs met so far."""

    foremost: Foremost
    _known: dict[bytes, Floats] = field(default_factory=dict)

    def of_train(self, yard: Yard) -> Settled:
        start, pinned = yard.start, yard.pinned
        everyone = _of(start, len(start))
        if not yard.free_blocks:
            groups = [tuple(run) for _, run in itertools.groupby(start, key=yard.group.__getitem__)]
            return self._in_turn(groups, pinned, everyone)
        # where blocks are free only the cars held at the ends are sure of what stands behind them
        head = tuple(itertools.takewhile(pinned.__contains__, start))
        rear = tuple(itertools.takewhile(pinned.__contains__, start[len(head) :][::-1]))[::-1]
        loose = tuple(car for car in start if car not in pinned)
        blocks = [
            [tuple(cars) for _, cars in itertools.groupby(run, key=yard.group.__getitem__)]
            for _, run in itertools.groupby(loose, key=yard.block.__getitem__)
        ]
        parts = (
            self._in_turn([head], pinned, everyone),
            self._best_in_turn(blocks, _of((*loose, *rear), len(start))),
            self._in_turn([rear], pinned, _of(rear, len(start))),
        )
        return _together(parts)

    def _best_in_turn(self, blocks: Sequence[Sequence[Order]], standing: Standing) -> Settled:
        """Blocks, or the groups of one block, each time the one that costs least at the head of those left."""
        left, settled = list(blocks), []
        while left:
            tried = [self._block(block, standing) for block in left]
            best = min(range(len(left)), key=lambda number: (tried[number][1], number))
            del left[best]
            settled.append(tried[best])
            standing = standing & ~_of(tried[best][0], len(standing))
        return _together(settled)

    def _block(self, groups: Sequence[Order], standing: Standing) -> Settled:
        if len(groups) == 1:
            return self._in_turn(groups, frozenset(), standing)
        return self._best_in_turn([[group] for group in groups], standing)

    def _in_turn(self, groups: Sequence[Order], pinned: frozenset[int], standing: Standing) -> Settled:
        """Groups that keep their order, each with its free places filled from the head end by the cheapest car."""
        order: list[int] = []
        greatest = 0.0
        standing = standing.copy()
        for group in groups:
            free = [car for car in group if car not in pinned]
            for held in group:
                surely = standing
                if held in pinned:
                    car, surely = held, standing & ~_of(free, len(standing))
                else:
                    costs = self._costs(standing)
                    car = min(free, key=lambda one: (costs[one], one))
                    free.remove(car)
                greatest = max(greatest, float(self._costs(surely)[car]))
                standing[car] = False
                order.append(car)
        return tuple(order), greatest

    def _costs(self, standing: Standing) -> Floats:
        key = standing.tobytes()
        costs = self._known.get(key)
        if costs is None:
            costs = self._known[key] = self.foremost(standing.copy())
        return costs


def _of(cars: Sequence[int], count: int) -> Standing:
    standing = np.zeros(count, dtype=np.bool_)
    standing[list(cars)] = True
    return standing


def _together(parts: Sequence[Settled]) -> Settled:
    order = tuple(itertools.chain.from_iterable(cars for cars, _ in parts))
    return order, max((greatest for _, greatest in parts), default=0.0)
