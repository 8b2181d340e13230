"""Engines and cars, and what scale and house set."""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = ["House", "Vehicle", "curve_share", "limits", "pivot_mm"]


@dataclass(frozen=True)
class Vehicle:
    """An engine (`pull_g` as measured, before any reserve) or a car (`rolling` as a share of weight).

    An engine gives `part` times as large a share of what it can as one whose part is 1.
    """

    length_mm: float
    truck_centers_mm: float
    weight_g: float
    mount: str = "body"
    rolling: float = 0.0
    engine: bool = False
    pull_g: float = 0.0
    part: float = 1.0


@dataclass(frozen=True)
class House:
    """What the scale and the house set: lengths in mm, reserve as a share, the flange's angle in degrees."""

    ratio: float = 87.1
    gauge_mm: float = 16.5
    coupler_height_mm: float = 9.93
    reserve: float = 0.15
    flange_angle_deg: float = 60.0
    flange_friction: float = 0.4
    flange_drag: float = 0.03
    curve_share_per_degree: float = 0.0004


def limits(house: House) -> tuple[float, float]:
    """The tipping limit and the climbing limit (infinite where the car tips first), as shares of weight."""
    tangent = math.tan(math.radians(house.flange_angle_deg))
    nadal = (tangent - house.flange_friction) / (1.0 + house.flange_friction * tangent)
    lever = nadal * house.coupler_height_mm / house.gauge_mm
    climb = math.inf if lever >= 1.0 else (nadal / 2.0) / (1.0 - lever)
    return house.gauge_mm / (2.0 * house.coupler_height_mm), climb


def curve_share(house: House, curvature: float) -> float:
    """What a curve adds, as a share of weight: 0.0004 a degree, 5729.58 ft of full-size radius being one degree."""
    if curvature == 0.0:
        return 0.0
    full_size_feet = house.ratio / curvature / 304.8
    return house.curve_share_per_degree * 5729.58 / full_size_feet


def pivot_mm(vehicle: Vehicle, house: House) -> float:
    """How far a vehicle's coupler pivots lie from its middle."""
    if vehicle.mount == "truck":
        return vehicle.truck_centers_mm / 2.0
    return vehicle.length_mm / 2.0 - 8.9 * 87.1 / house.ratio
