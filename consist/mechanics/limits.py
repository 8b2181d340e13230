"""What a car's wheels can bear sideways: where it tips about a rail, and where a flange climbs.

Both limits are shares of weight. Sources: Nadal (1908) for the flange; tipping is elementary statics. NMRA RP-25
gives no flange angle, so the angle and friction are the house's own assumptions.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, radians, tan

__all__ = ["Limits", "climb_limit", "nadal", "side_limits", "tip_limit"]


@dataclass(frozen=True)
class Limits:
    """The two limits, as shares of a car's weight (tip) and of one truck's half of it (climb)."""

    tip: float
    climb: float


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
