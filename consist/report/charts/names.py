"""Names of places: above a drawing that runs along the route, and around the points of a plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, hypot, pi, sin

import numpy as np
from numpy.typing import NDArray

from consist.report.charts.drawing import Sheet, lines_path
from consist.report.charts.palette import INK, MUTED
from consist.report.lettering import SIZE, shortened, width_of

__all__ = ["LabelsAround", "NamesAlong"]

ROW = 11.0
APART = 6.0
LONGEST = 96.0
LEADER_GAP = 2.0
Span = tuple[float, float]
LIFT = 3.0  # from the drawing up to the lowest names' descenders


@dataclass(frozen=True)
class _Placed:
    text: str
    left: float
    row: int
    at: float


class NamesAlong:
    """Names at distances across the sheet, kept between `left` and `right`; row 0 is the lowest.

    From right to left each name takes the lowest row where it covers no other name, no line down from one and no
    place whose name is still to be set, and where its own line down is free.
    """

    def __init__(self, names: Sequence[tuple[str, float]], left: float, right: float) -> None:
        self._placed: list[_Placed] = []
        taken: list[list[Span]] = [[]]
        waiting = sorted(names, key=lambda item: item[1])
        while waiting:
            name, at = waiting.pop()
            text = shortened(name, min(LONGEST, right - left))
            begin, row = _begin_and_row(width_of(text), at, (left, right), taken, [other for _, other in waiting])
            while len(taken) <= row:
                taken.append([])
            taken[row].append((begin, begin + width_of(text)))
            for lower in range(row):
                taken[lower].append((at, at))
            self._placed.append(_Placed(text, begin, row, at))
        self.height = ROW * len(taken) + LIFT if names else 0.0

    def draw(self, sheet: Sheet, bottom: float) -> None:
        """Draw the names with a line from each down to `bottom`."""
        lines = [[(name.at, bottom), (name.at, _baseline(bottom, name.row) + 1.5)] for name in self._placed]
        sheet.line(lines_path(lines), MUTED, 0.5, "leaders")
        for name in self._placed:
            sheet.text(name.left, _baseline(bottom, name.row), name.text, color=INK)


def _baseline(bottom: float, row: int) -> float:
    return bottom - LIFT - ROW * row - 1.0


def _begin_and_row(
    size: float, at: float, ends: Span, taken: Sequence[Sequence[Span]], waiting: Sequence[float]
) -> tuple[float, int]:
    """Where a name begins, and its row: to the right of its place if it can be, else over it or to its left."""
    left, right = ends
    begins = [
        min(max(wanted, left), right - size) for wanted in (at - LEADER_GAP, at - size / 2, at - size + LEADER_GAP)
    ]
    others = [(other, other) for other in waiting if other < at - APART]
    for blocked in (others, []):
        for row in range(len(taken) + 1):
            if any(_covers(taken[lower], at, at, LEADER_GAP) for lower in range(row)):
                break
            here = [*taken[row], *blocked] if row < len(taken) else blocked
            for begin in begins:
                if not _covers(here, begin, begin + size, APART):
                    return begin, row
    return begins[0], len(taken)


def _covers(spans: Sequence[Span], begin: float, end: float, apart: float) -> bool:
    return any(begin < finish + apart and end > start - apart for start, finish in spans)


Floats = NDArray[np.float64]
Box = tuple[float, float, float, float]
LONGEST_AROUND = 110.0
DIRECTIONS = 16
DISTANCES = (6.0, 12.0, 20.0, 30.0, 44.0, 62.0, 84.0)
EDGE = 3.0
OVER_EDGE, OVER_OTHER, OVER_TRACK, FARTHER = 1e6, 1e4, 6.0, 0.6
"""What a name's position costs: for leaving the picture, for each thing it covers, and for each unit away."""
LEADER_OVER = 13.0


class LabelsAround:
    """Names in a picture of a width and height over `track`, points of shape (points, 2)."""

    def __init__(self, width: float, height: float, track: Floats) -> None:
        self._width, self._height, self._track = width, height, track
        self._taken: list[Box] = []

    def keep_free(self, x: float, y: float, radius: float) -> None:
        """Keep names off a mark."""
        self._taken.append((x - radius, y - radius, x + radius, y + radius))

    def draw(self, sheet: Sheet, name: str, x: float, y: float) -> None:
        """Set a name where it costs the least; one that is far from its point has a line to it."""
        text = shortened(name, LONGEST_AROUND)
        box = min(_boxes(text, x, y), key=lambda box: self._cost(box, x, y))
        self._taken.append(box)
        left, top, right, bottom = box
        near = (min(max(x, left), right), min(max(y, top), bottom))
        away = hypot(near[0] - x, near[1] - y)
        if away > LEADER_OVER:
            begin = (x + 4.0 * (near[0] - x) / away, y + 4.0 * (near[1] - y) / away)
            sheet.line(lines_path([[begin, near]]), MUTED, 0.6, "leader")
        sheet.text(left, bottom - 2.4, text, color=INK)

    def _cost(self, box: Box, x: float, y: float) -> float:
        left, top, right, bottom = box
        outside = left < EDGE or top < EDGE or right > self._width - EDGE or bottom > self._height
        covered = sum(_meet(box, other) for other in self._taken)
        across, down = self._track.T
        on_track = int(((across > left - 2) & (across < right + 2) & (down > top - 1) & (down < bottom + 1)).sum())
        away = hypot(min(max(x, left), right) - x, min(max(y, top), bottom) - y)
        return OVER_EDGE * outside + OVER_OTHER * covered + OVER_TRACK * on_track + FARTHER * away


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and one[2] > other[0] and one[1] < other[3] and one[3] > other[1]


def _boxes(text: str, x: float, y: float) -> list[Box]:
    """Positions all around a point, the nearest first."""
    wide, high = width_of(text), SIZE + 2.0
    boxes = []
    for distance in DISTANCES:
        for number in range(DIRECTIONS):
            angle = 2.0 * pi * number / DIRECTIONS
            along, down = cos(angle), sin(angle)
            left = x + distance * along + 0.5 * (along - 1.0) * wide
            top = y + distance * down + 0.5 * (down - 1.0) * high
            boxes.append((left, top, left + wide, top + high))
    return boxes
