"""How couplings stand at a few positions of the head, worked out once for all orders of a train.

How a coupling stands depends on the two vehicles it joins and on how far behind the head they are. Orders that are
tried one after another are much alike, and the same two vehicles come to the same place in many of them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.evaluate import stand
from consist.mechanics.forces import Standing
from consist.mechanics.strain import at_ease
from consist.mechanics.tables import RouteTables
from consist.mechanics.vehicles import Vehicles

__all__ = ["Couplings"]

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]

PER_MM = 1e6
"""Couplings nearer to each other than a millionth of a millimetre are one."""
SPAN = 1 << 42
"""A number for each place in a train of up to four kilometres."""
MOST_KINDS = 1 << 10
"""Pairs of so many kinds of vehicle have a number each too."""
MOST_KEPT = 4_000_000
"""So many figures are kept, 32 MB of them, before all are forgotten."""


class Couplings:
    """The couplings between vehicles of a train as they stand at some positions of its head."""

    def __init__(self, vehicles: Vehicles, tables: RouteTables) -> None:
        self._vehicles, self._tables = vehicles, tables
        sizes = np.stack((vehicles.length_mm, vehicles.truck_centers_mm, vehicles.pivot_mm))
        _, self._first, kind = np.unique(sizes, axis=1, return_index=True, return_inverse=True)
        self._kind = kind.reshape(len(vehicles)).astype(np.int64)
        self._forget(np.zeros(0))

    def _forget(self, heads_mm: Floats) -> None:
        self._heads = heads_mm
        self._keys, self._rows = np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.intp)
        # the share of the vehicle ahead and of that behind, and the sines at each
        self._figures = np.zeros((4, 0, len(heads_mm)))
        self._kept = 0

    @property
    def able(self) -> bool:
        """Whether there are couplings, all of which can stand, and few enough for each to have a number."""
        vehicles = self._vehicles
        if not at_ease(vehicles, self._tables.sharpest):
            return False
        return len(vehicles) > 1 and len(self._first) < MOST_KINDS and vehicles.total_length_mm * PER_MM < SPAN

    def rows(self, standing: Numbers, heads_mm: Floats) -> Numbers:
        """Where couplings of orders are kept, of shape (vehicles - 1, orders), those that are new worked out first.

        `standing` is of shape (vehicles, orders), the number of the vehicle in each place; all have `heads_mm`.
        """
        if not np.array_equal(heads_mm, self._heads) or self._figures.size > MOST_KEPT:
            self._forget(heads_mm)
        face = np.cumsum(self._vehicles.length_mm[standing[:-1]], axis=0)
        kind = self._kind[standing]
        pair = kind[:-1] * len(self._first) + kind[1:]
        keys = pair * SPAN + np.rint(face * PER_MM).astype(np.int64)
        new = np.unique(keys[~self._known(keys)])
        if len(new):
            self._work_out(new)
        rows: Numbers = self._rows[np.searchsorted(self._keys, keys)]
        return rows

    def _known(self, keys: NDArray[np.int64]) -> NDArray[np.bool_]:
        if not len(self._keys):
            return np.zeros(keys.shape, dtype=bool)
        known: NDArray[np.bool_] = self._keys.take(np.searchsorted(self._keys, keys), mode="clip") == keys
        return known

    def _work_out(self, keys: NDArray[np.int64]) -> None:
        pair, face = keys // SPAN, (keys % SPAN) / PER_MM
        ahead, behind = (self._first[kind] for kind in (pair // len(self._first), pair % len(self._first)))
        front = face - self._vehicles.length_mm[ahead]
        both = self._vehicles.pick(np.stack((ahead, behind))[:, :, None])
        here = stand(both, self._tables, self._heads - front[:, None])
        end = self._kept + len(keys)
        if end > self._figures.shape[1]:
            more = max(end, 2 * self._figures.shape[1]) - self._figures.shape[1]
            self._figures = np.pad(self._figures, ((0, 0), (0, more), (0, 0)))
        self._figures[:, self._kept : end] = here.share[0], here.share[1], here.ahead[0], here.behind[0]
        at = np.searchsorted(self._keys, keys)
        self._keys = np.insert(self._keys, at, keys)
        self._rows = np.insert(self._rows, at, np.arange(self._kept, end))
        self._kept = end

    def standing(self, rows: Numbers) -> Standing:
        """How orders stand whose couplings are kept in `rows`, of shape (vehicles - 1, orders)."""
        share_ahead, share_behind, ahead, behind = self._figures
        share = np.concatenate((share_ahead.take(rows[:1], axis=0), share_behind.take(rows, axis=0)))
        return Standing(share, ahead.take(rows, axis=0), behind.take(rows, axis=0))
