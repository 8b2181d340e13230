"""Track drawn in text: its height, its curves, a scale, and the names of places under it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import count

import numpy as np
from rich.cells import cell_len
from rich.text import Text

from consist.report.terminal.lines import fit
from consist.report.words import clean
from consist.scales import MM_PER_INCH, Scale
from consist.tolerances import shorter
from consist.track import Centreline
from consist.wording import Units

__all__ = ["Mark", "Sharpness", "draw", "name_rows"]

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
    # grades are even between joints, so the lowest and the highest are at joints
    z = track.at(np.concatenate((np.linspace(0.0, track.length_mm, 257), track.joints.distance_mm))).z
    low, high = float(z.min()), float(z.max())
    top, foot = units.length(high), units.length(low)
    labels = [top, *[""] * (rows - 2), foot] if high - low > LEVEL_MM else ["level"]
    side = max(map(len, (RIGHT, top, foot))) + 1
    columns = width - side

    def column(distance_mm: float) -> int:
        share = distance_mm / track.length_mm if track.length_mm > 0.0 else 0.0
        return int(min(max(share * columns, 0.0), columns - 1))

    drawn = list(zip(labels, _height_rows(track, columns, len(labels), low, high), strict=True))
    if mark is not None:
        pointed = column(mark.distance_mm)
        down = [f"{row[:pointed]}{row[pointed].replace(' ', '|')}{row[pointed + 1 :]}" for _, row in drawn]
        drawn = [("", _pointer(mark.text, pointed, columns)), *zip(labels, down, strict=True)]
    drawn += [(name, _curve_row(track, columns, way, sharpness)) for name, way in ((LEFT, 1.0), (RIGHT, -1.0))]
    below = name_rows([(name, column(at_mm)) for name, at_mm in places], columns)
    drawn += [("", row) for row in (_scale_row(track.length_mm, columns, units, column), *below)]
    return [Text(f"{label.rjust(side - 1)} {row}".rstrip()) for label, row in drawn]


def _height_rows(track: Centreline, columns: int, rows: int, low: float, high: float) -> list[str]:
    """The ground under the track, top row first, to an eighth of a row; of level track the least of one."""
    steps = len(EIGHTHS) - 1
    if rows == 1:
        return [EIGHTHS[1] * columns]
    middles = np.linspace(0.0, track.length_mm, 2 * columns + 1)[1::2]
    share = np.clip((track.at(middles).z - low) / (high - low), 0.0, 1.0)
    filled = np.rint(1 + (rows * steps - 1) * share).astype(int).tolist()
    return [
        "".join(EIGHTHS[min(max(level - row * steps, 0), steps)] for level in filled) for row in reversed(range(rows))
    ]


def _curve_row(track: Centreline, columns: int, side_of: float, sharpness: Sharpness) -> str:
    """One character a column: the sharpest curve to that side (+1 left, −1 right) in the column's stretch."""
    inside = (np.arange(SAMPLES) + 0.5) / SAMPLES
    points = (np.arange(columns)[:, None] + inside[None, :]) * track.length_mm / columns
    sharpest = np.max(side_of * track.at(points).curvature, axis=1)
    return "".join(CURVES[sharpness.level(float(curvature))] for curvature in sharpest)


def _scale_row(length_mm: float, columns: int, units: Units, column: Callable[[float], int]) -> str:
    """A rule in feet or metres."""
    name, unit_mm = units.far_unit
    least = LEAST_SCALE_STEP * length_mm / columns / unit_mm
    step = next(
        times * power for power in (0.1 * 10**k for k in count()) for times in (1, 2, 5) if times * power >= least
    )
    row = ["─"] * columns
    for k in range(int(length_mm / unit_mm / step + 1e-9) + 1):
        figure = f"┴{k * step:.{1 if step < 1.0 else 0}f}" if k else f"┴0 {name}"
        start = column(k * step * unit_mm)
        if start + len(figure) <= columns:
            row[start : start + len(figure)] = figure
    return "".join(row)


def _pointer(text: str, column: int, columns: int) -> str:
    """The line over the drawing that points down at a column, the text on the roomier side."""
    if column < columns / 2:
        return " " * column + "▼ " + fit(text, columns - column - 2)
    shown = fit(text, column - 1)
    return " " * max(column - 1 - cell_len(shown), 0) + shown + " ▼"


def name_rows(names: Sequence[tuple[str, int]], columns: int) -> list[str]:
    """A row of ticks, then the rows of names, with a line up to its tick from each name in a lower row.

    From right to left, each name takes the highest row with room for it.

    >>> for row in name_rows([("Westing", 0), ("Dock", 4)], 12): print(row)
    |   |
    |   Dock
    Westing
    """
    rows: list[list[str]] = []
    ticks = [" "] * columns
    for name, column in sorted(names, key=lambda item: -item[1]):
        shown = fit(clean(name), min(LONGEST_NAME, columns))
        size = cell_len(shown)
        start, ticks[column] = max(min(column, columns - size), 0), "|"
        around = slice(max(start - APART, 0), start + size + APART)
        at = next((k for k, row in enumerate(rows) if set(row[around]) <= {" "}), len(rows))
        if at == len(rows):
            rows.append([" "] * columns)
        # the columns that it takes are more than its letters where those are wide
        rows[at][start : start + size] = [shown, *[""] * size][:size]
        for upper in rows[:at]:
            if upper[column] == " ":
                upper[column] = "|"
    return ["".join(row).rstrip() for row in (ticks, *rows)]
