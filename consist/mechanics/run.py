"""A train run over a stretch of route: the peaks of its forces and of its cars' side use.

The train is worked out at even steps from tables. Where the bounds kept with the tables cannot rule out that a
peak is missed by more than half a per cent, it is worked out exactly, millimetre by millimetre, and so is every
peak that was seen.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.closely import Closely, together
from consist.mechanics.exact import Exact
from consist.mechanics.forces import power_use
from consist.mechanics.limits import Limits
from consist.mechanics.peaks import Peak, Peaks
from consist.mechanics.sweep import NOTHING, Doubts, Samples, sweep
from consist.mechanics.swings import swings
from consist.mechanics.tables import RouteTables
from consist.mechanics.vehicles import Vehicles

__all__ = ["TOLERANCE", "run"]

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

TOLERANCE = 0.005
"""Peaks are within this share of working the train out at every millimetre."""


def run(train: Vehicles, tables: RouteTables, from_mm: float, to_mm: float, limits: Limits) -> Peaks:
    """Run a train with its head from one distance along the route to another, both included."""
    if not len(train):
        return _nothing_ran()
    seen = _Seen(len(train))
    for samples in sweep(train, tables, from_mm, to_mm, limits, near_peak=1.0 - TOLERANCE):
        seen.take(samples)
    exact = Exact(train, tables, limits)
    ends = np.array([from_mm, to_mm])
    exact.take_forces(np.unique(np.concatenate([ends, *(peak.head_mm for peak in seen.of_forces)])))
    exact.take_uses({k: np.append(ends, seen.use.head_mm[k]) for k in train.cars})
    closely = Closely(train, tables, from_mm, to_mm)
    exact.take_forces(closely.knots(seen.doubtful_forces(exact)))
    doubtful = {k: seen.doubtful_use(k, exact) for k in train.cars}
    knots = closely.knots(together(starts for starts, _ in doubtful.values()))
    halves = {k: closely.halves(starts, knots) for k, (starts, _) in doubtful.items()}
    uses = exact.take_uses(halves, knots)
    still = {}
    for k, (starts, strays) in doubtful.items():
        # half an interval strays by a quarter, since straying goes with the square of the step
        most = closely.greatest(starts, halves[k], uses[k]) + 0.25 * strays
        still[k] = starts[most > (1.0 + TOLERANCE) * exact.use.value[k] + NOTHING]
    knots = closely.knots(together(still.values()))
    exact.take_uses({k: closely.finely(starts, knots) for k, starts in still.items()}, knots)
    return Peaks(
        exact.use,
        exact.in_buff,
        exact.tension,
        exact.buff,
        exact.power_use,
        exact.resistance,
        lambda: swings(train, tables, from_mm, to_mm),
    )


def _nothing_ran() -> Peaks:
    """The peaks of a train without a vehicle."""

    def none(rows: int) -> Peak:
        return Peak(np.zeros(rows), np.zeros(rows))

    return Peaks(none(0), np.zeros(0, dtype=bool), none(0), none(0), none(1), none(1), lambda: (none(0), none(0)))


class _Seen:
    """What a sweep saw from tables: the greatest figures, and the intervals in which greater ones may hide."""

    def __init__(self, vehicles: int) -> None:
        self.use = Peak.of(vehicles)
        self.of_forces = (Peak.of(vehicles - 1), Peak.of(vehicles - 1), Peak.of(1), Peak.of(1))
        self._doubts: list[list[tuple[Floats, Doubts]]] = [[] for _ in range(vehicles)]
        self._force_most: list[tuple[Floats, tuple[Floats, ...]]] = []

    def take(self, samples: Samples) -> None:
        """Take in a batch, keeping the intervals that could still matter.

        What is seen from tables may itself be out by as much as the tolerance, so the sieve is wide.
        """
        along, starts = samples.along, samples.heads_mm[:-1]
        self.use.take(samples.heads_mm, samples.use)
        power = power_use(along.resistance, along.usable)[None, :]
        values = (along.tension, -along.tension, power, along.resistance[None, :])
        for peak, value in zip(self.of_forces, values, strict=True):
            peak.take(samples.heads_mm, value)
        for vehicle, doubts in samples.doubts.items():
            self._doubts[vehicle].append((starts[doubts.intervals], doubts))
        kept = _passing(samples.force_most, self.of_forces[:3], 1.0 - TOLERANCE)
        self._force_most.append((starts[kept], tuple(most[:, kept] for most in samples.force_most)))

    def doubtful_use(self, vehicle: int, exact: Exact) -> tuple[Floats, Floats]:
        """Where the intervals begin in which a car's use may pass its peak by more than the tolerance.

        And how far it may stray from a straight line in each.
        """
        bar = (1.0 + TOLERANCE) * exact.use.value[vehicle] + NOTHING
        passing = [(starts, doubts.strays, doubts.most > bar) for starts, doubts in self._doubts[vehicle]]
        return (
            np.concatenate([np.zeros(0), *(starts[kept] for starts, _, kept in passing)]),
            np.concatenate([np.zeros(0), *(strays[kept] for _, strays, kept in passing)]),
        )

    def doubtful_forces(self, exact: Exact) -> Floats:
        """Where the intervals begin in which a force may pass its peak by more than the tolerance."""
        known = (exact.tension, exact.buff, exact.power_use)
        kept = [starts[_passing(most, known, 1.0 + TOLERANCE)] for starts, most in self._force_most]
        return np.concatenate([[], *kept])


def _passing(highest: tuple[Floats, ...], known: tuple[Peak, ...], factor: float) -> Mask:
    """The intervals in which any figure may reach more than `factor` times its peak."""
    passing = np.zeros(highest[0].shape[1], dtype=bool)
    for most, peak in zip(highest, known, strict=True):
        bar = factor * np.maximum(peak.value, 0.0) + NOTHING
        passing |= np.any(most > bar[:, None], axis=0)
    return passing
