"""A plot area with its axes and ticks."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, floor

import numpy as np
from numpy.typing import ArrayLike

from consist.report.charts.drawing import Along, Floats, Sheet
from consist.report.charts.palette import FAINT, INK, MUTED
from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH
from consist.wording import Units

__all__ = ["BASELINE", "Plot", "length_unit", "scale_bar", "weight_unit"]

ROUND_FIGURES = [times * 10.0**power for power in range(-24, 25) for times in (1.0, 2.0, 5.0)]
BASELINE = 3.2
"""From the middle of a line of text down to its baseline."""
MOST_ACROSS = 7  # ticks
TICK_GAP = 11.0
"""From an axis down to the baseline of its figures."""


@dataclass(frozen=True)
class Plot:
    """An area of the sheet, y down; `low` and `high` are the figures at its left and right, or bottom and top."""

    left: float
    top: float
    right: float
    bottom: float
    x_low: float
    x_high: float
    y_low: float = 0.0
    y_high: float = 1.0

    def x(self, value: ArrayLike) -> Floats:
        """Where a figure lies across the sheet."""
        share = (np.asarray(value, dtype=np.float64) - self.x_low) / (self.x_high - self.x_low)
        return np.asarray(self.left + share * (self.right - self.left))

    def y(self, value: ArrayLike) -> Floats:
        """Where a figure lies down the sheet."""
        share = (np.asarray(value, dtype=np.float64) - self.y_low) / (self.y_high - self.y_low)
        return np.asarray(self.bottom - share * (self.bottom - self.top))

    def points(self, x: ArrayLike, y: ArrayLike) -> Floats:
        """Points of the sheet, of shape (points, 2)."""
        return np.stack([self.x(x), self.y(y)], axis=-1)

    def along(self, route_mm: float) -> Along:
        """The area for a marker along the route; the x axis must run over it from its start to its end."""
        return Along(self.left, self.top, self.right, self.bottom, route_mm)

    @property
    def middle(self) -> float:
        """Halfway between its sides."""
        return 0.5 * (self.left + self.right)

    def x_axis(self, sheet: Sheet, units: Units, label: str) -> None:
        """Ticks at round figures of the unit of long distances with their figures below, then the label."""
        foot = self.bottom
        ticks = [
            (float(self.x(at)), words) for at, words in _ticks(self.x_low, self.x_high, units.far_unit, MOST_ACROSS)
        ]
        sheet.line(
            [[(self.left, foot), (self.right, foot)], *([(x, foot), (x, foot + 2.5)] for x, _ in ticks)], INK, 0.6
        )
        for x, words in ticks:
            sheet.text(x, foot + TICK_GAP, words, anchor="center", color=MUTED)
        sheet.text(self.middle, foot + 2 * TICK_GAP, label, anchor="center", color=MUTED)

    def y_axis(self, sheet: Sheet, unit: tuple[str, float], most: int = 5) -> None:
        """Faint lines at round figures of a unit, with their figures to the left."""
        ticks = [(float(self.y(at)), words) for at, words in _ticks(self.y_low, self.y_high, unit, most)]
        sheet.line([[(self.left, y), (self.right, y)] for y, _ in ticks], FAINT, 0.5)
        for y, words in ticks:
            sheet.text(self.left - 4.0, y + BASELINE, words, anchor="right", color=MUTED)


def _ticks(low: float, high: float, unit: tuple[str, float], most: int) -> Iterator[tuple[float, str]]:
    """Round figures of a unit from `low` to `high`, both within, and their words; at most about `most` of them."""
    _, size = unit
    low, high = low / size, high / size
    slack = 1e-9 * max(abs(low), abs(high), 1e-9)
    least = max((high - low) / most, slack)
    step = ROUND_FIGURES[bisect_left(ROUND_FIGURES, least * (1.0 - 1e-9))]
    first, last = ceil((low - slack) / step), floor((high + slack) / step)
    for figure in (step * number for number in range(first, last + 1)):
        yield figure * size, figure_words(figure)


def scale_bar(per: float, most: float, unit: tuple[str, float]) -> tuple[float, str]:
    """The greatest round figure of a unit, by its name and its size, that is drawn no longer than `most`.

    Returns how long it is drawn, `per` being the length drawn for a size of 1, and its words.

    >>> scale_bar(1.0, 7.3, ("g", 1.0)), scale_bar(2.0, 0.5, ("m", 1.0))
    ((5.0, '5 g'), (0.4, '0.2 m'))
    """
    name, size = unit
    figure = ROUND_FIGURES[bisect_right(ROUND_FIGURES, most / per / size * (1.0 + 1e-9)) - 1]
    return figure * size * per, f"{figure_words(figure)} {name}"


def length_unit(units: Units) -> tuple[str, float]:
    """The unit of lengths of vehicles and of heights, and how many mm it has."""
    return units.length_unit, MM_PER_INCH if units.inches else 1.0


def weight_unit(units: Units) -> tuple[str, float]:
    """The unit of weights and forces, and how many grams it has."""
    return units.name, GRAMS_PER_OUNCE if units.inches else 1.0


def figure_words(value: float) -> str:
    """A round figure as an axis shows it.

    >>> figure_words(-2.5), figure_words(-0.0), figure_words(1200.0)
    ('−2.5', '0', '1200')
    """
    return f"{value + 0.0:g}".replace("-", "−")
