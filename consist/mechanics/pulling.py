"""What a train's cars take and its engines have, all along a stretch of route."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.exact import forces_at
from consist.mechanics.forces import forces, power_use
from consist.mechanics.sweep import TableReader
from consist.mechanics.tables import RouteTables
from consist.mechanics.vehicles import Vehicles

__all__ = ["Pulling", "pulling"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Pulling:
    """At each head position (mm): the cars' resistance and the engines' usable pull, in gram-force."""

    heads_mm: Floats
    resistance: Floats
    usable: Floats

    @property
    def use(self) -> Floats:
        """Resistance over usable pull at each head; infinite where there is no pull to use."""
        return power_use(self.resistance, self.usable)


def pulling(train: Vehicles, tables: RouteTables, from_mm: float, to_mm: float) -> Pulling:
    """A train's resistance and usable pull with its head at every table step from one distance to another."""
    count = int(np.floor((to_mm - from_mm) / tables.step_mm)) + 1
    along = forces(train, TableReader(train, tables, from_mm, couplings=False).shares(0, count))
    last = forces_at(train, tables, np.array([to_mm]))
    return Pulling(
        np.append(from_mm + tables.step_mm * np.arange(count), to_mm),
        np.concatenate([along.resistance, last.resistance]),
        np.concatenate([along.usable, last.usable]),
    )
