"""How far a figure can stray between two positions at which it was worked out.

The peaks that a run reports are to be within half a per cent of working the train out at every millimetre. It
is worked out at wider steps, and the bounds here tell in which intervals a higher peak could hide; only those
are looked at millimetre by millimetre.

Two kinds of bound are needed.

*What the track asks of a vehicle* (slope and curve) goes evenly along the track but for breaks: a change of grade
bends it, and a joint where the curvature jumps makes it leap. `track_breaks` gathers them for each table cell: a
change of grade g bends the height by at most g·step/4 there. Let a force be an even part and leaps, U up and D down
in all within some cells. The even part is greatest at one end, seen from there the leaps add U or D, and so its
greatest value is above the values seen on both sides by no more than the greater of the two; from a straight line
of two of its values it strays by no more than U + D.

*The sines of a coupling's angles* are smooth: track has no corners, so positions have a bounded second
derivative, and a function with |f''| ≤ M strays from a straight line over a step by at most M·step²/8. With K the
sharpest curvature anywhere under the two vehicles, B a vehicle's spacing of trucks, e its pivot distance:

- a truck's place has |p''| ≤ K, and an axis's unit vector u has |u'| ≤ w and |u''| ≤ 2K/c + 3w², where c is the
  chord between the trucks, c ≥ B(1 - (KB)²/24), and w = KB/c;
- so a pivot has |P''| ≤ K + e·|u''|, and the gap q between two pivots has |q''| ≤ Q2, the sum of both;
- |q'| ≤ Q1 = |q(b) - q(a)|/step + Q2·step;
- a sine is f = (u × q)/|q|, and so |f''| ≤ [|u''|·d + 2w·Q1 + Q2 + 2(w·d + Q1)·Q1/d + Q2 + 3·Q1²/d]/d with d = |q|.

Where the curvature under both vehicles is one and the same, the sines do not change at all.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.sidepull import Angles
from consist.track import Centreline

__all__ = ["SAME_CURVATURE", "Breaks", "angle_slack", "track_breaks"]

Floats = NDArray[np.float64]
SAME_CURVATURE = 1e-10
"""Curvatures (1/mm) nearer than this are one: over a metre they part by less than a tenth of a micron."""


@dataclass(frozen=True)
class Breaks:
    """What happens within each cell between two table points, each field of shape (cells,).

    `least` and `most` are the extremes of the signed curvature (1/mm). `grade_bend` is how far a height may
    stray from a straight line (mm). `curve_rise`, `curve_fall` are how far the unsigned curvature may stray up
    and down (1/mm).
    """

    least: Floats
    most: Floats
    grade_bend: Floats
    curve_rise: Floats
    curve_fall: Floats

    @property
    def sharpest(self) -> Floats:
        """The greatest unsigned curvature within each cell."""
        return np.maximum(np.abs(self.least), np.abs(self.most))


def track_breaks(track: Centreline, places_mm: Floats) -> Breaks:
    """The breaks of a route within the cells of evenly spaced table points `places_mm`."""
    step = float(places_mm[1] - places_mm[0])
    cells = len(places_mm) - 1
    curvature = track.at(places_mm).curvature
    least, most = np.minimum(curvature[:-1], curvature[1:]), np.maximum(curvature[:-1], curvature[1:])
    grade_bend, rise, fall = np.zeros(cells), np.zeros(cells), np.zeros(cells)
    joints = track.joints
    before, after = joints.curvature_before, joints.curvature_after
    # a joint on a table point belongs to the cells on both sides of it
    for shift in (-1e-6, 1e-6):
        cell = np.floor((joints.distance_mm - places_mm[0]) / step + shift).astype(np.intp)
        cell = np.clip(cell, 0, cells - 1)
        np.minimum.at(least, cell, np.minimum(before, after))
        np.maximum.at(most, cell, np.maximum(before, after))
    cell = np.clip(np.floor((joints.distance_mm - places_mm[0]) / step).astype(np.intp), 0, cells - 1)
    np.add.at(grade_bend, cell, 0.25 * step * np.abs(joints.grade_after - joints.grade_before))
    kink = 0.25 * step * (np.abs(joints.sharpening_before) + np.abs(joints.sharpening_after))
    jump = np.abs(after) - np.abs(before)
    np.add.at(rise, cell, np.maximum(jump, 0.0) + kink)
    np.add.at(fall, cell, np.maximum(-jump, 0.0) + kink)
    return Breaks(least, most, grade_bend, rise, fall)


def angle_slack(
    angles: Angles,
    first: NDArray[np.intp],
    curvature: Floats,
    step_mm: float,
    ahead: tuple[float, float],
    behind: tuple[float, float],
) -> Floats:
    """How far a coupling's sines may stray from a straight line between table points.

    `angles` holds fields of shape (points,) and `first` the numbers of the points that begin the cells asked
    for, of shape (cells,), as is `curvature`, the sharpest under the two vehicles (1/mm), and the answer. `ahead`
    and `behind` are each vehicle's pivot distance and spacing of trucks (mm).
    """
    turn, bend = np.zeros_like(curvature), np.zeros_like(curvature)
    gap_bend = 2.0 * curvature
    for pivot, centers in (ahead, behind):
        axis_turn, axis_bend = _axis_turn(curvature, centers)
        gap_bend += pivot * axis_bend
        turn, bend = np.maximum(turn, axis_turn), np.maximum(bend, axis_bend)
    after = first + 1
    step_x, step_y = angles.gap_x[after] - angles.gap_x[first], angles.gap_y[after] - angles.gap_y[first]
    gap_turn = np.sqrt(step_x * step_x + step_y * step_y) / step_mm + gap_bend * step_mm
    least_gap = np.minimum(angles.gap_mm[first], angles.gap_mm[after])
    gap = np.maximum(least_gap - 0.5 * gap_turn * step_mm, 0.5 * least_gap)
    second = (
        bend * gap
        + 2.0 * turn * gap_turn
        + 2.0 * gap_bend
        + 2.0 * (turn * gap + gap_turn) * gap_turn / gap
        + 3.0 * gap_turn**2 / gap
    ) / gap
    strays: Floats = second * (step_mm**2 / 8.0)
    return strays


def _axis_turn(curvature: Floats, truck_centers_mm: float) -> tuple[Floats, Floats]:
    """Bounds on the first and second derivative of an axis's unit vector along the track."""
    chord = truck_centers_mm * np.maximum(1.0 - (curvature * truck_centers_mm) ** 2 / 24.0, 0.5)
    first = curvature * truck_centers_mm / chord
    return first, 2.0 * curvature / chord + 3.0 * first**2
