"""A train run over a stretch of route: the peaks of its forces and of its cars' side use.

The train is worked out at even steps from tables. Where the bounds kept with the tables cannot rule out that a
peak is missed by more than half a per cent, it is worked out exactly, millimetre by millimetre, and so is every
peak that was seen.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.forces import Forces, forces, power_use
from consist.mechanics.limits import Limits
from consist.mechanics.sidepull import side_use
from consist.mechanics.standing import angles_at, track_share_at
from consist.mechanics.sweep import NOTHING, Samples, sweep
from consist.mechanics.tables import PairTable, RouteTables
from consist.mechanics.vehicles import Vehicles

__all__ = ["TOLERANCE", "Peak", "Peaks", "SidePull", "forces_at", "run", "side_pull_at"]

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
Mask = NDArray[np.bool_]

TOLERANCE = 0.005
"""Peaks are within this share of working the train out at every millimetre."""
FINE_STEP_MM = 1.0
JUST_MM = 1e-6
"""Just before or after a joint."""
EXACT_AT_ONCE = 1024


@dataclass
class Peak:
    """Running maxima of some figures, one a row, and the head position (mm) at which each occurs."""

    value: Floats
    head_mm: Floats

    @classmethod
    def of(cls, rows: int) -> Peak:
        """Nothing seen yet, for that many figures."""
        return cls(np.full(rows, -np.inf), np.zeros(rows))

    def take(self, heads_mm: Floats, values: Floats) -> None:
        """Take in values of shape (rows, heads)."""
        if values.size:
            at = np.argmax(values, axis=1)
            top = values[np.arange(len(values)), at]
            higher = top > self.value
            self.value[higher] = top[higher]
            self.head_mm[higher] = heads_mm[at[higher]]

    def take_row(self, row: int, heads_mm: Floats, values: Floats) -> int | None:
        """Take in values of one row, of shape (heads,); the number of the head with a new peak, if any."""
        at = int(np.argmax(values))
        if values[at] <= self.value[row]:
            return None
        self.value[row], self.head_mm[row] = values[at], heads_mm[at]
        return at


@dataclass(frozen=True)
class Peaks:
    """The peaks of a run.

    Of vehicles, of shape (vehicles,): `use`, 0 for engines, and `in_buff`, whether the coupling that pulls most
    aside at that peak is pushing. Of couplings, of shape (vehicles - 1,): `tension`, and `buff`, the greatest
    push (both in gram-force, negative where there is none). Of the train, of shape (1,): `power_use` and
    `resistance`. `swings` works out, when asked, what `swing_ahead` and `swing_behind` then hold for each coupling.
    """

    use: Peak
    in_buff: Mask
    tension: Peak
    buff: Peak
    power_use: Peak
    resistance: Peak
    swings: Callable[[], tuple[Peak, Peak]]

    @cached_property
    def swing_ahead(self) -> Peak:
        """The greatest sines that couplings make with the axes of the vehicles ahead of them."""
        return self._both_swings[0]

    @cached_property
    def swing_behind(self) -> Peak:
        """The greatest sines that couplings make with the axes of the vehicles behind them."""
        return self._both_swings[1]

    @cached_property
    def _both_swings(self) -> tuple[Peak, Peak]:
        return self.swings()


@dataclass(frozen=True)
class SidePull:
    """Side pulls at vehicles' ends (gram-force, to their left) and the use they make."""

    front: Floats
    rear: Floats
    use: Floats


def forces_at(train: Vehicles, tables: RouteTables, heads_mm: Floats) -> Forces:
    """Forces along the train with its head at each of `heads_mm`, of shape (heads,), exactly."""
    return forces(train, track_share_at(train, tables.track, heads_mm, tables.curve_share))


def side_pull_at(
    train: Vehicles,
    vehicle: Indices,
    tables: RouteTables,
    heads_mm: Floats,
    tension: tuple[Floats, Floats],
    limits: Limits,
) -> SidePull:
    """Side pulls and use of vehicles, each with the head at a position of its own, exactly.

    `vehicle` and `heads_mm` are of one shape, as are the answers. `tension` holds the forces in the couplings ahead
    of and behind each vehicle there, 0 at an end of the train.
    """
    last = len(train) - 1
    ahead, behind = (angles_at(train, np.clip(vehicle - k, 0, last - 1), tables.track, heads_mm) for k in (1, 0))
    front = np.where(vehicle > 0, tension[0] * ahead.behind, 0.0)
    rear = np.where(vehicle < last, tension[1] * behind.ahead, 0.0)
    sizes = (train.weight_g[vehicle], train.pivot_mm[vehicle], train.truck_centers_mm[vehicle])
    return SidePull(front, rear, side_use(front, rear, *sizes, limits))


def run(train: Vehicles, tables: RouteTables, from_mm: float, to_mm: float, limits: Limits) -> Peaks:
    """Run a train with its head from one distance along the route to another, both included."""
    seen = _Seen(len(train))
    for samples in sweep(train, tables, from_mm, to_mm, limits, near_peak=1.0 - TOLERANCE):
        seen.take(samples)
    exact = _Exact(train, tables, limits)
    ends = np.array([from_mm, to_mm])
    exact.take_forces(np.unique(np.concatenate([ends, *(peak.head_mm for peak in seen.of_forces)])))
    exact.take_uses({k: np.append(ends, seen.use.head_mm[k]) for k in train.cars})
    closely = _Closely(train, tables, from_mm, to_mm)
    exact.take_forces(closely.knots(seen.doubtful_forces(exact)))
    doubtful = {k: seen.doubtful_use(k, exact) for k in train.cars}
    knots = closely.knots(np.unique(np.concatenate([[], *doubtful.values()])))
    exact.take_uses({k: closely.finely(starts, knots) for k, starts in doubtful.items()}, knots)
    return Peaks(
        exact.use,
        exact.in_buff,
        exact.tension,
        exact.buff,
        exact.power_use,
        exact.resistance,
        lambda: _swings(train, tables, from_mm, to_mm),
    )


class _Closely:
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

    def finely(self, starts_mm: Floats, knots_mm: Floats) -> Floats:
        """Every millimetre of the intervals that begin there and of the last one, and the knots within them."""
        starts = np.append(starts_mm, self._broken_mm)
        ends = np.minimum(starts + self._step_mm, self._to_mm)
        first, last = np.searchsorted(knots_mm, starts), np.searchsorted(knots_mm, ends, side="right")
        inside = np.concatenate([np.arange(a, b) for a, b in zip(first, last, strict=True)])
        return np.unique(np.concatenate([knots_mm[inside], self._millimetres_from(starts)]))

    def _millimetres_from(self, starts_mm: Floats) -> Floats:
        return np.minimum((starts_mm[:, None] + self._millimetres).ravel(), self._to_mm)


class _Seen:
    """What a sweep saw from tables: the greatest figures, and the intervals in which greater ones may hide."""

    def __init__(self, vehicles: int) -> None:
        self.use = Peak.of(vehicles)
        self.of_forces = (Peak.of(vehicles - 1), Peak.of(vehicles - 1), Peak.of(1), Peak.of(1))
        self._use_most: list[list[tuple[Floats, Floats]]] = [[] for _ in range(vehicles)]
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
        for vehicle, (intervals, most) in samples.doubts.items():
            self._use_most[vehicle].append((starts[intervals], most))
        kept = _passing(samples.force_most, self.of_forces[:3], 1.0 - TOLERANCE)
        self._force_most.append((starts[kept], tuple(most[:, kept] for most in samples.force_most)))

    def doubtful_use(self, vehicle: int, exact: _Exact) -> Floats:
        """Where the intervals begin in which a car's use may pass its peak by more than the tolerance."""
        bar = (1.0 + TOLERANCE) * exact.use.value[vehicle] + NOTHING
        return np.concatenate([[], *(starts[most > bar] for starts, most in self._use_most[vehicle])])

    def doubtful_forces(self, exact: _Exact) -> Floats:
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


class _Exact:
    """The greatest figures worked out exactly."""

    def __init__(self, train: Vehicles, tables: RouteTables, limits: Limits) -> None:
        vehicles = len(train)
        self._train, self._tables, self._limits = train, tables, limits
        self.use = Peak(np.zeros(vehicles), np.zeros(vehicles))
        self.in_buff = np.zeros(vehicles, dtype=bool)
        self.tension, self.buff = Peak.of(vehicles - 1), Peak.of(vehicles - 1)
        self.power_use, self.resistance = Peak.of(1), Peak.of(1)

    def take_forces(self, heads_mm: Floats) -> None:
        """Work out the forces with the head at each of `heads_mm`."""
        along = forces_at(self._train, self._tables, heads_mm)
        self.tension.take(heads_mm, along.tension)
        self.buff.take(heads_mm, -along.tension)
        self.power_use.take(heads_mm, power_use(along.resistance, along.usable)[None, :])
        self.resistance.take(heads_mm, along.resistance[None, :])

    def take_uses(self, heads_mm: dict[int, Floats], knots_mm: Floats | None = None) -> None:
        """Work out vehicles' use, each with the head at positions of its own.

        Forces are worked out at `knots_mm`, between which they go evenly, or where not given at every head.
        """
        if not heads_mm or len(self._train) < 2:
            return
        vehicle = np.repeat(list(heads_mm), [len(heads) for heads in heads_mm.values()])
        heads = np.concatenate(list(heads_mm.values()))
        knots = np.unique(heads) if knots_mm is None else knots_mm
        tension = self._tension_at(heads_mm, knots)
        pull = side_pull_at(self._train, vehicle, self._tables, heads, tension, self._limits)
        pushed = np.where(np.abs(pull.front) >= np.abs(pull.rear), *tension) < 0.0
        first = 0
        for k, own in heads_mm.items():
            at = self.use.take_row(k, own, pull.use[first : first + len(own)])
            if at is not None:
                self.in_buff[k] = pushed[first + at]
            first += len(own)

    def _tension_at(self, heads_mm: dict[int, Floats], knots_mm: Floats) -> tuple[Floats, Floats]:
        """Forces in the couplings ahead of and behind vehicles at heads of their own, 0 at an end of the train."""
        batches = range(0, len(knots_mm), EXACT_AT_ONCE)
        tension = np.concatenate(
            [forces_at(self._train, self._tables, knots_mm[k : k + EXACT_AT_ONCE]).tension for k in batches], axis=1
        )
        ahead, behind = (
            [
                np.interp(heads, knots_mm, tension[k]) if 0 <= k < len(tension) else np.zeros(len(heads))
                for k, heads in ((vehicle + shift, own) for vehicle, own in heads_mm.items())
            ]
            for shift in (-1, 0)
        )
        return np.concatenate(ahead), np.concatenate(behind)


def _swings(train: Vehicles, tables: RouteTables, from_mm: float, to_mm: float) -> tuple[Peak, Peak]:
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
        near |= most > (1.0 + TOLERANCE) * top + NOTHING
        near |= at_ends >= top
    return heads_mm[:-1][near]
