"""What it takes to move a car, and what an engine has left to move it with.

Everything is a share of weight or a force in gram-force; arrays broadcast.
Sources: curve resistance 0.8 lb per short ton per degree (AREA/AREMA, quoted in US Army TR0603 and TI 850-02);
a curve of 1 degree has a radius of 5729.58 ft.
"""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "car_resistance",
    "curve_share_per_curvature",
    "degrees_of_curve",
    "holding_pull",
    "usable_pull",
]

Values = TypeVar("Values", float, NDArray[np.float64])
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


def car_resistance(weight_g: Values, track_share: Values, rolling: Values) -> Values:
    """Force to keep a car moving, W·(slope + curve + rolling), in gram-force; negative where it runs away.

    `track_share` is slope plus curve resistance as a share of weight. What side loads cost a car comes on top.

    >>> car_resistance(100.0, 0.026, 0.014)
    4.0
    """
    return weight_g * (track_share + rolling)


def usable_pull(pull_g: Values, weight_g: Values, track_share: Values) -> Values:
    """What an engine has left for its train, P - W·(slope + curve), in gram-force.

    `pull_g` is its level pull net of the reserve.

    >>> usable_pull(85.0, 400.0, 0.02)
    77.0
    """
    return pull_g - weight_g * track_share


def holding_pull(pull_g: Values, weight_g: Values, track_share: Values) -> Values:
    """What an engine can hold back of its train, P + W·(slope + curve), in gram-force.

    Geared engines do not roll freely, so that they hold by the same grip as they pull by.

    >>> holding_pull(85.0, 400.0, -0.02)
    77.0
    """
    return pull_g + weight_g * track_share
