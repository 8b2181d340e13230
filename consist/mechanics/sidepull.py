"""How couplings stand to their vehicles on a curve, what their pull does to a car, and what a car bears of it.

Both limits, where a car tips about a rail and where a flange climbs, are shares of weight. Sources: Nadal (1908) for
the flange; tipping is elementary statics. NMRA RP-25 gives no flange angle, so that the angle and the friction are
the house's own assumptions.

The side of a vehicle is its own left: a side pull to the left is positive. All functions take arrays that broadcast.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, radians, tan

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.vehicles import Vehicles

__all__ = [
    "Bearing",
    "Limits",
    "bearing",
    "climb_limit",
    "coupling_sines",
    "nadal",
    "side_limits",
    "side_use",
    "tip_limit",
]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

NO_GAP_MM = 1e-6
"""Pivots that fall together pull no way in particular."""


@dataclass(frozen=True)
class Limits:
    """The two limits, as shares of a car's weight (tip) and of one truck's half of it (climb).

    The second may be one for each of several trains, of shape (trains, 1).
    """

    tip: float
    climb: float | Floats


def nadal(flange_angle_deg: float, friction: float) -> float:
    """Nadal's limit of sideways over downward force at a wheel: (tan δ − μ)/(1 + μ·tan δ).

    >>> round(nadal(75.0, 0.5), 2), round(nadal(63.0, 0.5), 2)
    (1.13, 0.74)
    """
    slope = tan(radians(flange_angle_deg))
    return (slope - friction) / (1.0 + friction * slope)


def tip_limit(gauge_mm: float, coupler_height_mm: float) -> float:
    """Side pull over weight at which a car tips about a rail: G/2h.

    >>> round(tip_limit(16.5, 9.93), 3)
    0.831
    """
    return gauge_mm / (2.0 * coupler_height_mm)


def climb_limit(nadal_limit: float, gauge_mm: float, coupler_height_mm: float) -> float:
    """Side force on a truck over its share of weight at which a flange climbs: (λ/2)/(1 − λh/G).

    The side pull at height h also loads the outer wheel less and the inner one more. Where λh/G reaches 1 the
    car tips first and there is no climbing limit: the answer is infinite.

    >>> climb_limit(2.0, 16.5, 9.93)
    inf
    """
    tipping_share = nadal_limit * coupler_height_mm / gauge_mm
    if tipping_share >= 1.0:
        return inf
    return (nadal_limit / 2.0) / (1.0 - tipping_share)


def side_limits(gauge_mm: float, coupler_height_mm: float, flange_angle_deg: float, friction: float) -> Limits:
    """Both limits for a scale's gauge and coupler height and the house's flange."""
    return Limits(
        tip=tip_limit(gauge_mm, coupler_height_mm),
        climb=climb_limit(nadal(flange_angle_deg, friction), gauge_mm, coupler_height_mm),
    )


def coupling_sines(
    rear_pivot: Complexes, axis: Complexes, front_pivot: Complexes, next_axis: Complexes
) -> tuple[Floats, Floats]:
    """The sines of the angles that a coupling makes with the axes of the vehicles ahead of it and behind.

    A coupling lies on the line between the facing pivots, x + iy in mm; axes are unit vectors pointing forward. The
    first is the share of its tension that pulls the rear end of the vehicle ahead to its left, the second that which
    pulls the front end of the vehicle behind to its left.
    """
    gap = front_pivot - rear_pivot
    each = 1.0 / np.maximum(np.abs(gap), NO_GAP_MM)
    ahead = (np.conj(axis) * gap).imag
    behind = (np.conj(gap) * next_axis).imag
    ahead *= each
    behind *= each
    return ahead, behind


@dataclass(frozen=True)
class Bearing:
    """What cars bear sideways, each field of shape (vehicles, ...): use is
    max(`whole`·|sum|, `truck`·|sum| + `twist`·|difference|), of the side pulls at the two ends.

    The greater of the two trucks' loads is (|sum| + 2e/B·|difference|)/2, since they add up to the sum and differ by
    2e/B of the difference.
    """

    whole: Floats
    truck: Floats
    twist: Floats


def bearing(train: Vehicles, limits: Limits) -> Bearing:
    """What each vehicle of a train bears; that of its engines means nothing.

    A car with its couplers on the body tips as a whole or a flange climbs at one truck; with them on the trucks each
    truck bears its own coupler's pull alone, tips alone, and has half the weight for either.
    """
    weight_g = np.where(train.weight_g > 0.0, train.weight_g, np.inf)
    tip, climb = 1.0 / (weight_g * limits.tip), 1.0 / (weight_g * limits.climb)
    lever = np.where(train.on_truck, 1.0, 2.0 * train.pivot_mm / train.truck_centers_mm)
    truck = np.where(train.on_truck, np.maximum(tip, climb), climb)
    return Bearing(np.where(train.on_truck, 0.0, tip), truck, truck * lever)


def side_use(front_pull: Floats, rear_pull: Floats, bears: Bearing) -> Floats:
    """The larger share used up by side pulls (gram-force) at cars' ends of what they bear: 1 is the limit."""
    along, across = np.abs(front_pull + rear_pull), np.abs(front_pull - rear_pull)
    across *= bears.twist
    across += bears.truck * along
    along *= bears.whole
    use: Floats = np.maximum(along, across, out=along)
    return use
