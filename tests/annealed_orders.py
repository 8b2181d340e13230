"""A train's orders annealed on the full model, for the plan's orders to be held against.

What annealing tries is judged at few places, and worked out in full wherever it seems better than the best order
worked out in full so far, so that its answer is an order's full figure and the few places grow to those that matter.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Sequence

import numpy as np
from annealing import Order, anneal

from consist.order import Yard
from consist.trains import Orders, Prepared

__all__ = ["Annealing"]

MIXED = 8
"""So many orders are worked out in full at first, for places to look at."""


class Annealing:
    """Annealing of one train's orders; `use` is the least worst use of any order worked out in full."""

    def __init__(self, of: Prepared, yard: Yard) -> None:
        self._orders = Orders(of)
        self._yard = yard
        self.order: Order = yard.start
        self.use = self._in_full(yard.start)
        self.trials = 0

    def run(
        self,
        seed: int,
        *,
        seconds: float | None = None,
        trials: int | None = None,
        chains: int = 12,
        clock: Callable[[], float] = time.perf_counter,
    ) -> float:
        """The least use found within so many seconds or trials."""
        for order in self._mixed(seed):
            self._know(order)
        found = anneal(
            self._yard.start,
            self._judge,
            self._yard.allowed,
            seed,
            seconds=seconds,
            trials=trials,
            chains=chains,
            blocks=self._yard.group,
            held=self._yard.pinned,
            clock=clock,
        )
        self._know(found.order)
        self.trials += found.trials
        return self.use

    def _mixed(self, seed: int) -> list[Order]:
        """The train as it stands with each group's free cars mixed."""
        rng = random.Random(seed)
        made = []
        for _ in range(MIXED):
            order = list(self._yard.start)
            for group in set(self._yard.group):
                spots = [
                    spot
                    for spot, car in enumerate(self._yard.start)
                    if self._yard.group[car] == group and car not in self._yard.pinned
                ]
                cars = [self._yard.start[spot] for spot in spots]
                rng.shuffle(cars)
                for spot, car in zip(spots, cars, strict=True):
                    order[spot] = car
            made.append(tuple(order))
        return [order for order in made if self._yard.allowed(order)]

    def _judge(self, orders: Sequence[Order]) -> list[float]:
        uses = self._orders.at_places(np.array(orders, dtype=np.intp)).max(axis=1)
        return [self._know(order) if use < self.use else float(use) for order, use in zip(orders, uses, strict=True)]

    def _know(self, order: Order) -> float:
        use = self._in_full(order)
        if use < self.use:
            self.order, self.use = order, use
        return use

    def _in_full(self, order: Order) -> float:
        return self._orders.trip(order).worst_use
