"""How the planning of power says times in its sentences."""

from __future__ import annotations

__all__ = ["clock"]

DAY_MINUTES = 24 * 60


def clock(minutes: float) -> str:
    """A time of the fast clock.

    >>> clock(640), clock(1450)
    ('10:40', '0:10')
    """
    whole = int(minutes) % DAY_MINUTES
    return f"{whole // 60}:{whole % 60:02d}"
