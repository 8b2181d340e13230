"""Grades as figures for a table."""

from __future__ import annotations

from consist.report.words import NONE

__all__ = ["grade"]


def grade(share: float) -> str:
    """A climb in per cent; a dash where there is none to speak of.

    >>> grade(0.023), grade(0.0001)
    ('2.3', '–')
    """
    figure = f"{100.0 * share:.1f}"
    return figure if float(figure) > 0.0 else NONE
