"""How couplings stand to their cars on a curve, and what that does to the trucks.

All functions take arrays of one shape and return the same. The side of a car is its own left: a side pull to
the left is positive.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.limits import Limits

__all__ = ["Angles", "Axes", "axes", "coupling_angles", "side_use", "side_use_within", "truck_loads"]

Floats = NDArray[np.float64]
Values = Floats | float


@dataclass(frozen=True)
class Axes:
    """Vehicles' axes in plan: middles (mm) and unit vectors pointing forward."""

    x: Floats
    y: Floats
    forward_x: Floats
    forward_y: Floats

    def __getitem__(self, which: slice) -> Axes:
        return Axes(self.x[which], self.y[which], self.forward_x[which], self.forward_y[which])

    def along(self, distance_mm: Values) -> tuple[Floats, Floats]:
        """Points on the axes, that far ahead of the middle."""
        return self.x + distance_mm * self.forward_x, self.y + distance_mm * self.forward_y


@dataclass(frozen=True)
class Angles:
    """How a coupling stands to the two vehicles it joins, as sines.

    `ahead` is the share of the coupling's tension that pulls the rear end of the vehicle ahead to its left,
    `behind` the share that pulls the front end of the vehicle behind to its left. `gap_x`, `gap_y` and `gap_mm`
    lead from the pivot of the vehicle ahead to that of the one behind.
    """

    ahead: Floats
    behind: Floats
    gap_x: Floats
    gap_y: Floats
    gap_mm: Floats


def axes(front_x: Floats, front_y: Floats, rear_x: Floats, rear_y: Floats) -> Axes:
    """The axes of vehicles from the points of the centreline under their front and rear trucks."""
    along_x, along_y = front_x - rear_x, front_y - rear_y
    chord = np.sqrt(along_x * along_x + along_y * along_y)
    return Axes(0.5 * (front_x + rear_x), 0.5 * (front_y + rear_y), along_x / chord, along_y / chord)


def coupling_angles(ahead: Axes, behind: Axes, ahead_pivot_mm: Values, behind_pivot_mm: Floats | float) -> Angles:
    """How couplings stand to the vehicles ahead of and behind them.

    A coupling lies on the line between the facing pivots, which lie on the axes at `ahead_pivot_mm` behind and
    `behind_pivot_mm` ahead of the middles.
    """
    rear_x, rear_y = ahead.along(-ahead_pivot_mm)
    front_x, front_y = behind.along(behind_pivot_mm)
    gap_x, gap_y = front_x - rear_x, front_y - rear_y
    gap = np.sqrt(gap_x * gap_x + gap_y * gap_y)
    return Angles(
        ahead=(ahead.forward_x * gap_y - ahead.forward_y * gap_x) / gap,
        behind=(behind.forward_y * gap_x - behind.forward_x * gap_y) / gap,
        gap_x=gap_x,
        gap_y=gap_y,
        gap_mm=gap,
    )


def truck_loads(
    front_pull: Values, rear_pull: Values, pivot_mm: Values, truck_centers_mm: Values
) -> tuple[Values, Values]:
    """Side forces that the front and the rear truck carry, from the side pulls at a car's two ends.

    Levers about the trucks: a pull at the front pivot, e ahead of the middle, loads the front truck by
    (e + B/2)/B of itself and the rear truck by (B/2 - e)/B. All arguments broadcast.
    """
    near = (pivot_mm + 0.5 * truck_centers_mm) / truck_centers_mm
    far = 1.0 - near
    return near * front_pull + far * rear_pull, near * rear_pull + far * front_pull


def side_use(
    front_pull: Values,
    rear_pull: Values,
    weight_g: Values,
    pivot_mm: Values,
    truck_centers_mm: Values,
    limits: Limits,
) -> Floats:
    """The larger of a car's two shares used up: of tipping, and of a flange climbing. All arguments broadcast."""
    front_truck, rear_truck = truck_loads(front_pull, rear_pull, pivot_mm, truck_centers_mm)
    on_truck = np.maximum(np.abs(front_truck), np.abs(rear_truck))
    return _used(np.abs(front_pull + rear_pull), on_truck, weight_g, limits)


def side_use_within(
    front_pull: Values,
    rear_pull: Values,
    weight_g: Values,
    pivot_mm: Values,
    truck_centers_mm: Values,
    limits: Limits,
) -> Floats:
    """The most that side pulls of at most these sizes, in either direction, can use. All arguments broadcast."""
    near = (pivot_mm + 0.5 * truck_centers_mm) / truck_centers_mm
    far = np.abs(1.0 - near)
    on_truck = np.maximum(near * front_pull + far * rear_pull, near * rear_pull + far * front_pull)
    return _used(front_pull + rear_pull, on_truck, weight_g, limits)


def _used(on_car: Values, on_truck: Values, weight_g: Values, limits: Limits) -> Floats:
    """The larger share used up of what a car bears by its whole weight and what a truck bears by half of it."""
    use: Floats = np.maximum(on_car / (weight_g * limits.tip), on_truck / (0.5 * weight_g * limits.climb))
    return use
