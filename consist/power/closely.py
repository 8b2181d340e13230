"""Resistance and usable pull along a stretch, looked at closely wherever a peak could hide between two steps.

A train nearly in balance over short pieces of track can be short of power for a few millimetres only.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import RouteTables, Vehicles
from consist.mechanics.closely import Closely
from consist.mechanics.exact import forces_at
from consist.mechanics.forces import power_use
from consist.mechanics.pulling import Pulling, pulling
from consist.mechanics.sweep import TableReader

__all__ = ["pulling_closely"]

Floats = NDArray[np.float64]
TOLERANCE = 0.005
"""The greatest use is within this share of working it out at every millimetre, and on the right side of 1."""


def pulling_closely(train: Vehicles, tables: RouteTables, from_mm: float, to_mm: float) -> Pulling:
    """A train's resistance and usable pull at every table step, and at breaks where more may hide between steps."""
    seen = pulling(train, tables, from_mm, to_mm)
    peak = float(np.max(seen.use))
    if not np.isfinite(peak):
        return seen
    bar = 1.0 if 1.0 - TOLERANCE < peak <= 1.0 else (1.0 + TOLERANCE) * peak
    starts = seen.heads_mm[:-2][_most(train, tables, seen, from_mm) > bar + 1e-9]
    knots = Closely(train, tables, from_mm, to_mm).knots(starts)
    exact = forces_at(train, tables, knots)
    return Pulling(
        np.concatenate([seen.heads_mm, knots]),
        np.concatenate([seen.resistance, exact.resistance]),
        np.concatenate([seen.usable, exact.usable]),
    )


def _most(train: Vehicles, tables: RouteTables, seen: Pulling, from_mm: float) -> Floats:
    """The most that use may come to in each interval from one even step to the next."""
    intervals = len(seen.heads_mm) - 2  # the last head is the end of the stretch, off the steps
    rises, falls = TableReader(train, tables, from_mm, couplings=False).leaps(0, intervals)
    cars, engines = (
        np.maximum(rises[which].sum(axis=0), falls[which].sum(axis=0)) for which in (train.cars, train.engines)
    )
    resistance = _greatest_around(seen.resistance[:-1]) + cars
    usable = -_greatest_around(-seen.usable[:-1]) - engines
    return power_use(resistance, usable)


def _greatest_around(column: Floats) -> Floats:
    """The greatest over each interval's two heads and the next one on either side."""
    padded = np.pad(column, 1, mode="edge")
    pairs = np.maximum(padded[:-1], padded[1:])
    return np.maximum(np.maximum(pairs[:-2], pairs[1:-1]), pairs[2:])
