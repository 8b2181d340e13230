"""Lengths held against each other and against limits, in one place, so that what just fits fits everywhere.

A figure written in inches and the same in millimetres differ in their last binary digit, and a train's length is a
sum of many. Such a difference is nobody's measurement.
"""

from __future__ import annotations

__all__ = ["AS_LONG_MM", "longer", "shorter"]

AS_LONG_MM = 0.05
"""Lengths no further apart than this are the same: a hobbyist's rule is read to half a millimetre, and the play of
one coupler is more. Common practice, no source."""


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
