"""A plot area with its axes and ticks, and the key of a picture."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from consist.report.charts.drawing import Along, Sheet, boxes_path, circle_path, lines_path, pointer_path
from consist.report.charts.palette import FAINT, INK, MUTED, SHADES, Levels, Shade
from consist.report.lettering import shortened, width_of

__all__ = [
    "BASELINE",
    "Entry",
    "Key",
    "Plot",
    "figure_words",
    "head_entry",
    "level_entries",
    "line_entry",
    "ring_entry",
    "round_ticks",
    "round_under",
    "swatch_entry",
    "words_entry",
]

Floats = NDArray[np.float64]
ROUND_STEPS = (1.0, 2.0, 5.0)
BASELINE = 3.2
"""From the middle of a line of text down to its baseline."""
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

    def x_axis(
        self, sheet: Sheet, unit_size: float, label: str, most: int = 7, grid_top: float | None = None
    ) -> None:
        """Ticks at round figures of a unit with their figures below, then the label."""
        ticks = round_ticks(self.x_low / unit_size, self.x_high / unit_size, most)
        at = self.x(ticks * unit_size)
        top = self.bottom if grid_top is None else grid_top
        sheet.line(lines_path([[(x, top), (x, self.bottom)] for x in at]), FAINT, 0.5)
        axis = [[(self.left, self.bottom), (self.right, self.bottom)]]
        sheet.line(lines_path([*axis, *([(x, self.bottom), (x, self.bottom + 2.5)] for x in at)]), INK, 0.6)
        for value, x in zip(ticks, at, strict=True):
            sheet.text(float(x), self.bottom + TICK_GAP, figure_words(value), anchor="center", color=MUTED)
        sheet.text(0.5 * (self.left + self.right), self.bottom + 2 * TICK_GAP, label, anchor="center", color=MUTED)

    def y_axis(self, sheet: Sheet, unit_size: float, most: int = 5) -> None:
        """Faint lines at round figures of a unit, with their figures to the left."""
        ticks = round_ticks(self.y_low / unit_size, self.y_high / unit_size, most)
        at = self.y(ticks * unit_size)
        sheet.line(lines_path([[(self.left, y), (self.right, y)] for y in at]), FAINT, 0.5)
        for value, y in zip(ticks, at, strict=True):
            sheet.text(self.left - 4.0, float(y) + BASELINE, figure_words(value), anchor="right", color=MUTED)


def round_ticks(low: float, high: float, most: int) -> Floats:
    """Round figures from `low` to `high`, both within, at most about `most` of them."""
    slack = 1e-9 * max(abs(low), abs(high), 1e-9)
    least = max((high - low) / most, slack)
    power = 10.0 ** np.floor(np.log10(least))
    step = next(times * power for times in (*ROUND_STEPS, 10.0) if times * power >= least * (1.0 - 1e-9))
    first, last = np.ceil((low - slack) / step), np.floor((high + slack) / step)
    return np.asarray(step * np.arange(first, last + 1.0), dtype=np.float64)


def round_under(most: float) -> float:
    """The greatest of 1, 2, 5, 10, ... (and 0.5, 0.2, ...) that is no more than `most`.

    >>> round_under(7.3), round_under(0.25)
    (5.0, 0.2)
    """
    power = float(10.0 ** np.floor(np.log10(most)))
    return max(step * power for step in ROUND_STEPS if step * power <= most * (1.0 + 1e-9))


def figure_words(value: float) -> str:
    """A round figure as an axis shows it.

    >>> figure_words(-2.5), figure_words(-0.0), figure_words(1200.0)
    ('−2.5', '0', '1200')
    """
    return f"{value + 0.0:g}".replace("-", "−")


LINE = 13.0
SIGN = 16.0
"""The width of a sign, its gap to the words included."""
APART = 10.0
SWATCH_WIDTH, SWATCH_HEIGHT = 12.0, 8.0
SignDrawer = Callable[[Sheet, float, float], None]


@dataclass(frozen=True)
class Entry:
    """A sign, drawn with its left end at x and its middle at y, and its words."""

    words: str
    sign: SignDrawer | None = None

    @property
    def sign_width(self) -> float:
        """What the sign takes before the words."""
        return SIGN if self.sign is not None else 0.0


class Key:
    """Entries set one after another in lines of a width."""

    def __init__(self, entries: Sequence[Entry], width: float) -> None:
        self._width = width
        self._placed: list[tuple[float, int, Entry]] = []
        x, line = 0.0, 0
        for entry in entries:
            size = min(entry.sign_width + width_of(entry.words), width)
            if x > 0.0 and x + size > width:
                x, line = 0.0, line + 1
            self._placed.append((x, line, entry))
            x += size + APART
        self.height = LINE * (line + 1) if entries else 0.0

    def draw(self, sheet: Sheet, left: float, top: float) -> None:
        """Draw the key with its top left corner there."""
        for across, line, entry in self._placed:
            x, middle = left + across, top + (line + 0.5) * LINE
            if entry.sign is not None:
                entry.sign(sheet, x, middle)
            room = self._width - across - entry.sign_width
            sheet.text(x + entry.sign_width, middle + 3.2, shortened(entry.words, room))


def swatch_entry(shade: Shade, words: str) -> Entry:
    """A patch of a shade."""

    def sign(sheet: Sheet, x: float, y: float) -> None:
        box = (x, y - SWATCH_HEIGHT / 2, x + SWATCH_WIDTH, y + SWATCH_HEIGHT / 2)
        sheet.shape(boxes_path([box]), shade, edge=FAINT, width=0.5)

    return Entry(words, sign)


def level_entries(levels: Levels, *uses: float) -> list[Entry]:
    """The levels of side use, from the least to the most."""
    return [swatch_entry(shade, words) for shade, words in zip(SHADES, levels.legend(*uses), strict=True)]


def ring_entry(words: str) -> Entry:
    """The ring around what is pointed out."""

    def sign(sheet: Sheet, x: float, y: float) -> None:
        sheet.line(circle_path(x + SWATCH_WIDTH / 2, y, 4.5), INK, 1.5)

    return Entry(words, sign)


def head_entry(words: str) -> Entry:
    """The mark of the head end."""

    def sign(sheet: Sheet, x: float, y: float) -> None:
        sheet.shape(pointer_path(x + SWATCH_WIDTH / 2, y + 3.5), Shade(INK))

    return Entry(words, sign)


def line_entry(words: str, color: str, width: float, dashes: tuple[float, float] | None = None) -> Entry:
    """A line of its ink and width."""

    def sign(sheet: Sheet, x: float, y: float) -> None:
        sheet.line(lines_path([[(x, y), (x + SWATCH_WIDTH, y)]]), color, width, dashes=dashes)

    return Entry(words, sign)


def words_entry(words: str) -> Entry:
    """Words alone."""
    return Entry(words)
