"""Where to look closely at a run: between which heads forces go evenly, and where a peak may hide."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.tables import RouteTables
from consist.mechanics.vehicles import Vehicles

__all__ = ["FINE_STEP_MM", "Closely", "together"]

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

FINE_STEP_MM = 1.0
JUST_MM = 1e-6
"""Just before or after a joint."""


def together(starts_mm: Iterable[Floats]) -> Floats:
    """All the starts of intervals there are, each once."""
    return np.unique(np.concatenate([np.zeros(0), *starts_mm]))


class Closely:
    """Heads at which to look closely at intervals of a run: both ends, and just before and after every break.

    Between breaks, at which a truck passes a joint of the track, forces go evenly.
    """

    def __init__(self, train: Vehicles, tables: RouteTables, from_mm: float, to_mm: float) -> None:
        half = 0.5 * train.truck_centers_mm
        trucks = np.concatenate([train.middle_mm - half, train.middle_mm + half])
        breaks = np.sort((tables.track.joints.distance_mm[:, None] + trucks).ravel())
        self._breaks = breaks[(breaks > from_mm) & (breaks < to_mm)]
        self._step_mm, self._to_mm = tables.step_mm, to_mm
        # what engines behind cars give bends wherever the train begins to run away by itself
        self._helped = bool(len(train.engines) and len(train.cars) and train.engines[-1] > train.cars[0])
        # the last, broken step of the run is not in the sweep
        self._broken_mm = max(to_mm - tables.step_mm, from_mm)
        self._millimetres = np.arange(FINE_STEP_MM, tables.step_mm, FINE_STEP_MM)

    def knots(self, starts_mm: Floats) -> Floats:
        """Heads between which forces go evenly, within the intervals that begin there and the last one of the run."""
        starts = np.append(starts_mm, self._broken_mm)
        ends = np.minimum(starts + self._step_mm, self._to_mm)
        first, last = np.searchsorted(self._breaks, starts), np.searchsorted(self._breaks, ends)
        inside = np.concatenate([np.arange(a, b) for a, b in zip(first, last, strict=True)])
        breaks = self._breaks[inside]
        heads = [starts, ends, breaks - JUST_MM, breaks + JUST_MM]
        if self._helped:
            heads.append(self._millimetres_from(starts))
        return np.unique(np.concatenate(heads))

    def halves(self, starts_mm: Floats, knots_mm: Floats) -> Floats:
        """The middles of the intervals that begin there, and the knots within them."""
        first, last = self._inside(starts_mm, knots_mm)
        inside = np.concatenate([np.arange(0), *(np.arange(a, b) for a, b in zip(first, last, strict=True))])
        return np.unique(np.concatenate([knots_mm[inside], np.minimum(starts_mm + 0.5 * self._step_mm, self._to_mm)]))

    def greatest(self, starts_mm: Floats, heads_mm: Floats, values: Floats) -> Floats:
        """The greatest of values at heads within each of the intervals that begin there."""
        first, last = self._inside(starts_mm, heads_mm)
        return np.array([values[a:b].max() for a, b in zip(first, last, strict=True)])

    def finely(self, starts_mm: Floats, knots_mm: Floats) -> Floats:
        """Every millimetre of the intervals that begin there and of the last one, and the knots within them."""
        starts = np.append(starts_mm, self._broken_mm)
        return np.unique(np.concatenate([self.halves(starts, knots_mm), self._millimetres_from(starts)]))

    def _inside(self, starts_mm: Floats, heads_mm: Floats) -> tuple[Indices, Indices]:
        """The first head within each interval, and the first past it."""
        ends = np.minimum(starts_mm + self._step_mm, self._to_mm)
        return np.searchsorted(heads_mm, starts_mm), np.searchsorted(heads_mm, ends, side="right")

    def _millimetres_from(self, starts_mm: Floats) -> Floats:
        return np.minimum((starts_mm[:, None] + self._millimetres).ravel(), self._to_mm)
