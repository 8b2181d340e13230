"""Names of places: above a drawing that runs along the route, and around the points of a plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from consist.report.charts.drawing import WIDTH, Floats, Sheet
from consist.report.charts.palette import INK, MUTED
from consist.report.lettering import SIZE, shortened, width_of

__all__ = ["LabelsAround", "NamesAlong"]

ROW = 11.0
APART = 6.0
LONGEST = 96.0
LEADER_GAP = 2.0
Span = tuple[float, float]
LIFT = 3.0  # from the drawing up to the lowest names' descenders
LONGEST_AROUND = 110.0
DIRECTIONS = 16
DISTANCES = (6.0, 12.0, 20.0, 30.0, 44.0, 62.0, 84.0)
EDGE = 3.0
OVER_EDGE, OVER_OTHER, OVER_TRACK, FARTHER = 1e6, 1e4, 6.0, 0.6
"""What a name's position costs: for leaving the picture, for each thing it covers, and for each unit away."""
LEADER_OVER = 13.0
TRACK_ROOM = np.array((-2.0, -1.0, 2.0, 1.0))
"""What a name's box grows by where it is to stay off the track."""


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
        self._at, self._placed = [at for _, at in names], list[_Placed]()
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

    def draw(self, sheet: Sheet, top: float, bottom: float, ink: str) -> None:
        """Dotted lines at the places from `top` to `bottom`, and above them the names, each with a line down."""
        sheet.line([[(at, top), (at, bottom)] for at in self._at], ink, 0.5, "places", dashes=(1.0, 2.0))
        base = top - LIFT - 1.0
        leaders = [[(name.at, top), (name.at, base - ROW * name.row + 1.5)] for name in self._placed]
        sheet.line(leaders, MUTED, 0.5, "leaders")
        for name in self._placed:
            sheet.text(name.left, base - ROW * name.row, name.text, color=INK)


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


class LabelsAround:
    """Names in a picture of a height over `track`, points of shape (points, 2)."""

    def __init__(self, height: float, track: Floats) -> None:
        self._height, self._track = height, track
        self._taken = np.empty((0, 4))

    def keep_free(self, x: float, y: float, radius: float) -> None:
        """Keep names off a mark."""
        self._take((x - radius, y - radius, x + radius, y + radius))

    def _take(self, box: ArrayLike) -> None:
        self._taken = np.vstack((self._taken, box))

    def draw(self, sheet: Sheet, name: str, x: float, y: float) -> None:
        """Set a name where it costs the least; one that is far from its point has a line to it."""
        text = shortened(name, LONGEST_AROUND)
        boxes = _boxes_around(width_of(text), x, y)
        near = np.clip((x, y), boxes[:, :2], boxes[:, 2:])
        away = np.hypot(*(near - (x, y)).T)
        best = int(np.argmin(self._costs(boxes, away)))
        self._take(boxes[best])
        if away[best] > LEADER_OVER:
            begin = np.array((x, y)) + 4.0 * (near[best] - (x, y)) / away[best]
            sheet.line([[begin, near[best]]], MUTED, 0.6, "leader")
        left, _, _, bottom = boxes[best]
        sheet.text(left, bottom - 2.4, text, color=INK)

    def _costs(self, boxes: Floats, away: Floats) -> Floats:
        """What each box costs that is so far away from its point."""
        left, top, right, bottom = boxes.T
        outside = (left < EDGE) | (top < EDGE) | (right > WIDTH - EDGE) | (bottom > self._height)
        covered = _meet(boxes, self._taken).sum(axis=1)
        on_track = _meet(boxes + TRACK_ROOM, np.tile(self._track, 2)).sum(axis=1)
        return np.asarray(OVER_EDGE * outside + OVER_OTHER * covered + OVER_TRACK * on_track + FARTHER * away)


def _meet(boxes: Floats, others: Floats) -> NDArray[np.bool_]:
    """Whether each of the boxes meets each of the others, of shape (boxes, others)."""
    left, top, right, bottom = boxes.T[:, :, None]
    others_left, others_top, others_right, others_bottom = others.T
    across = (left < others_right) & (right > others_left)
    return np.asarray(across & (top < others_bottom) & (bottom > others_top))


def _boxes_around(wide: float, x: float, y: float) -> Floats:
    """Where a name may stand all around a point, the nearest first, of shape (boxes, 4)."""
    size, angle = np.array((wide, SIZE + 2.0)), 2.0 * np.pi * np.arange(DIRECTIONS) / DIRECTIONS
    toward = np.stack((np.cos(angle), np.sin(angle)), axis=1)
    nearest = np.array((x, y)) + np.multiply.outer(DISTANCES, toward)
    corner = (nearest + 0.5 * (toward - 1.0) * size).reshape(-1, 2)
    return np.hstack((corner, corner + size))
