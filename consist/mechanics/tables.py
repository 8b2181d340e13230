"""What a route does to vehicles and couplings, worked out once and looked up after.

What two coupled vehicles do to each other at a place on the route depends on their own dimensions alone, not on
the train they stand in; nor does the slope and curve under a vehicle. Both are tabled at even steps along the
route, once for each size of vehicle or pair of sizes. Heads taken at the same even steps then meet every
vehicle's table at one fixed fraction of a step, so that a train's figures are sums of table rows.

With each table goes a bound on what it may miss between two of its points; `bounds` derives them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import bounds
from consist.mechanics.sidepull import Axes, axes, coupling_angles
from consist.mechanics.vehicles import Vehicles
from consist.track import Centreline

__all__ = ["PairTable", "RouteTables", "ShareTable"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class ShareTable:
    """For one spacing of trucks: what the track asks as a share of weight, at middles along the route.

    `share` is of shape (points,). `rises` and `falls`, of shape (points,), bound how far it leaps up and down in all
    from one point before to two points after each point.
    """

    share: Floats
    rises: Floats
    falls: Floats


@dataclass(frozen=True)
class PairTable:
    """For one pair of sizes: sines of a coupling's angles, at places of the coupling along the route.

    `ahead`, `behind` and `slack` are of shape (points,); `slack` bounds how far either sine strays from a
    straight line of interpolated values from each point to two points after. `most_slack` and `most_step` are
    the greatest slack and the greatest change of a sine from point to point anywhere.
    """

    ahead: Floats
    behind: Floats
    slack: Floats
    most_slack: float
    most_step: float


class RouteTables:
    """The tables of one route, filled as they are asked for.

    `reach_mm` is the length of the longest train that will stand behind the start of the route, and `longest_mm`
    that of the longest vehicle in it. `curve_share` is the curve resistance for a curvature of 1/mm.
    """

    def __init__(
        self, track: Centreline, curve_share: float, step_mm: float, reach_mm: float, longest_mm: float
    ) -> None:
        self.track = track
        self.curve_share = curve_share
        self.step_mm = step_mm
        self._behind = int(np.ceil((reach_mm + 3.0 * longest_mm) / step_mm)) + 8
        ahead = int(np.ceil((track.length_mm + 3.0 * longest_mm) / step_mm)) + 8
        self.places_mm = step_mm * np.arange(-self._behind, ahead, dtype=np.float64)
        points = track.at(self.places_mm)
        self._x, self._y, self._z = points.x, points.y, points.z
        self._step_x, self._step_y = step_mm * np.cos(points.heading), step_mm * np.sin(points.heading)
        self._bend = np.abs(points.curvature)
        self._breaks = bounds.track_breaks(track, self.places_mm)
        self._find_curves(longest_mm)
        self._shares: dict[float, ShareTable] = {}
        self._pairs: dict[tuple[float, ...], PairTable] = {}
        self._axes_made: dict[tuple[float, float], Axes] = {}

    def _find_curves(self, longest_mm: float) -> None:
        """Find the table points at which two vehicles of at most that length may feel a curve.

        `_curved` lists them, `_sharpest` is the greatest curvature either may stand on by cell, and `_changing`
        numbers those of them from which on, to the next, that curvature is not the same throughout.
        """
        reach = int(np.ceil(longest_mm / self.step_mm)) + 2
        window = 2 * reach + 1
        least, most = -_greatest_near(-self._breaks.least, reach), _greatest_near(self._breaks.most, reach)
        self._sharpest = np.maximum(np.abs(least), np.abs(most))
        curved = self._sharpest > 0.0
        curved[:window], curved[len(curved) - window :] = False, False
        self._curved = np.flatnonzero(curved)
        adjoining = np.diff(self._curved) == 1
        changing = (most - least > bounds.SAME_CURVATURE)[self._curved[:-1]]
        self._changing = np.flatnonzero(adjoining & changing)

    def lookup(self, distance_mm: float) -> tuple[int, float]:
        """The table point at or before a distance along the route, and the fraction of a step past it."""
        place = self._behind + distance_mm / self.step_mm
        index = int(np.floor(place))
        return index, place - index

    def share(self, truck_centers_mm: float) -> ShareTable:
        """The table for vehicles with that spacing of trucks."""
        table = self._shares.get(truck_centers_mm)
        if table is None:
            table = self._shares[truck_centers_mm] = self._make_share(truck_centers_mm)
        return table

    def pair(self, train: Vehicles, ahead: int, behind: int) -> PairTable:
        """The table for a coupling between two vehicles of a train, by number, the one ahead of the other."""
        sizes = (train.length_mm, train.truck_centers_mm, train.pivot_mm)
        key = tuple(float(size[k]) for k in (ahead, behind) for size in sizes)
        table = self._pairs.get(key)
        if table is None:
            table = self._pairs[key] = self._make_pair(*key)
        return table

    def _make_share(self, truck_centers_mm: float) -> ShareTable:
        half = 0.5 * truck_centers_mm
        front_z, rear_z, front_bend, rear_bend = (
            np.interp(self.places_mm + side, self.places_mm, column)
            for column in (self._z, self._bend)
            for side in (half, -half)
        )
        curve = 0.5 * self.curve_share
        share = (front_z - rear_z) / truck_centers_mm + curve * (front_bend + rear_bend)
        breaks = self._breaks
        rises, falls = (
            self._near_trucks(2.0 * breaks.grade_bend / truck_centers_mm + curve * leaps, half)
            for leaps in (breaks.curve_rise, breaks.curve_fall)
        )
        return ShareTable(share, rises, falls)

    def _near_trucks(self, column: Floats, half_mm: float) -> Floats:
        """Sums of a column of cells over the cells either truck may be in near each table point."""
        # a step before to two steps after is five cells, since a truck stands at a fraction of a step
        five = np.convolve(column, np.ones(5), mode="same")
        points = np.arange(len(self.places_mm)) + 1
        shift = half_mm / self.step_mm
        front = np.take(five, points + int(np.floor(shift)), mode="clip")
        rear = np.take(five, points + int(np.floor(-shift)), mode="clip")
        return front + rear

    def _make_pair(
        self, length: float, centers: float, pivot: float, next_length: float, next_centers: float, next_pivot: float
    ) -> PairTable:
        points = len(self.places_mm)
        ahead, behind, slack = np.zeros(points), np.zeros(points), np.zeros(points)
        here = self._curved
        car, following = self._axes(0.5 * length, centers), self._axes(-0.5 * next_length, next_centers)
        angles = coupling_angles(car, following, pivot, next_pivot)
        ahead[here], behind[here] = angles.ahead, angles.behind
        first = self._changing
        slack[here[first]] = bounds.angle_slack(
            angles, first, self._sharpest[here[first]], self.step_mm, (pivot, centers), (next_pivot, next_centers)
        )
        # a sample strays from the table, and the sine from the line of two samples, once each
        slack[:-1] = 2.0 * np.maximum(slack[:-1], slack[1:])
        most_step = max(float(np.abs(np.diff(sine)).max()) for sine in (ahead, behind))
        return PairTable(ahead, behind, slack, float(slack.max()), most_step)

    def _axes(self, ahead_mm: float, truck_centers_mm: float) -> Axes:
        """Axes of a vehicle whose middle lies `ahead_mm` ahead of each table point near a curve."""
        key = (ahead_mm, truck_centers_mm)
        found = self._axes_made.get(key)
        if found is None:
            half = 0.5 * truck_centers_mm
            found = axes(*self._points(ahead_mm + half), *self._points(ahead_mm - half))
            self._axes_made[key] = found
        return found

    def _points(self, ahead_mm: float) -> tuple[Floats, Floats]:
        """Points of the centreline that far ahead of table points near a curve, by cubic Hermite interpolation.

        On an arc of radius R it is out by step⁴/384R³; across a jump of curvature by jump·step²/32 at most.
        """
        shift = ahead_mm / self.step_mm
        whole = int(np.floor(shift))
        t = shift - whole
        before = self._curved + whole
        after = before + 1
        value0, value1 = (1.0 + 2.0 * t) * (1.0 - t) ** 2, t * t * (3.0 - 2.0 * t)
        slope0, slope1 = t * (1.0 - t) ** 2, t * t * (t - 1.0)
        x, y = (
            value0 * value[before] + value1 * value[after] + slope0 * step[before] + slope1 * step[after]
            for value, step in ((self._x, self._step_x), (self._y, self._step_y))
        )
        return x, y


def _greatest_near(column: Floats, reach: int) -> Floats:
    """The greatest value within `reach` places of each, of shape (places,); past the ends the column is level.

    >>> _greatest_near(np.array([0.0, 0.0, 5.0, 0.0, 0.0]), 1)
    array([0., 5., 5., 5., 0.])
    """
    greatest = np.pad(column, reach, mode="edge")
    # each round doubles how far ahead every place has looked
    looked, wanted = 1, 2 * reach + 1
    while looked < wanted:
        step = min(looked, wanted - looked)
        greatest = np.maximum(greatest[: len(greatest) - step], greatest[step:])
        looked += step
    return greatest
