"""What may hide between two positions at which a train was worked out, and where to look for it.

Between two steps figures go smoothly but for the joints of the track, at which what the track asks of a truck leaps
or bends. An interval is looked into where what its ends show, how figures bend at them and what joints add to them
could come to more than the peak seen: just before and just after each joint under each truck, at its quarters, and
where the train begins to run away by itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.tables import RouteTables
from consist.mechanics.vehicles import Vehicles

__all__ = [
    "QUARTERS",
    "Between",
    "Halves",
    "Leaps",
    "bars",
    "bends_between",
    "even_heads",
    "may_pass",
    "may_pass_half",
]

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

TOLERANCE = 0.001
"""An interval that cannot pass the peak seen by more than this share of it is not looked into."""
BENDS = 1.5
"""How far a smooth figure passes both ends of an interval, at the most, as a share of how it bends at them.

A parabola passes them by an eighth; the rest is for bends that come all at once.
"""
NOTHING = 1e-9
"""Figures below this (gram-force, or a share) are rounding, not peaks to look for."""
JUST_MM = 1e-6
"""Just before or after a joint."""
BENDS_HALF = 0.4
"""The same of an interval looked at in its middle too, by how it bends there."""
QUARTERS = np.array([0.25, 0.5, 0.75])


def even_heads(tables: RouteTables, from_mm: float, to_mm: float, ahead_mm: float) -> Floats:
    """Heads at every table step from one distance to another, both included.

    Counted so that the first car, `ahead_mm` behind the head, stands at whole steps: its cut then stands at the same
    places whatever engines are ahead of it. The first and the last step are shorter.
    """
    step = tables.step_mm
    first, last = np.floor((from_mm - ahead_mm) / step) + 1.0, np.ceil((to_mm - ahead_mm) / step)
    return np.concatenate(([from_mm], ahead_mm + step * np.arange(first, last), [to_mm]))


def bends_between(values: Floats, *, straight: bool = False) -> Floats:
    """How far figures of shape (figures, heads) may pass both ends of each interval by the way they bend there.

    One that is `straight` goes so from joint to joint; it passes an interval's ends by no more than it rises from one
    head to the next beside it.
    """
    rises = np.diff(values)
    bends = np.zeros_like(values)
    np.abs(np.diff(rises), out=bends[:, 1:-1])
    most: Floats = np.maximum(bends[:, :-1], bends[:, 1:])
    if not straight:
        most *= BENDS
        return most
    beside = np.zeros((len(values), rises.shape[1] + 2))
    np.abs(rises, out=beside[:, 1:-1])
    return np.minimum(most, np.maximum(beside[:, :-2], beside[:, 2:]), out=most)


def may_pass(values: Floats, bends: Floats, bar: Floats, leaps: Floats | None = None) -> Mask:
    """The intervals, of shape (heads - 1,), in which one of some figures may pass its bar, of shape (figures, 1).

    `values` is of shape (figures, heads); `bends` and `leaps` tell by how much it may pass both ends.
    """
    most = np.maximum(values[:, :-1], values[:, 1:])
    most += bends
    if leaps is not None:
        most += leaps
    passing: Mask = np.any(most > bar, axis=0)
    return passing


@dataclass(frozen=True)
class Halves:
    """Figures at the start, in the middle and at the end of some intervals, each of shape (figures, intervals)."""

    start: Floats
    middle: Floats
    end: Floats

    @classmethod
    def of(cls, figures: Floats, cells: NDArray[np.intp]) -> Halves:
        """Some of the intervals between heads that figures are known at, their middles still to be filled in."""
        return cls(figures[:, cells], np.empty((len(figures), len(cells))), figures[:, cells + 1])

    def __neg__(self) -> Halves:
        return Halves(-self.start, -self.middle, -self.end)


def may_pass_half(at: Halves, bar: Floats, leaps: Leaps, *, straight: bool = False) -> Mask:
    """The same of intervals looked at in their middles too, once the peaks seen there are counted."""
    bends = np.abs(at.start - 2.0 * at.middle + at.end)
    if straight:
        np.minimum(bends, np.maximum(np.abs(at.middle - at.start), np.abs(at.end - at.middle)), out=bends)
    else:
        # a leap can hide that a figure bends the other way
        bends += leaps.one_way
        bends *= BENDS_HALF
    bends += np.maximum(np.maximum(at.start, at.end), at.middle)
    bends += leaps.past
    passing: Mask = np.any(bends > bar, axis=0)
    return passing


def bars(peak: Floats) -> Floats:
    """What figures must pass for an interval to be looked into, from the peaks seen: of shape (figures, 1)."""
    bar: Floats = np.maximum(peak + TOLERANCE * np.abs(peak), 0.0)[:, None] + NOTHING
    return bar


@dataclass(frozen=True)
class Leaps:
    """What joints do to figures within intervals, of shape (figures, intervals): how far one may be `past` both ends
    by leaping up and down, and how much more it leaps `one_way` than the other."""

    past: Floats
    one_way: Floats


class Between:
    """The joints under a train's trucks as its head goes from one of some even heads to the next."""

    def __init__(self, train: Vehicles, tables: RouteTables, heads_mm: Floats) -> None:
        self._train, self._tables, self._heads = train, tables, heads_mm
        half = 0.5 * train.truck_centers_mm
        trucks = np.stack([train.middle_mm - half, train.middle_mm + half], axis=1)
        at = tables.joints.distance_mm[:, None, None] + trucks
        inside = (at > heads_mm[0]) & (at < heads_mm[-1])
        joint, vehicle, _ = np.nonzero(inside)
        along = np.argsort(at[inside], kind="stable")
        self._joint, self._vehicle, self._at = joint[along], vehicle[along], at[inside][along]
        self._cell = np.searchsorted(heads_mm, self._at) - 1

    @property
    def ends_mm(self) -> Floats:
        """The first and the last head."""
        return self._heads[[0, -1]]

    def behind(self, part: slice) -> Leaps:
        """By coupling, how the force may leap within some intervals next to one another, in gram-force.

        One that leaps up and down within an interval passes both ends by no more than the lesser of the two.
        """
        first, count = part.start, part.stop - part.start
        kept = slice(*np.searchsorted(self._cell, (first, part.stop)))
        where = self._vehicle[kept] * count + (self._cell[kept] - first)
        shape = (len(self._train), count)
        up, down = (np.bincount(where, leap[kept], shape[0] * count).reshape(shape) for leap in self._leaps)
        above, below = _sums_behind(up), _sums_behind(down)
        if self._train.behind:
            # what cars ahead take reaches a coupling through the helpers' part of it
            above, below = above + down.sum(axis=0), below + up.sum(axis=0)
        return Leaps(np.minimum(above, below), np.abs(above - below))

    @property
    def together(self) -> Floats:
        """The same for what the whole train asks of its engines and what they have, of shape (intervals,)."""
        up, down = (np.bincount(self._cell, leap, len(self._heads) - 1) for leap in self._leaps)
        most: Floats = np.minimum(up, down)
        return most

    @cached_property
    def _leaps(self) -> tuple[Floats, Floats]:
        """How far a resistance leaps or bends up, and down, at each joint under each truck, in gram-force."""
        joints, train = self._tables.joints, self._train
        curve = 0.5 * self._tables.curve_share
        weight, centers = train.weight_g[self._vehicle], train.truck_centers_mm[self._vehicle]
        jump = curve * joints.jump[self._joint]
        # what begins to grow or to fall at a joint does so for no more than the rest of the step
        bend = np.abs(joints.grade_change[self._joint]) / centers + curve * np.abs(joints.bend_change[self._joint])
        kink = self._tables.step_mm * bend
        return weight * (np.maximum(jump, 0.0) + kink), weight * (np.maximum(-jump, 0.0) + kink)

    def closer(self, cells: Mask, engine_share: Floats, parts: Floats = QUARTERS) -> Floats:
        """Heads at which to look into some intervals: `parts` of the way through each, and about its joints."""
        start, end = self._heads[:-1][cells], self._heads[1:][cells]
        inside = cells[self._cell]
        at, leaps = self._at[inside], np.abs(self._tables.joints.jump[self._joint[inside]]) > NOTHING
        # a figure that only bends is on one side of a joint what it is on the other
        sides = (at + JUST_MM, at[leaps] - JUST_MM)
        inner = (start[:, None] + parts * (end - start)[:, None]).ravel()
        return np.unique(np.concatenate((*sides, inner, self._turning(engine_share))))

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
