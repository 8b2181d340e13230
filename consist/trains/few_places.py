"""The few positions of the head on a leg at which many orders are tried."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import Couplings, Limits, RouteTables, Vehicles, evaluate, worked_out

__all__ = ["CELLS_AT_ONCE", "FewPlaces"]

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]

CELLS_AT_ONCE = 20_000
"""Orders times places times vehicles worked out at once: what of them is under way stays in a processor's memory."""
NEAR_MM = 0.5
"""Places nearer than this are one."""
FIRST = 6, 20
"""Orders that have limits are looked at at so many places first, and only those left at others."""
FORGOTTEN = 0.95
"""How much of what was counted at places is kept where orders are tried again."""
SORTED_EACH = 30
"""Places are parted anew each time orders were tried so often: couplings worked out for other parts are forgotten."""


class FewPlaces:
    """Heads on a leg, in parts: first those at which most orders were ruled out of late.

    `ruled_out` tells how many each place did, of shape (places,). `looked` is how often it was looked at one car at
    one place by now.
    """

    def __init__(self, vehicles: Vehicles, tables: RouteTables, limits: Limits) -> None:
        self.vehicles, self._tables, self._limits = vehicles, tables, limits
        self._couplings = [Couplings(vehicles, tables) for _ in (0, *FIRST)]
        self.looked = 0
        self.clear()

    def __len__(self) -> int:
        return len(self._heads_mm)

    def clear(self) -> None:
        """Leave no place."""
        self._heads_mm: Floats = np.zeros(0)
        self.ruled_out: Floats = np.zeros(0)
        self._parts: list[Numbers] = []
        self._tried = 0

    def add(self, head_mm: float) -> None:
        """Let a place join."""
        if not np.any(np.abs(self._heads_mm - head_mm) <= NEAR_MM):
            self._heads_mm = np.append(self._heads_mm, head_mm)
            self.ruled_out = np.append(self.ruled_out, 0.0)
            self._parts = []

    def uses(self, standing: Numbers, limits: Floats | None) -> tuple[Floats, Numbers]:
        """The cars' greatest side use in orders, of shape (cars, orders), and which orders came to no limit.

        `standing` are the vehicles by number, of shape (vehicles, orders). An order that comes to its limit, of shape
        (orders,), in one part of the places is not looked at in others.
        """
        trains = self.vehicles.pick(standing[:, :, None])
        found = np.zeros((len(trains.cars), standing.shape[1]))
        left = np.arange(standing.shape[1])
        for places, couplings in zip(self._sorted(), self._couplings, strict=False):
            self.looked += len(left) * len(trains.cars) * len(places)
            for some, uses in self._at(places, couplings, trains, standing, left):
                found[:, some] = np.maximum(found[:, some], uses.max(axis=2))
                if limits is not None:
                    out = uses.max(axis=(0, 2)) >= limits[some]
                    self._count(places, uses[:, out].max(axis=0).argmax(axis=1))
            if limits is not None:
                left = left[found[:, left].max(axis=0) < limits[left]]
                if not len(left):
                    break
        return found, left

    def _at(
        self, places: Numbers, couplings: Couplings, trains: Vehicles, standing: Numbers, orders: Numbers
    ) -> Iterator[tuple[Numbers, Floats]]:
        """Some of the orders at a time, and the side use of their cars there, of shape (cars, orders, places)."""
        heads_mm = self._heads_mm[places]
        kept = couplings.rows(standing[:, orders], heads_mm) if couplings.able else None
        each = max(CELLS_AT_ONCE // (len(standing) * len(places)), 1)
        for part in (slice(first, first + each) for first in range(0, len(orders), each)):
            here = trains.orders(orders[part])
            if kept is None:
                figures = evaluate(here, self._tables, heads_mm, self._limits)
            else:
                coupled = couplings.standing(kept[:, part])
                figures = worked_out(here, coupled, self._tables.flange_drag, self._limits)
            yield orders[part], figures.use[here.cars.start : here.cars.stop]

    def _sorted(self) -> list[Numbers]:
        """The places by number in parts, at each of which orders are about to be tried."""
        self._tried += 1
        if not self._parts or self._tried % SORTED_EACH == 0:
            order = np.argsort(-self.ruled_out, kind="stable")
            edges = [0, *(edge for edge in FIRST if edge < len(order)), len(order)]
            self._parts = [np.sort(order[start:stop]) for start, stop in pairwise(edges)]
        return self._parts

    def _count(self, places: Numbers, hardest: Numbers) -> None:
        """Count orders that were ruled out at some places, each at the hardest of those, of shape (orders,)."""
        self.ruled_out[places] *= FORGOTTEN
        self.ruled_out[places] += np.bincount(hardest, minlength=len(places))
