"""What may hide between two positions at which a train was worked out, and where to look for it.

Between two steps figures go smoothly but for the joints of the track, at which what the track asks of a truck leaps
or bends. An interval is looked into where what its ends show, how figures bend at them and what joints add to them
could come to more than the peak seen: just before and just after each joint under each truck, at its quarters, and
where the train begins to run away by itself.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.tables import RouteTables
from consist.mechanics.vehicles import Vehicles

__all__ = ["Between", "even_heads", "may_pass"]

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

TOLERANCE = 0.001
"""An interval that cannot pass the peak seen by more than this share of it is not looked into."""
BENDS = 1.25
"""How far a smooth figure passes both ends of an interval, at the most, as a share of how it bends at them.

A parabola passes them by an eighth; the rest is for bends that come all at once.
"""
NEAR_THE_TOP = 0.8
"""Steps below this share of a peak are no ends of an interval that passes it, what joints add left aside."""
NOTHING = 1e-9
"""Figures below this (gram-force, or a share) are rounding, not peaks to look for."""
JUST_MM = 1e-6
"""Just before or after a joint."""
QUARTERS = np.array([0.25, 0.5, 0.75])


def even_heads(tables: RouteTables, from_mm: float, to_mm: float, ahead_mm: float) -> Floats:
    """Heads at every table step from one distance to another, both included.

    Counted so that the first car, `ahead_mm` behind the head, stands at whole steps: its cut then stands at the same
    places whatever engines are ahead of it. The first and the last step are shorter.
    """
    step = tables.step_mm
    first, last = np.floor((from_mm - ahead_mm) / step) + 1.0, np.ceil((to_mm - ahead_mm) / step)
    return np.concatenate(([from_mm], ahead_mm + step * np.arange(first, last), [to_mm]))


def may_pass(values: Floats, added: Floats, *, straight: bool = False) -> Mask:
    """The intervals, of shape (heads - 1,), in which one of some figures may pass the greatest that was seen of it.

    `values` is of shape (figures, heads), `added` of shape (figures, heads - 1) or one that broadcasts to it: what
    joints within each interval may add to a figure. One that is `straight` goes so from joint to joint; it passes an
    interval's ends by no more than it rises from one to the next.
    """
    figures, heads = values.shape
    found = np.zeros(heads - 1, dtype=bool)
    peak = values.max(axis=1)
    added = np.broadcast_to(added, (figures, heads - 1))
    bar = np.maximum(peak + TOLERANCE * np.abs(peak), 0.0) + NOTHING
    bends = np.abs(np.diff(values)).max(axis=1, initial=0.0) if straight else (1.0 - NEAR_THE_TOP) * bar
    row, head = np.nonzero(values >= (bar - added.max(axis=1) - bends)[:, None])
    row, cell = np.concatenate((row, row)), np.concatenate((head - 1, head))
    inside = (cell >= 0) & (cell < heads - 1)
    row, cell = row[inside], cell[inside]
    before, start = values[row, np.maximum(cell - 1, 0)], values[row, cell]
    end, after = values[row, cell + 1], values[row, np.minimum(cell + 2, heads - 1)]
    bends = np.maximum(np.abs(before - 2.0 * start + end), np.abs(start - 2.0 * end + after))
    if straight:
        bends = np.minimum(bends, np.maximum(np.abs(start - before), np.abs(after - end)))
    else:
        bends *= BENDS
    most = np.maximum(start, end) + added[row, cell] + bends
    found[cell[most > bar[row]]] = True
    return found


class Between:
    """The joints under a train's trucks as its head goes from one of some even heads to the next."""

    def __init__(self, train: Vehicles, tables: RouteTables, heads_mm: Floats) -> None:
        self._train, self._tables, self._heads = train, tables, heads_mm
        half = 0.5 * train.truck_centers_mm
        trucks = np.stack([train.middle_mm - half, train.middle_mm + half], axis=1)
        at = tables.joints.distance_mm[:, None, None] + trucks
        inside = (at > heads_mm[0]) & (at < heads_mm[-1])
        self._joint, self._vehicle, _ = np.nonzero(inside)
        self._at = at[inside]
        self._cell = np.searchsorted(heads_mm, self._at) - 1

    @cached_property
    def behind(self) -> Floats:
        """By coupling and interval, how far the force may pass that seen at both ends, in gram-force.

        A force that leaps up and down within an interval passes both ends by no more than the lesser of the two.
        """
        up, down = (_sums_behind(part) for part in self._leaps)
        if self._train.behind:
            # what cars ahead take reaches a coupling through the helpers' part of it
            all_up, all_down = (part.sum(axis=0) for part in self._leaps)
            up, down = up + all_down, down + all_up
        return np.minimum(up, down)

    @cached_property
    def together(self) -> Floats:
        """By interval, the same for what the whole train asks of its engines and what they have."""
        up, down = (part.sum(axis=0) for part in self._leaps)
        lesser: Floats = np.minimum(up, down)
        return lesser

    @cached_property
    def _leaps(self) -> tuple[Floats, Floats]:
        """By vehicle and interval, how far its resistance leaps or bends up and down in all, in gram-force."""
        joints, train = self._tables.joints, self._train
        curve = 0.5 * self._tables.curve_share
        bends = 0.25 * self._tables.step_mm
        weight, centers = train.weight_g[self._vehicle], train.truck_centers_mm[self._vehicle]
        jump = curve * joints.jump[self._joint]
        kink = bends * (
            np.abs(joints.grade_change[self._joint]) / centers + curve * np.abs(joints.bend_change[self._joint])
        )
        cells = len(self._heads) - 1
        where = self._vehicle * cells + self._cell
        shape = (len(train), cells)

        def sums(leap: Floats) -> Floats:
            each = weight * (np.maximum(leap, 0.0) + kink)
            return np.bincount(where, each, len(train) * cells).astype(np.float64).reshape(shape)

        return sums(jump), sums(-jump)

    def closer(self, cells: Mask, engine_share: Floats) -> Floats:
        """Heads at which to look into some intervals."""
        start, end = self._heads[:-1][cells], self._heads[1:][cells]
        at = self._at[cells[self._cell]]
        inner = (start[:, None] + QUARTERS * (end - start)[:, None]).ravel()
        return np.unique(np.concatenate((at - JUST_MM, at + JUST_MM, inner, self._turning(engine_share))))

    def _turning(self, engine_share: Floats) -> Floats:
        """About where engines turn from pulling to holding back, or the other way."""
        share = np.where(np.isfinite(engine_share), engine_share, 0.0)
        before, after = share[:-1], share[1:]
        turns = np.sign(before) * np.sign(after) < 0.0
        part = before[turns] / (before[turns] - after[turns])
        turning: Floats = self._heads[:-1][turns] + part * np.diff(self._heads)[turns]
        return turning


def _sums_behind(column: Floats) -> Floats:
    """For each coupling the sum over the vehicles behind it, of a figure of shape (vehicles, ...).

    >>> _sums_behind(np.array([[1.0], [2.0], [3.0]])).ravel()
    array([5., 3.])
    """
    sums: Floats = np.cumsum(column[:0:-1], axis=0)[::-1]
    return sums
