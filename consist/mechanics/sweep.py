"""A train worked out from tables at even steps of its head, and in which intervals a peak may hide."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.forces import Forces, forces, power_use, sums_behind
from consist.mechanics.limits import Limits
from consist.mechanics.sidepull import side_use, side_use_within
from consist.mechanics.tables import RouteTables
from consist.mechanics.vehicles import Vehicles

__all__ = ["Samples", "TableReader", "sweep"]

Floats = NDArray[np.float64]
HEADS_AT_ONCE = 2048
"""Enough heads to pay for a call of NumPy, few enough for the arrays of a long train to stay in the cache."""


@dataclass(frozen=True)
class Samples:
    """Consecutive even heads of a sweep: figures at each, and bounds on the intervals between them.

    `use` is of shape (vehicles, heads), 0 for engines. The most that figures may reach in the interval from each
    head to the next: `use_most` of shape (vehicles, heads - 1), `tension_most` and `buff_most` (gram-force) of
    shape (vehicles - 1, heads - 1), `power_most` (resistance over usable pull) of shape (1, heads - 1).
    """

    heads_mm: Floats
    along: Forces
    use: Floats
    use_most: Floats
    tension_most: Floats
    buff_most: Floats
    power_most: Floats


def sweep(train: Vehicles, tables: RouteTables, from_mm: float, to_mm: float, limits: Limits) -> Iterator[Samples]:
    """The train with its head at `from_mm` and every table step after it, up to `to_mm`, a batch at a time.

    Batches overlap by one head, so that every interval lies within one batch.
    """
    count = int(np.floor((to_mm - from_mm) / tables.step_mm)) + 1
    reader = TableReader(train, tables, from_mm)
    for first in range(0, max(count - 1, 1), HEADS_AT_ONCE):
        # one head more on both sides, where there is one, tells what the forces do next to the batch
        before = min(first, 1)
        last = min(first + HEADS_AT_ONCE, count - 1)
        after = min(count - 1 - last, 1)
        heads = np.arange(first - before, last + after + 1)
        own = slice(before, len(heads) - after)
        yield _samples(train, reader, heads, from_mm + tables.step_mm * heads.astype(np.float64), limits, own)


def _samples(
    train: Vehicles, reader: TableReader, heads: NDArray[np.intp], heads_mm: Floats, limits: Limits, own: slice
) -> Samples:
    """Work out one batch, vehicle by vehicle so that the rows in hand stay in the cache."""
    first, count = int(heads[0]), len(heads)
    along = forces(train, reader.shares(first, count))
    rises, falls = reader.breaks(first, count - 1)
    up, down = _stray(train, along, rises, falls)
    hidden = np.minimum(up, down)
    most, least = _around(along.tension, np.maximum) + hidden, _around(along.tension, np.minimum) - hidden
    use, use_most = np.zeros((len(train), count)), np.zeros((len(train), count - 1))
    front = _End.free(count)
    for k in range(len(train)):
        rear = next_front = _End.free(count)
        if k < len(train) - 1:
            ahead, behind, slack = reader.pair(k, first, count)
            strongest = np.maximum(np.abs(most[k]), np.abs(least[k]))
            bent = 2.0 * (up[k] + down[k])
            rear = _End.of(along.tension[k], strongest, bent, ahead, slack)
            next_front = _End.of(along.tension[k], strongest, bent, behind, slack)
        if not train.is_engine[k]:
            sizes = (train.weight_g[k], train.pivot_mm[k], train.truck_centers_mm[k])
            use[k] = side_use(front.pull, rear.pull, *sizes, limits)
            ends = np.maximum(use[k, :-1], use[k, 1:])
            straying = ends + side_use_within(front.strays, rear.strays, *sizes, limits)
            use_most[k] = np.minimum(straying, side_use_within(front.most, rear.most, *sizes, limits))
        front = next_front
    cells = slice(own.start, own.stop - 1)
    return Samples(
        heads_mm=heads_mm[own],
        along=Forces(along.tension[:, own], along.resistance[own], along.usable[own]),
        use=use[:, own],
        use_most=use_most[:, cells],
        tension_most=most[:, cells],
        buff_most=-least[:, cells],
        power_most=_power_most(train, along, rises, falls)[:, cells],
    )


@dataclass(frozen=True)
class _End:
    """One end of one vehicle: its side pull at each head, and two bounds on it in each interval.

    `most` takes every factor at its greatest and is close where the sine is steady. `strays` is how far the
    product of force and sine may stray from a straight line; it is close where they change.
    """

    pull: Floats
    most: Floats
    strays: Floats

    @classmethod
    def free(cls, count: int) -> _End:
        """An end with no coupling."""
        none = np.zeros(count)
        return cls(none, none[1:], none[1:])

    @classmethod
    def of(cls, tension: Floats, strongest: Floats, bent: Floats, sine: Floats, slack: Floats) -> _End:
        """An end from its coupling's force and sine, and bounds on either."""
        size = np.abs(sine)
        steepest = np.maximum(size[:-1], size[1:]) + slack
        turning = np.abs((tension[1:] - tension[:-1]) * (sine[1:] - sine[:-1]))
        return cls(tension * sine, strongest * steepest, strongest * slack + steepest * bent + 0.25 * turning)


class TableReader:
    """Reads a train's table rows for heads at even steps from one distance."""

    def __init__(self, train: Vehicles, tables: RouteTables, from_mm: float, *, couplings: bool = True) -> None:
        self._shares = [
            (tables.share(float(centers)), *tables.lookup(from_mm - float(offset)))
            for centers, offset in zip(train.truck_centers_mm, train.middle_mm, strict=True)
        ]
        faces = np.cumsum(train.length_mm)[:-1] if couplings else np.zeros(0)
        self._pairs = [(tables.pair(train, k), *tables.lookup(from_mm - float(face))) for k, face in enumerate(faces)]

    def shares(self, first: int, count: int) -> Floats:
        """What the track asks of each vehicle at `count` heads from number `first` on."""
        share = np.empty((len(self._shares), count))
        for k, (table, index, fraction) in enumerate(self._shares):
            share[k] = _blend(table.share, index + first, count, fraction)
        return share

    def breaks(self, first: int, count: int) -> tuple[Floats, Floats]:
        """How far each vehicle's share may stray up and down in the interval after each of those heads."""
        here = [(table, slice(index + first, index + first + count)) for table, index, _ in self._shares]
        return (
            np.stack([table.rises[cells] for table, cells in here]),
            np.stack([table.falls[cells] for table, cells in here]),
        )

    def pair(self, coupling: int, first: int, count: int) -> tuple[Floats, Floats, Floats]:
        """One coupling's sines at the vehicles ahead and behind, and how far they may stray between heads."""
        table, index, fraction = self._pairs[coupling]
        start = index + first
        return (
            _blend(table.ahead, start, count, fraction),
            _blend(table.behind, start, count, fraction),
            table.slack[start : start + count - 1],
        )


def _blend(column: Floats, start: int, count: int, fraction: float) -> Floats:
    blended = column[start : start + count] * (1.0 - fraction)
    blended += fraction * column[start + 1 : start + count + 1]
    return blended


def _stray(train: Vehicles, along: Forces, rises: Floats, falls: Floats) -> tuple[Floats, Floats]:
    """How far each coupling's force may stray up and down other than evenly within each interval."""
    weight = train.weight_g[:, None]
    rises, falls = weight * rises, weight * falls
    up, down = sums_behind(rises), sums_behind(falls)
    engines_behind = np.cumsum(train.is_engine[:0:-1])[::-1] > 0
    if np.any(engines_behind):
        # what engines behind a coupling give hangs on every vehicle of the train, with the opposite sign
        all_of_it = (rises + falls).sum(axis=0) + np.abs(np.diff(along.resistance))
        extra = np.where(engines_behind[:, None], all_of_it, 0.0)
        up, down = up + extra, down + extra
    return up, down


def _power_most(train: Vehicles, along: Forces, rises: Floats, falls: Floats) -> Floats:
    """The most that resistance over usable pull may reach in each interval, of shape (1, intervals)."""
    cars, engines = train.cars, train.engines
    weight = train.weight_g
    hidden = np.minimum(weight[cars] @ rises[cars], weight[cars] @ falls[cars])
    lost = np.minimum(weight[engines] @ rises[engines], weight[engines] @ falls[engines])
    most = _around(along.resistance[None, :], np.maximum) + hidden
    least = _around(along.usable[None, :], np.minimum) - lost
    return power_use(most, least)


def _around(column: Floats, extreme: np.ufunc) -> Floats:
    """The extreme over each interval's two heads and the next one on either side."""
    pair: Floats = extreme(column[:, :-1], column[:, 1:])
    around = pair.copy()
    extreme(around[:, 1:], pair[:, :-1], out=around[:, 1:])
    extreme(around[:, :-1], pair[:, 1:], out=around[:, :-1])
    return around
