"""What cannot stand: couplings that are asked more than any can give, so that no figure of them means anything.

The strain of a coupling is 1 where one of its two vehicles only just stands: where half the spacing of its trucks is
the radius of the track under it, where it makes the greatest angle with the coupling that any coupler swings to, or
where the gap between the two pivots is as narrow or as wide as it may be of what it is on straight track. The bounds
are those of `consist/unlikely.toml`.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import radians

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.sidepull import NO_GAP_MM
from consist.mechanics.vehicles import Vehicles
from consist.unlikely import bound, bounds

__all__ = ["CAN", "MOST_SWING_DEG", "PLAY", "at_ease", "straight_gap_mm", "strain"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

MOST_SWING_DEG = bound("coupling", "swing_deg")
PLAY = bounds("coupling")
CAN = 1.0 + 1e-9
"""The strain up to which a coupling can stand, rounding left aside."""
AT_EASE = radians(MOST_SWING_DEG - 5.0)
"""The angle up to which a first estimate, exact on slight curves, is taken for sure."""


def at_ease(train: Vehicles, sharpest: float) -> bool:
    """Whether no coupling of a train, or of trains, can come near to a strain of 1 on curves up to that curvature."""
    return sharpest * train.swing_mm < AT_EASE


def straight_gap_mm(train: Vehicles) -> Floats:
    """How far apart the facing pivots are on straight track."""
    setback: Floats = 0.5 * train.length_mm - train.pivot_mm
    return setback[:-1] + setback[1:]


def strain(
    train: Vehicles, axis: Complexes, gap: Complexes, middle_mm: Floats, sharp: Iterable[tuple[float, float, float]]
) -> tuple[Floats, Floats, Floats]:
    """The strain of each coupling by its vehicles' trucks, its angle and its gap.

    `gap` leads from each rear pivot to the front pivot behind it, axes are unit vectors that point forward. Vehicles
    have their middles along the route at `middle_mm`; `sharp` are starts, ends and curvatures (1/mm) of stretches on
    which some cannot stand, and so not above them either.
    """
    trucks = np.zeros(axis.shape)
    for start_mm, end_mm, bend in sharp:
        apart = np.maximum(start_mm - middle_mm, middle_mm - end_mm)
        over = apart < 0.5 * train.length_mm
        np.maximum(trucks, np.where(over, 0.5 * train.truck_centers_mm * bend, 0.0), out=trucks)
    long_mm = np.maximum(np.abs(gap), NO_GAP_MM)
    straight = [-(np.conj(each) * gap).real / long_mm for each in (axis[:-1], axis[1:])]
    angle = np.arccos(np.clip(np.minimum(*straight), -1.0, 1.0))
    usual_mm = straight_gap_mm(train)
    times = np.where(usual_mm > NO_GAP_MM, long_mm / np.maximum(usual_mm, NO_GAP_MM), 1.0)
    return (
        np.maximum(trucks[:-1], trucks[1:]),
        angle / radians(MOST_SWING_DEG),
        np.maximum(times / PLAY.most, PLAY.least / times),
    )
