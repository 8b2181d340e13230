"""What it takes to move a car, and what an engine has left to move it with.

Everything is a share of weight or a force in gram-force; arrays broadcast.
Sources: curve resistance 0.8 lb per short ton per degree (AREA/AREMA, quoted in US Army TR0603 and TI 850-02);
a curve of 1 degree has a radius of 5729.58 ft.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = [
    "car_resistance",
    "curve_share_per_curvature",
    "degrees_of_curve",
    "engine_shares",
    "usable_pull",
]

Floats = NDArray[np.float64]
FEET_AT_ONE_DEGREE = 5729.58
CURVE_SHARE_PER_DEGREE = 0.0004
MM_PER_FOOT = 304.8


def degrees_of_curve(radius_mm: float, ratio: float) -> float:
    """Degrees of curve of a model's curve, its radius scaled up to the prototype.

    >>> round(degrees_of_curve(24 * 25.4, 87.1), 1)
    32.9
    """
    return FEET_AT_ONE_DEGREE / (radius_mm * ratio / MM_PER_FOOT)


def curve_share_per_curvature(ratio: float) -> float:
    """Curve resistance as a share of weight, for a curvature of 1/mm: in HO 8.02 (mm).

    >>> round(curve_share_per_curvature(87.1), 2)
    8.02
    """
    return CURVE_SHARE_PER_DEGREE * degrees_of_curve(1.0, ratio)


def car_resistance(weight_g: ArrayLike, slope: ArrayLike, rolling: ArrayLike, curve: ArrayLike) -> Floats:
    """Force to keep a car moving, W·(slope + rolling + curve), in gram-force; negative where it runs away.

    >>> float(car_resistance(100.0, 0.02, 0.014, 0.006))
    4.0
    """
    share = np.asarray(slope) + np.asarray(rolling) + np.asarray(curve)
    return np.asarray(np.asarray(weight_g) * share, dtype=np.float64)


def usable_pull(pull_g: ArrayLike, weight_g: ArrayLike, slope: ArrayLike, curve: ArrayLike) -> Floats:
    """What an engine has for the cars, pull − W·(slope + curve), `pull_g` being net of the house's reserve.

    >>> float(usable_pull(100.0, 500.0, 0.02, 0.0))
    90.0
    """
    share = np.asarray(slope) + np.asarray(curve)
    return np.asarray(np.asarray(pull_g) - np.asarray(weight_g) * share, dtype=np.float64)


def engine_shares(resistance_g: Floats, usable_g: Floats, lead: int = 0) -> Floats:
    """The pull each engine gives so that together they give the train's resistance.

    `resistance_g` is of shape (heads,), `usable_g` (engines, heads); so is the answer. Each engine gives the same
    share of its usable pull, which is over 1 where the train is short of power. Where the train would run away,
    or the engines have no usable pull at all, the lead engine takes all of it.
    """
    total = usable_g.sum(axis=0)
    shared = (resistance_g > 0.0) & (total > 0.0)
    share = np.where(shared, resistance_g / np.where(total > 0.0, total, 1.0), 0.0)
    pulls: Floats = usable_g * share
    pulls[lead] += np.where(shared, 0.0, resistance_g)
    return pulls
