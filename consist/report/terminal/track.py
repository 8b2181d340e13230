"""Track drawn in text: its height, its curves, a scale, and the names of places under it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from rich.cells import cell_len
from rich.text import Text

from consist.lengths import shorter
from consist.report.terminal.lines import fit
from consist.report.words import clean
from consist.scales import MM_PER_INCH, Scale
from consist.track import Centreline
from consist.wording import Units

__all__ = ["Mark", "Sharpness", "draw", "name_rows"]

Floats = NDArray[np.float64]
EIGHTHS = " ▁▂▃▄▅▆▇█"
CURVES = " ▁▄█"
"""No curve, easy, middling, sharp."""
LEFT, RIGHT = "left", "right"
SAMPLES = 12  # points looked at in each column for its sharpest curve
LEVEL_MM = 0.5
"""Track that rises and falls less than this is drawn level."""
SCARCELY_CURVED = 1e-7  # 1/mm: a radius of 10 km
HO_EASY_IN = 36.0
HO_SHARP_IN = 24.0
"""Radii in HO, the easy at or over the one, the sharp under the other. Common practice, no source."""
LEAST_SCALE_STEP = 7  # columns between two figures of the scale
LONGEST_NAME = 24
APART = 2  # blank columns between two names in a row


@dataclass(frozen=True)
class Sharpness:
    """The radii (mm) that part easy, middling and sharp curves in a scale."""

    easy_mm: float
    sharp_mm: float

    @classmethod
    def of(cls, scale: Scale) -> Sharpness:
        """The radii for a scale, HO's by ratio."""
        return cls(scale.by_ratio(HO_EASY_IN * MM_PER_INCH), scale.by_ratio(HO_SHARP_IN * MM_PER_INCH))

    def level(self, curvature: float) -> int:
        """0 for straight track, else 1, 2 or 3 for an easy, a middling or a sharp curve."""
        if curvature < SCARCELY_CURVED:
            return 0
        if not shorter(1.0 / curvature, self.easy_mm):
            return 1
        return 3 if shorter(1.0 / curvature, self.sharp_mm) else 2

    def legend(self, units: Units) -> str:
        """The three levels in words."""
        easy, sharp = units.radius(self.easy_mm), units.radius(self.sharp_mm)
        return (
            f"Curves to the {LEFT} and {RIGHT}: {CURVES[1]} {easy} radius and over, {CURVES[2]} down to {sharp}, "
            f"{CURVES[3]} under {sharp}."
        )


@dataclass(frozen=True)
class Mark:
    """Something pointed out along the track, at a distance from its start."""

    distance_mm: float
    text: str


def draw(
    track: Centreline,
    places: Sequence[tuple[str, float]],
    units: Units,
    sharpness: Sharpness,
    width: int,
    rows: int = 8,
    mark: Mark | None = None,
) -> list[Text]:
    """The track from its start to its end in `width` columns: height in `rows` rows, curves, scale, places.

    Heights are drawn from the lowest point of the track; the figures at the side are heights over the start.
    """
    edges = np.linspace(0.0, track.length_mm, 257)
    low, high = _span(track, edges)
    labels = _height_labels(low, high, units, rows)
    side = max([len(RIGHT), *(len(label) for label in labels)]) + 1
    columns = width - side
    lines = [] if mark is None else [_pointer(mark, track.length_mm, columns, side)]
    pointed = None if mark is None else _column(mark.distance_mm, track.length_mm, columns)
    heights = _height_rows(track, columns, rows if high - low > LEVEL_MM else 1, low, high)
    if len(heights) == 1:
        labels = ["level"]
    for k, row in enumerate(heights):
        shown = row
        if pointed is not None and row[pointed] == " ":
            shown = row[:pointed] + "|" + row[pointed + 1 :]
        lines.append(_labelled(labels[k], side, shown))
    for name, side_of in ((LEFT, 1.0), (RIGHT, -1.0)):
        lines.append(_labelled(name, side, _curve_row(track, columns, side_of, sharpness)))
    lines.append(_labelled("", side, _scale_row(track.length_mm, columns, units)))
    at = [(name, _column(distance, track.length_mm, columns)) for name, distance in places]
    lines.extend(_labelled("", side, row) for row in name_rows(at, columns))
    return lines


def _span(track: Centreline, points: Floats) -> tuple[float, float]:
    """The lowest and the highest of the track: grades are even between joints, so these are at joints."""
    heights = track.at(np.concatenate((points, track.joints.distance_mm))).z
    return float(heights.min()), float(heights.max())


def _column(distance_mm: float, length_mm: float, columns: int) -> int:
    share = distance_mm / length_mm if length_mm > 0.0 else 0.0
    return int(min(max(share * columns, 0.0), columns - 1))


def _middles(track: Centreline, columns: int) -> Floats:
    return np.linspace(0.0, track.length_mm, 2 * columns + 1, dtype=np.float64)[1::2]


def _height_rows(track: Centreline, columns: int, rows: int, low: float, high: float) -> list[str]:
    """The ground under the track, top row first, to an eighth of a row."""
    heights = track.at(_middles(track, columns)).z
    span = max(high - low, LEVEL_MM)
    steps = len(EIGHTHS) - 1
    filled = np.rint(1 + (rows * steps - 1) * np.clip((heights - low) / span, 0.0, 1.0)).astype(int)
    if rows == 1:
        filled = np.full(columns, 1)
    return [
        "".join(EIGHTHS[min(max(int(level) - row * steps, 0), steps)] for level in filled)
        for row in reversed(range(rows))
    ]


def _height_labels(low: float, high: float, units: Units, rows: int) -> list[str]:
    labels = [""] * rows
    labels[0], labels[-1] = units.length(high), units.length(low)
    return labels


def _curve_row(track: Centreline, columns: int, side_of: float, sharpness: Sharpness) -> str:
    """One character a column: the sharpest curve to that side (+1 left, −1 right) in the column's stretch."""
    step = track.length_mm / columns
    inside = (np.arange(SAMPLES) + 0.5) / SAMPLES
    points = (np.arange(columns)[:, None] + inside[None, :]) * step
    sharpest = np.max(side_of * track.at(points).curvature, axis=1)
    return "".join(CURVES[sharpness.level(float(curvature))] for curvature in sharpest)


def _scale_row(length_mm: float, columns: int, units: Units) -> str:
    """A rule in feet or metres."""
    name, unit_mm = units.far_unit
    step = _round_step(LEAST_SCALE_STEP * length_mm / columns / unit_mm)
    row = ["─"] * columns
    places = 1 if step < 1.0 else 0
    count = int(length_mm / unit_mm / step + 1e-9)
    for k in range(count + 1):
        figure = f"{k * step:.{places}f}" if k else f"0 {name}"
        column = _column(k * step * unit_mm, length_mm, columns)
        if column + 1 + len(figure) <= columns:
            row[column : column + 1 + len(figure)] = f"┴{figure}"
    return "".join(row)


def _round_step(least: float) -> float:
    """The least of 1, 2, 5, 10, ... (and 0.1, 0.2, 0.5) that is no less than `least`."""
    step = 0.1
    while True:
        for times in (1, 2, 5):
            if times * step >= least:
                return times * step
        step *= 10


def _pointer(mark: Mark, length_mm: float, columns: int, side: int) -> Text:
    """The line over the drawing that points down at the mark, its text on the roomier side."""
    column = _column(mark.distance_mm, length_mm, columns)
    if column < columns / 2:
        row = " " * column + "▼ " + fit(mark.text, columns - column - 2)
    else:
        text = fit(mark.text, column - 1)
        row = " " * max(column - 1 - Text(text).cell_len, 0) + text + " ▼"
    return _labelled("", side, row)


def _labelled(label: str, side: int, row: str) -> Text:
    line = Text(label.rjust(side - 1) + " ")
    line.append(row)
    line.rstrip()
    return line


def name_rows(names: Sequence[tuple[str, int]], columns: int) -> list[str]:
    """A row of ticks, then the rows of names, with a line up to its tick from each name in a lower row.

    From right to left, each name takes the highest row with room for it.

    >>> for row in name_rows([("Westing", 0), ("Dock", 4)], 12): print(row)
    |   |
    |   Dock
    Westing
    """
    taken: list[list[tuple[int, int]]] = []
    rows: list[list[str]] = []
    ticks = [" "] * columns
    for name, column in sorted(names, key=lambda item: -item[1]):
        shown = fit(clean(name), min(LONGEST_NAME, columns))
        size = cell_len(shown)
        ticks[column] = "|"
        start = max(min(column, columns - size), 0)
        row = _row_for(taken, start, start + size)
        if row == len(rows):
            taken.append([])
            rows.append([" "] * columns)
        taken[row].append((start, start + size))
        rows[row][start : start + size] = [*shown, *[""] * (size - len(shown))]
        for upper in range(row):
            if rows[upper][column] == " ":
                rows[upper][column] = "|"
                taken[upper].append((column, column + 1))
    return ["".join(row).rstrip() for row in (ticks, *rows)]


def _row_for(taken: list[list[tuple[int, int]]], start: int, finish: int) -> int:
    for row, spans in enumerate(taken):
        if all(finish + APART <= begins or start >= ends + APART for begins, ends in spans):
            return row
    return len(taken)
