"""Weights held against each other and against limits, in one place, so that what is just enough is enough everywhere.

A weight written in ounces and the same in grams differ in their last binary digit, and a bound is a share of a target
that was itself worked out of inches. Such a difference is on nobody's scale.
"""

from __future__ import annotations

__all__ = ["AS_HEAVY_G", "heavier", "lighter"]

AS_HEAVY_G = 0.001
"""Weights no further apart than this are the same: far over what binary digits lose, and a tenth of the least that a
fine scale shows. A small car of Z weighs 5 g, and a thousandth of that is still a difference. Our own choice."""


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
