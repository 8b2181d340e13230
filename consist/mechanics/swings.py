"""How far couplers swing over a run."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.closely import FINE_STEP_MM
from consist.mechanics.peaks import Peak
from consist.mechanics.standing import angles_at
from consist.mechanics.sweep import NOTHING
from consist.mechanics.tables import PairTable, RouteTables
from consist.mechanics.vehicles import Vehicles

__all__ = ["swings"]

Floats = NDArray[np.float64]

NEAR_THE_TOP = 0.005
"""Steps within this share of the greatest sine are looked at exactly."""


def swings(train: Vehicles, tables: RouteTables, from_mm: float, to_mm: float) -> tuple[Peak, Peak]:
    """The greatest sines of each coupling over a run, with the vehicles ahead of it and behind.

    They are looked for in tables, and worked out exactly where the greatest may lie.
    """
    couplings = len(train) - 1
    ahead, behind = Peak.of(couplings), Peak.of(couplings)
    faces = np.cumsum(train.length_mm)[:-1]
    within = np.arange(0.0, tables.step_mm + FINE_STEP_MM, FINE_STEP_MM)
    for k, face in enumerate(faces):
        table = tables.pair(train, k, k + 1)
        first, last = (tables.lookup(head - float(face))[0] for head in (from_mm, to_mm))
        here = slice(first + 1, last + 1)
        starts = _near_the_top(table, here, tables.places_mm[here] + face)
        # the first and the last step of the run are broken ones
        starts = np.concatenate([starts, [from_mm, max(to_mm - tables.step_mm, from_mm)]])
        heads = np.unique(np.clip(starts[:, None] + within, from_mm, to_mm))
        angles = angles_at(train, np.full(len(heads), k), tables.track, heads)
        ahead.take_row(k, heads, np.abs(angles.ahead))
        behind.take_row(k, heads, np.abs(angles.behind))
    return ahead, behind


def _near_the_top(table: PairTable, here: slice, heads_mm: Floats) -> Floats:
    """Where the steps begin in which either sine of a pair may be at its greatest."""
    slack = table.slack[here][:-1]
    near = np.zeros(len(slack), dtype=bool)
    for sine in (np.abs(table.ahead[here]), np.abs(table.behind[here])):
        at_ends = np.maximum(sine[:-1], sine[1:])
        most = at_ends + slack
        top = float(at_ends.max(initial=0.0))
        near |= most > (1.0 + NEAR_THE_TOP) * top + NOTHING
        near |= at_ends >= top
    return heads_mm[:-1][near]
