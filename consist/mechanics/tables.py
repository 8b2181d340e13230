"""A route as arrays: where the centreline lies and what it asks of a truck, looked up at any distance.

The plan is tabled finely enough that a straight line between two points serves; heights and curvature are kept by
stretch of track and worked out exactly, so that a figure just before a joint and one just after it differ as they do
on the track.
"""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.track import Centreline

__all__ = ["Joints", "Lookup", "RouteTables"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

FINER = 8
"""Points of the fine table to one worked out exactly."""


@dataclass(frozen=True)
class Joints:
    """Where stretches of track meet, each field of shape (joints,).

    `jump` is by how much the unsigned curvature leaps there (1/mm), `grade_change` the change of rise over run and
    `bend_change` that of the curvature's own change along the track (1/mm²).
    """

    distance_mm: Floats
    jump: Floats
    grade_change: Floats
    bend_change: Floats


class RouteTables:
    """The tables of one route; before its start and past its end the track is straight and level.

    `curve_share` is curve resistance as a share of weight for a curvature of 1/mm, `flange_drag` what a side load
    costs as a share of itself. The plan is tabled for a train that is looked at with its head `step_mm` apart; it is
    looked at `finer` times as closely.
    """

    def __init__(
        self, track: Centreline, *, curve_share: float, flange_drag: float, step_mm: float, finer: int = 1
    ) -> None:
        self.track, self.curve_share, self.flange_drag, self.step_mm = (
            track,
            curve_share,
            flange_drag,
            step_mm / finer,
        )
        coarse = 0.2 * step_mm
        # the first and the last cell lie on the straight track outside, so that what is farther off goes on from them
        cells = coarse * np.arange(-1, int(np.ceil(track.length_mm / coarse)) + 2, dtype=np.float64)
        places = track.start_mm + cells
        self._first_mm, self._per_mm = track.start_mm - coarse, FINER / coarse
        plan = _finer(track, places, coarse)
        self._plan, self._plan_change = plan[:-1], np.diff(plan)
        on = track.stretches
        self._next_start = np.append(on.start_mm[1:], np.inf)
        self._profile_change = on.grade + 1j * on.bend_change
        self._profile = on.height_mm + 1j * on.bend - self._profile_change * on.start_mm
        fine = self._first_mm + np.arange(len(self._plan), dtype=np.float64) / self._per_mm
        self._stretch = np.searchsorted(self._next_start, fine, side="right")
        self._most_in_cell = int(np.diff(self._stretch).max(initial=0))
        self.joints = _joints(track)
        self._bends = np.maximum(on.bend, on.bend + on.bend_change * np.diff(on.start_mm, append=on.start_mm[-1]))
        self.sharpest = float(self._bends.max())

    def asking(self, curve_share: Floats, flange_drag: Floats) -> RouteTables:
        """The same route for several trains, each of which it asks for shares of its own, of shape (trains, 1)."""
        other = copy(self)
        vars(other).update(curve_share=curve_share, flange_drag=flange_drag)
        return other

    def sharper_than(self, bend: float) -> list[tuple[float, float, float]]:
        """The stretches that come to a greater curvature (1/mm): where they start and end, and that curvature."""
        on = self.track.stretches
        return [(on.start_mm[k], self._next_start[k], self._bends[k]) for k in np.flatnonzero(self._bends > bend)]

    def lookup(self, distance_mm: Floats) -> Lookup:
        """Where distances of any shape along the route lie in the tables."""
        part = (distance_mm - self._first_mm) * self._per_mm
        cell = part.astype(np.intp)
        np.maximum(cell, 0, out=cell)
        np.minimum(cell, len(self._plan) - 1, out=cell)
        part -= cell
        return Lookup(distance_mm, cell, part)

    def plan(self, at: Lookup) -> Complexes:
        """The centreline in plan, x + iy in mm."""
        plan = self._plan_change.take(at.cell)
        plan *= at.part
        plan += self._plan.take(at.cell)
        return plan

    def profile(self, at: Lookup) -> Complexes:
        """Heights in mm, with unsigned curvatures in 1/mm as the imaginary part."""
        stretch = self._stretch.take(at.cell)
        for _ in range(self._most_in_cell):
            stretch += at.distance_mm >= self._next_start.take(stretch)
        profile = self._profile_change.take(stretch)
        profile *= at.distance_mm
        profile += self._profile.take(stretch)
        return profile


@dataclass(frozen=True)
class Lookup:
    """Distances, the cells of the fine table they lie in or are nearest to, and how far into each as a part."""

    distance_mm: Floats
    cell: NDArray[np.intp]
    part: Floats


def _finer(track: Centreline, places_mm: Floats, step_mm: float) -> Complexes:
    """Points of the plan, `FINER` to a step, by cubic Hermite interpolation between exact ones.

    On an arc of radius R it is out by step⁴/384R³. Where the curvature leaps it would be out by jump·step²/32, and a
    coupling nearly straight by a good part of its sine, so that steps with a joint in them have exact points alone.
    """
    exact = track.at(places_mm)
    point = exact.x + 1j * exact.y
    ahead = step_mm * np.exp(1j * exact.heading)
    t = np.arange(FINER, dtype=np.float64) / FINER
    value = t * t * (3.0 - 2.0 * t)
    fine = (
        point[:-1, None] * (1.0 - value)
        + point[1:, None] * value
        + ahead[:-1, None] * (t * (1.0 - t) ** 2)
        + ahead[1:, None] * (t * t * (t - 1.0))
    )
    joined = np.unique(np.searchsorted(places_mm, track.stretches.start_mm, side="right") - 1)
    there = track.at((places_mm[joined, None] + step_mm * t).ravel())
    fine[joined] = (there.x + 1j * there.y).reshape(len(joined), FINER)
    return np.append(fine.ravel(), point[-1])


def _joints(track: Centreline) -> Joints:
    on = track.stretches
    length = np.diff(on.start_mm)
    ending = on.bend[:-1] + on.bend_change[:-1] * length
    return Joints(on.start_mm[1:], on.bend[1:] - ending, np.diff(on.grade), np.diff(on.bend_change))
