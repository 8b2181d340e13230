"""A route as arrays: where the centreline lies and what it asks of a truck, looked up at any distance.

The plan is tabled finely enough that a straight line between two points serves; heights and curvature are kept by
stretch of track and worked out exactly, so that a figure just before a joint and one just after it differ as they do
on the track.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.track import Centreline

__all__ = ["Joints", "RouteTables"]

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
    costs as a share of itself. A train is looked at with its head `step_mm` apart.
    """

    def __init__(self, track: Centreline, *, curve_share: float, flange_drag: float, step_mm: float) -> None:
        self.track, self.curve_share, self.flange_drag, self.step_mm = track, curve_share, flange_drag, step_mm
        coarse = 0.2 * step_mm
        # the first and the last cell lie on the straight track outside, so that what is farther off goes on from them
        places = coarse * np.arange(-1, int(np.ceil(track.length_mm / coarse)) + 2, dtype=np.float64)
        self._first_mm, self._per_mm = -coarse, FINER / coarse
        self._plan = _finer(track, places, coarse)
        stretches = track.stretches
        self._next_start = np.append(stretches.start_mm[1:], np.inf)
        self._grade, self._bend_change = stretches.grade, stretches.bend_change
        self._height = stretches.height_mm - stretches.grade * stretches.start_mm
        self._bend = stretches.bend - stretches.bend_change * stretches.start_mm
        fine = self._first_mm + np.arange(len(self._plan), dtype=np.float64) / self._per_mm
        self._stretch = np.searchsorted(stretches.start_mm[1:], fine, side="right")
        self._most_in_cell = int(np.diff(self._stretch).max(initial=0))
        self.joints = _joints(track)

    def plan_at(self, distance_mm: Floats) -> Complexes:
        """The centreline in plan, x + iy in mm, at distances of any shape along the route."""
        place, cell = self._cell(distance_mm)
        start = self._plan.take(cell)
        plan = self._plan.take(cell + 1)
        plan -= start
        plan *= place - cell
        plan += start
        return plan

    def profile_at(self, distance_mm: Floats) -> tuple[Floats, Floats]:
        """Heights (mm) and unsigned curvatures (1/mm) at distances of any shape along the route."""
        stretch = self._stretch.take(self._cell(distance_mm)[1])
        for _ in range(self._most_in_cell):
            stretch += distance_mm >= self._next_start.take(stretch)
        height = self._grade.take(stretch)
        height *= distance_mm
        height += self._height.take(stretch)
        bend = self._bend_change.take(stretch)
        bend *= distance_mm
        bend += self._bend.take(stretch)
        return height, bend

    def _cell(self, distance_mm: Floats) -> tuple[Floats, NDArray[np.intp]]:
        """Where distances lie in the fine table, in its steps, and the cell of it each is in or nearest to."""
        place = (distance_mm - self._first_mm) * self._per_mm
        cell = place.astype(np.intp)
        np.maximum(cell, 0, out=cell)
        return place, np.minimum(cell, len(self._plan) - 2, out=cell)


def _finer(track: Centreline, places_mm: Floats, step_mm: float) -> Complexes:
    """Points of the plan, `FINER` to a step, by cubic Hermite interpolation between exact ones.

    On an arc of radius R it is out by step⁴/384R³; across a jump of curvature by jump·step²/32 at most.
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
    return np.append(fine.ravel(), point[-1])


def _joints(track: Centreline) -> Joints:
    on = track.stretches
    length = np.diff(on.start_mm)
    ending = on.bend[:-1] + on.bend_change[:-1] * length
    return Joints(on.start_mm[1:], on.bend[1:] - ending, np.diff(on.grade), np.diff(on.bend_change))
