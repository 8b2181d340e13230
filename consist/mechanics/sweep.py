"""A train worked out from tables at even steps of its head, and in which intervals a peak may hide."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.forces import Forces, forces, power_use, sums_behind
from consist.mechanics.limits import Limits
from consist.mechanics.sidepull import side_use, side_use_within
from consist.mechanics.tables import PairTable, RouteTables
from consist.mechanics.vehicles import Vehicles

__all__ = ["NOTHING", "Doubts", "Samples", "TableReader", "sweep"]

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
NOTHING = 1e-9
"""Figures below this (gram-force, or a share) are rounding, not peaks to look for."""
HEADS_AT_ONCE = 8192
"""Enough heads to pay for the calls of NumPy; a batch of a hundred vehicles takes some 70 MB."""


@dataclass(frozen=True)
class Doubts:
    """Intervals, by number, in which a vehicle's use may pass what is known: the most it may come to in each.

    `strays` is how far it may stray from a straight line between the interval's ends, leaps left aside.
    """

    intervals: Indices
    most: Floats
    strays: Floats

    def within(self, own: slice) -> Doubts:
        """Those of a batch's own intervals, numbered from its first own head."""
        kept = (self.intervals >= own.start) & (self.intervals < own.stop - 1)
        return Doubts(self.intervals[kept] - own.start, self.most[kept], self.strays[kept])


@dataclass(frozen=True)
class Samples:
    """Consecutive even heads of a sweep: figures at each, and bounds on the intervals between them.

    `use` is of shape (vehicles, heads), 0 for engines. `force_most` holds the most that couplings' tension and
    buff (gram-force, of shape (vehicles - 1, heads - 1)) and the engines' use (of shape (1, heads - 1)) may reach in
    the interval from each head to the next. `doubts` does the same for side use, by number of the vehicle, but only
    where it matters: see `Doubts`.
    """

    heads_mm: Floats
    along: Forces
    use: Floats
    force_most: tuple[Floats, Floats, Floats]
    doubts: dict[int, Doubts]


def sweep(
    train: Vehicles, tables: RouteTables, from_mm: float, to_mm: float, limits: Limits, near_peak: float
) -> Iterator[Samples]:
    """The train with its head at `from_mm` and every table step after it, up to `to_mm`, a batch at a time.

    Intervals in which no car can reach `near_peak` times its greatest use so far are left out of the doubts.
    Batches overlap by one head, so that every interval lies within one batch.
    """
    count = int(np.floor((to_mm - from_mm) / tables.step_mm)) + 1
    reader = TableReader(train, tables, from_mm)
    seen = np.zeros(len(train))
    for first in range(0, max(count - 1, 1), HEADS_AT_ONCE):
        # one head more on both sides, where there is one, tells what the forces do next to the batch
        before = min(first, 1)
        last = min(first + HEADS_AT_ONCE, count - 1)
        after = min(count - 1 - last, 1)
        heads = np.arange(first - before, last + after + 1)
        batch = _Batch(train, reader, int(heads[0]), len(heads), limits)
        use = np.zeros((len(train), len(heads)))
        doubts = {}
        own = slice(before, len(heads) - after)
        for k in train.cars:
            use[k] = batch.use(k)
            seen[k] = max(seen[k], use[k].max())
            doubts[k] = batch.doubts(k, use[k], near_peak * seen[k] + NOTHING).within(own)
        yield Samples(
            heads_mm=from_mm + tables.step_mm * heads[own].astype(np.float64),
            along=batch.along.cut(own),
            use=use[:, own],
            force_most=batch.force_most(slice(own.start, own.stop - 1)),
            doubts=doubts,
        )


@dataclass(frozen=True)
class _End:
    """A coupling as one of its two vehicles feels it, at the heads of a batch and in the intervals between.

    In each interval the force may pass those seen around it by `hidden`, and stray from a straight line by `strays`;
    the sine by `slack`. `tension_step` is the force's greatest change from head to head in the batch.
    """

    tension: Floats
    hidden: Floats
    strays: Floats
    sine: Floats
    slack: Floats
    tension_step: float
    most_slack: float
    most_step: float

    @property
    def pull(self) -> Floats:
        """The side pull at each head."""
        return self.tension * self.sine

    def strays_at_most(self) -> float:
        """How far the side pull may stray from a straight line in any interval of the batch."""
        strays = float(self.strays.max())
        strongest = float(np.abs(self.tension).max()) + strays
        steepest = float(np.abs(self.sine).max()) + self.most_slack
        return strongest * self.most_slack + steepest * strays + 0.25 * self.tension_step * self.most_step

    def at_most(self, intervals: Indices) -> tuple[Floats, Floats]:
        """Two bounds in the intervals asked for: on the side pull itself, and on how far it strays.

        The first takes every factor at its greatest and is close where the sine is steady. The second is how
        far the product of force and sine may stray from a straight line, and is close where they change.
        """
        last = len(self.tension) - 1
        around = np.abs(self.tension[np.clip(intervals + np.arange(-1, 3)[:, None], 0, last)]).max(axis=0)
        strongest = around + self.hidden[intervals]
        before, after = self.sine[intervals], self.sine[intervals + 1]
        slack = self.slack[intervals]
        steepest = np.maximum(np.abs(before), np.abs(after)) + slack
        turning = np.abs((self.tension[intervals + 1] - self.tension[intervals]) * (after - before))
        return strongest * steepest, strongest * slack + steepest * self.strays[intervals] + 0.25 * turning


class _Batch:
    """A train at consecutive even heads, from tables."""

    def __init__(self, train: Vehicles, reader: TableReader, first: int, count: int, limits: Limits) -> None:
        self._train, self._reader, self._limits = train, reader, limits
        share = reader.shares(first, count)
        self.along = forces(train, share)
        self._rises, self._falls = reader.leaps(first, count - 1)
        up, down = sums_behind(self._rises), sums_behind(self._falls)
        helped = np.cumsum(train.is_engine[:0:-1])[::-1] > 0
        if np.any(helped):
            more = _helper_strays(train, self.along, share, self._rises + self._falls)
            up[helped] += more
            down[helped] += more
        self._hidden, self._strays = np.maximum(up, down), up + down
        self._couplings = [self._read(coupling, first, count) for coupling in range(len(train) - 1)]

    def _read(self, coupling: int, first: int, count: int) -> tuple[_End, _End]:
        """A coupling as the vehicle ahead of it and the one behind feel it."""
        pair, ahead, behind, slack = self._reader.pair(coupling, first, count)
        tension, hidden, strays = self.along.tension[coupling], self._hidden[coupling], self._strays[coupling]
        step = float(np.abs(tension[1:] - tension[:-1]).max(initial=0.0))
        at_ahead, at_behind = (
            _End(tension, hidden, strays, sine, slack, step, pair.most_slack, pair.most_step)
            for sine in (ahead, behind)
        )
        return at_ahead, at_behind

    def ends(self, vehicle: int) -> tuple[_End | None, _End | None]:
        """The couplings at a vehicle's front and rear as it feels them; None at an end of the train."""
        front = self._couplings[vehicle - 1][1] if vehicle > 0 else None
        rear = self._couplings[vehicle][0] if vehicle < len(self._couplings) else None
        return front, rear

    def use(self, vehicle: int) -> Floats:
        """A vehicle's side use at each head."""
        none = np.zeros(len(self.along.resistance))
        front, rear = (none if end is None else end.pull for end in self.ends(vehicle))
        return side_use(front, rear, *self._sizes(vehicle), self._limits)

    def doubts(self, vehicle: int, use: Floats, bar: float) -> Doubts:
        """The intervals in which a vehicle's use may pass `bar`, and the most it may come to in each.

        `use` is what it has at the heads. Of two bounds the lesser holds.
        """
        ends, sizes = self.ends(vehicle), self._sizes(vehicle)
        at_heads = np.maximum(use[:-1], use[1:])
        at_front, at_rear = (0.0 if end is None else end.strays_at_most() for end in ends)
        straying = side_use_within(at_front, at_rear, *sizes, self._limits)
        near = np.flatnonzero(at_heads + straying > bar)
        none = np.zeros(len(near))
        (front, front_strays), (rear, rear_strays) = (
            (none, none) if end is None else end.at_most(near) for end in ends
        )
        strays = side_use_within(front_strays, rear_strays, *sizes, self._limits)
        most = np.minimum(side_use_within(front, rear, *sizes, self._limits), at_heads[near] + strays)
        kept = most > bar
        return Doubts(near[kept], most[kept], strays[kept])

    def force_most(self, cells: slice) -> tuple[Floats, Floats, Floats]:
        """The most that tension, buff and the engines' use may come to in each of the intervals `cells`."""
        along, hidden = self.along, self._hidden
        tension = _around(along.tension, np.maximum) + hidden
        buff = hidden - _around(along.tension, np.minimum)
        cars, engines = (
            np.maximum(self._rises[which].sum(axis=0), self._falls[which].sum(axis=0))
            for which in (self._train.cars, self._train.engines)
        )
        resistance = _around(along.resistance[None, :], np.maximum) + cars
        usable = _around(along.usable[None, :], np.minimum) - engines
        return tension[:, cells], buff[:, cells], power_use(resistance, usable)[:, cells]

    def _sizes(self, vehicle: int) -> tuple[float, float, float]:
        train = self._train
        return float(train.weight_g[vehicle]), float(train.pivot_mm[vehicle]), float(train.truck_centers_mm[vehicle])


class TableReader:
    """Reads a train's table rows for heads at even steps from one distance."""

    def __init__(self, train: Vehicles, tables: RouteTables, from_mm: float, *, couplings: bool = True) -> None:
        self._shares = [
            (tables.share(float(centers)), *tables.lookup(from_mm - float(offset)))
            for centers, offset in zip(train.truck_centers_mm, train.middle_mm, strict=True)
        ]
        self._weight = train.weight_g
        faces = np.cumsum(train.length_mm)[:-1] if couplings else np.zeros(0)
        self._pairs = [
            (tables.pair(train, k, k + 1), *tables.lookup(from_mm - float(face))) for k, face in enumerate(faces)
        ]

    def shares(self, first: int, count: int) -> Floats:
        """What the track asks of each vehicle at `count` heads from number `first` on."""
        share = np.empty((len(self._shares), count))
        for k, (table, index, fraction) in enumerate(self._shares):
            share[k] = _blend(table.share, index + first, count, fraction)
        return share

    def leaps(self, first: int, count: int) -> tuple[Floats, Floats]:
        """How far the force on each vehicle may leap up and down in the interval after each of those heads."""
        rises, falls = (np.empty((len(self._shares), count)) for _ in range(2))
        for k, (table, index, _) in enumerate(self._shares):
            cells = slice(index + first, index + first + count)
            np.multiply(table.rises[cells], self._weight[k], out=rises[k])
            np.multiply(table.falls[cells], self._weight[k], out=falls[k])
        return rises, falls

    def pair(self, coupling: int, first: int, count: int) -> tuple[PairTable, Floats, Floats, Floats]:
        """One coupling's table, its sines at the vehicles ahead and behind, and their slack between heads."""
        table, index, fraction = self._pairs[coupling]
        start = index + first
        return (
            table,
            _blend(table.ahead, start, count, fraction),
            _blend(table.behind, start, count, fraction),
            table.slack[start : start + count - 1],
        )


def _blend(column: Floats, start: int, count: int, fraction: float) -> Floats:
    blended = column[start : start + count] * (1.0 - fraction)
    blended += fraction * column[start + 1 : start + count + 1]
    return blended


def _helper_strays(train: Vehicles, along: Forces, share: Floats, by_vehicle: Floats) -> Floats:
    """How far the pull of engines behind a coupling may stray in each interval.

    It is the cars' resistance R times the engines' part q of the usable pull U. It strays as R and U do by their
    breaks; the product of two straight lines strays by a quarter of both changes, |ΔR|·|Δq|/4, and their quotient
    likewise; and where R passes through 0, which ends the sharing, by all of |ΔR|.
    """
    resistance, usable = along.resistance, np.maximum(along.usable, NOTHING)
    most_use = 1.0 + float(np.max(power_use(along.resistance, along.usable), initial=0.0))
    change = np.abs(np.diff(resistance))
    least = np.minimum(usable[:-1], usable[1:])
    engines = train.engines
    part_change = 2.0 * (train.weight_g[engines] @ np.abs(np.diff(share[engines], axis=1))) / least
    most = np.maximum(np.abs(resistance[:-1]), np.abs(resistance[1:]))
    curved = 0.25 * part_change * (change + most * np.abs(np.diff(usable)) / least)
    ends_sharing = np.where(np.minimum(resistance[:-1], resistance[1:]) <= change, change, 0.0)
    strays: Floats = most_use * by_vehicle.sum(axis=0) + curved + ends_sharing
    return strays


def _around(column: Floats, extreme: np.ufunc) -> Floats:
    """The extreme over each interval's two heads and the next one on either side."""
    pair: Floats = extreme(column[:, :-1], column[:, 1:])
    around = pair.copy()
    extreme(around[:, 1:], pair[:, :-1], out=around[:, 1:])
    extreme(around[:, :-1], pair[:, 1:], out=around[:, :-1])
    return around
