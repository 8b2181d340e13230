"""Names set around points of a plan, clear of each other, of the track where it can be, and of the edge."""

from __future__ import annotations

from math import cos, hypot, pi, sin

import numpy as np
from numpy.typing import NDArray

from consist.report.charts.drawing import SIZE, Sheet, lines_path
from consist.report.charts.lettering import shortened, width_of
from consist.report.charts.palette import INK, MUTED

__all__ = ["LabelsAround"]

Floats = NDArray[np.float64]
Box = tuple[float, float, float, float]
LONGEST = 110.0
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
        text = shortened(name, LONGEST)
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
