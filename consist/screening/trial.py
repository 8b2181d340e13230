"""A train tried quickly with a guest car in it, to rule spots out.

A trial reads the route's tables at every few steps of the head and keeps no bounds, so that a peak may lie above what
it saw, never below it by more than the tables' own half a per cent. Where a figure seen passes a limit by more than
`SURELY`, a full run would pass it too; every spot that a trial lets by is run in full.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import Limits, RouteTables, Vehicles
from consist.mechanics.forces import Forces, forces, power_use
from consist.mechanics.sidepull import side_use

__all__ = ["SURELY", "LegTrial"]

Floats = NDArray[np.float64]

STRIDE = 3
"""Every so many table steps a trial looks at the train: 20 mm in HO."""
SURELY = 1.01
"""A figure over its limit by this factor in a trial is over it in a full run: twice the tolerance of the tables."""


@dataclass(frozen=True)
class LegTrial:
    """One leg of a train's trip, vehicles by their numbers in running order."""

    vehicles: Vehicles
    tables: RouteTables
    from_mm: float
    to_mm: float
    limits: Limits

    def use(self, vehicle: int) -> float:
        """The greatest side use of a car that was seen."""
        train = self.vehicles
        front = self._pull(vehicle - 1)[1] if vehicle > 0 else np.zeros(self._heads)
        rear = self._pull(vehicle)[0] if vehicle < len(train) - 1 else np.zeros(self._heads)
        weight, pivot, centers = (
            float(column[vehicle]) for column in (train.weight_g, train.pivot_mm, train.truck_centers_mm)
        )
        return float(side_use(front, rear, weight, pivot, centers, self.limits).max())

    @cached_property
    def power_use(self) -> float:
        """The greatest use of the engines that was seen."""
        return float(power_use(self._along.resistance, self._along.usable).max())

    def swing_sines(self, coupling: int) -> tuple[float, float]:
        """The greatest sines seen of a coupling's swing at the vehicle ahead of it and at the one behind."""
        ahead, behind = self._sines(coupling)
        return float(np.abs(ahead).max()), float(np.abs(behind).max())

    @property
    def _heads(self) -> int:
        return int((self.to_mm - self.from_mm) / (STRIDE * self.tables.step_mm)) + 1

    @cached_property
    def _along(self) -> Forces:
        train = self.vehicles
        share = np.stack(
            [
                self._read(self.tables.share(float(centers)).share, float(middle))
                for centers, middle in zip(train.truck_centers_mm, train.middle_mm, strict=True)
            ]
        )
        return forces(train, share)

    @cached_property
    def _pulls(self) -> dict[int, tuple[Floats, Floats]]:
        return {}

    def _pull(self, coupling: int) -> tuple[Floats, Floats]:
        """The side pull of a coupling on the vehicle ahead of it and on the one behind."""
        if coupling not in self._pulls:
            ahead, behind = self._sines(coupling)
            tension = self._along.tension[coupling]
            self._pulls[coupling] = tension * ahead, tension * behind
        return self._pulls[coupling]

    def _sines(self, coupling: int) -> tuple[Floats, Floats]:
        pair = self.tables.pair(self.vehicles, coupling, coupling + 1)
        face = float(self.vehicles.length_mm[: coupling + 1].sum())
        return self._read(pair.ahead, face), self._read(pair.behind, face)

    def _read(self, column: Floats, offset_mm: float) -> Floats:
        """A table's column where something that far behind the head comes by."""
        index, fraction = self.tables.lookup(self.from_mm - offset_mm)
        stop = index + STRIDE * (self._heads - 1) + 1
        return (1.0 - fraction) * column[index:stop:STRIDE] + fraction * column[index + 1 : stop + 1 : STRIDE]
