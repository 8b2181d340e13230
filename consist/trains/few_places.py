"""The few positions of the head on a leg at which many orders are tried."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import Couplings, Limits, RouteTables, Vehicles, evaluate, worked_out

__all__ = ["CELLS_AT_ONCE", "FewPlaces", "Part"]

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


@dataclass(frozen=True)
class Part:
    """Some of the places of a leg, by number, of shape (places,), and how vehicles are coupled there."""

    places: Numbers
    heads_mm: Floats
    couplings: Couplings
    tables: RouteTables
    limits: Limits

    def uses(self, trains: Vehicles, standing: Numbers, orders: Numbers) -> Iterator[tuple[Numbers, Floats]]:
        """The side use of some of the orders' cars, of shape (cars, orders, places), a few orders at a time.

        `standing` are the vehicles by number of all `trains`, of shape (vehicles, trains).
        """
        kept = self.couplings.rows(standing[:, orders], self.heads_mm) if self.couplings.able else None
        each = max(CELLS_AT_ONCE // (len(standing) * len(self.places)), 1)
        for some in (slice(first, first + each) for first in range(0, len(orders), each)):
            here = trains.orders(orders[some])
            if kept is None:
                figures = evaluate(here, self.tables, self.heads_mm, self.limits)
            else:
                coupled = self.couplings.standing(kept[:, some])
                figures = worked_out(here, coupled, self.tables.flange_drag, self.limits)
            yield orders[some], figures.use[here.cars.start : here.cars.stop]


class FewPlaces:
    """Heads on a leg, in parts: first those at which most orders were ruled out of late.

    `ruled_out` tells how many each place did, of shape (places,).
    """

    def __init__(self, vehicles: Vehicles, tables: RouteTables, limits: Limits) -> None:
        self.vehicles, self._tables, self._limits = vehicles, tables, limits
        self._couplings = [Couplings(vehicles, tables) for _ in (0, *FIRST)]
        self._heads_mm: Floats = np.zeros(0)
        self.ruled_out: Floats = np.zeros(0)
        self._parts: list[Part] = []
        self._tried = 0

    def __len__(self) -> int:
        return len(self._heads_mm)

    def emptied(self) -> FewPlaces:
        """The same leg with no place yet."""
        return FewPlaces(self.vehicles, self._tables, self._limits)

    def add(self, head_mm: float) -> None:
        """Let a place join."""
        if not np.any(np.abs(self._heads_mm - head_mm) <= NEAR_MM):
            self._heads_mm = np.append(self._heads_mm, head_mm)
            self.ruled_out = np.append(self.ruled_out, 0.0)
            self._parts = []

    @property
    def parts(self) -> list[Part]:
        """The places in parts, at each of which orders are about to be tried."""
        self._tried += 1
        if not self._parts or self._tried % SORTED_EACH == 0:
            order = np.argsort(-self.ruled_out, kind="stable")
            edges = [0, *(edge for edge in FIRST if edge < len(order)), len(order)]
            each = [np.sort(order[start:stop]) for start, stop in pairwise(edges)]
            self._parts = [
                Part(places, self._heads_mm[places], couplings, self._tables, self._limits)
                for places, couplings in zip(each, self._couplings, strict=False)
            ]
        return self._parts

    def count(self, places: Numbers, hardest: Numbers) -> None:
        """Count orders that were ruled out at some places, each at the hardest of those, of shape (orders,)."""
        self.ruled_out[places] *= FORGOTTEN
        self.ruled_out[places] += np.bincount(hardest, minlength=len(places))
