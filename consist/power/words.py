"""How the planning of power says times, names and shares in its sentences."""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["clock", "in_words", "share"]

DAY_MINUTES = 24 * 60


def clock(minutes: float) -> str:
    """A time of the fast clock.

    >>> clock(640), clock(1450)
    ('10:40', '0:10')
    """
    whole = int(minutes) % DAY_MINUTES
    return f"{whole // 60}:{whole % 60:02d}"


def in_words(names: Sequence[str]) -> str:
    """Names joined for a sentence.

    >>> in_words(["31", "32", "40"])
    '31, 32 and 40'
    """
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def share(use: float) -> str:
    """A use of usable pull in per cent.

    >>> share(0.934)
    '93 %'
    """
    return f"{100.0 * use:.0f} %"
