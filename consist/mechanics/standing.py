"""Where vehicles stand on a route, exactly: the axes they take in plan, and what the track asks of them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.sidepull import Angles, Axes, axes, coupling_angles
from consist.mechanics.vehicles import Vehicles
from consist.track import Centreline

__all__ = ["angles_at", "axes_at", "track_share_at"]

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]


def axes_at(train: Vehicles, vehicle: Indices, track: Centreline, heads_mm: Floats) -> Axes:
    """Axes of vehicles, by number, each with the train's head at one of `heads_mm`; all of one shape."""
    middle = heads_mm - train.middle_mm[vehicle]
    half = 0.5 * train.truck_centers_mm[vehicle]
    front, rear = track.at(middle + half), track.at(middle - half)
    return axes(front.x, front.y, rear.x, rear.y)


def angles_at(train: Vehicles, coupling: Indices, track: Centreline, heads_mm: Floats) -> Angles:
    """How couplings stand, each behind the vehicle of its number, with the head at one of `heads_mm`."""
    ahead, behind = (axes_at(train, coupling + k, track, heads_mm) for k in (0, 1))
    return coupling_angles(ahead, behind, train.pivot_mm[coupling], train.pivot_mm[coupling + 1])


def track_share_at(train: Vehicles, track: Centreline, heads_mm: Floats, curve_share: float) -> Floats:
    """Slope plus curve resistance under each vehicle as a share of weight, of shape (vehicles, heads).

    `heads_mm` is of shape (heads,); `curve_share` is the curve resistance for a curvature of 1/mm.
    """
    half = 0.5 * train.truck_centers_mm[:, None]
    middle = heads_mm[None, :] - train.middle_mm[:, None]
    front_z, front_bend = track.profile(middle + half)
    rear_z, rear_bend = track.profile(middle - half)
    share: Floats = (front_z - rear_z) / (2.0 * half) + 0.5 * curve_share * (front_bend + rear_bend)
    return share
