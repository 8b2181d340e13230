"""Lengths and weights held against each other and against limits, so that what just fits fits everywhere.

A figure written in inches or ounces and the same in millimetres or grams differ in their last binary digit, a train's
length is a sum of many, and a bound on a weight is a share of a target that was worked out of inches. Such a
difference is nobody's measurement.
"""

from __future__ import annotations

__all__ = ["AS_HEAVY_G", "AS_LONG_MM", "heavier", "lighter", "longer", "shorter"]

AS_LONG_MM = 0.05
"""Lengths no further apart than this are the same: a hobbyist's rule is read to half a millimetre, and the play of
one coupler is more. Common practice, no source."""
AS_HEAVY_G = 0.001
"""Weights no further apart than this are the same: far over what binary digits lose, and a tenth of the least that a
fine scale shows. A small car of Z weighs 5 g, and a thousandth of that is still a difference. Our own choice."""


def longer(mm: float, limit_mm: float) -> bool:
    """Whether a length is over a limit, both in millimetres, by more than `AS_LONG_MM`.

    >>> longer(609.6, 24 * 25.4), longer(24 * 25.4, 609.6), longer(609.7, 24 * 25.4)
    (False, False, True)
    """
    return mm > limit_mm + AS_LONG_MM


def shorter(mm: float, limit_mm: float) -> bool:
    """Whether a length is under a limit, both in millimetres, by more than `AS_LONG_MM`.

    >>> shorter(24 * 25.4, 609.6), shorter(609.5, 24 * 25.4)
    (False, True)
    """
    return longer(limit_mm, mm)


def heavier(g: float, limit_g: float) -> bool:
    """Whether a weight is over a limit, both in grams, by more than `AS_HEAVY_G`.

    >>> heavier(0.1 + 0.2, 0.3), heavier(100.1, 100.0)
    (False, True)
    """
    return g > limit_g + AS_HEAVY_G


def lighter(g: float, limit_g: float) -> bool:
    """Whether a weight is under a limit, both in grams, by more than `AS_HEAVY_G`.

    >>> lighter(0.9 * 28.35, 28.35 - 0.1 * 28.35), lighter(99.9, 100.0)
    (False, True)
    """
    return heavier(limit_g, g)
