"""Names of places: above a drawing that runs along the route, and around the points of a plan."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

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
NEAR = DISTANCES[:4]
"""How far a name may stand from its point, and one that may be left out."""
EDGE = 3.0
OVER_EDGE, OVER_OTHER, OVER_TRACK, FARTHER = 1e6, 1e4, 6.0, 0.6
"""What a name's position costs: for leaving the picture, for each thing it covers, and for each unit away."""
LEADER_OVER = 13.0
TRACK_ROOM = np.array((-2.0, -1.0, 2.0, 1.0))
"""What a name's box grows by where it is to stay off the track."""


class NamesAlong:
    """Names at distances across the sheet, kept between `left` and `right`; row 0 is the lowest.

    From right to left each name takes the lowest row where it covers no other name, no line down from one and no
    place whose name is still to be set, and where its own line down is free.
    """

    def __init__(self, names: Sequence[tuple[str, float]], left: float, right: float) -> None:
        self._places = [at for _, at in names]
        self._placed: list[tuple[str, float, int, float]] = []
        """Each name's text, left end, row and place."""
        self._rows: list[list[Span]] = [[]]
        self._ends = left, right
        waiting = sorted(names, key=lambda item: item[1])
        while waiting:
            name, at = waiting.pop()
            text = shortened(name, min(LONGEST, right - left))
            size = width_of(text)
            begin, row = self._free(size, at, [(other, other) for _, other in waiting if other < at - APART])
            self._rows += [[] for _ in range(row + 1 - len(self._rows))]
            self._rows[row].append((begin, begin + size))
            for lower in self._rows[:row]:
                lower.append((at, at))
            self._placed.append((text, begin, row, at))
        self.height = ROW * len(self._rows) + LIFT if names else 0.0

    def _free(self, size: float, at: float, waiting: list[Span]) -> tuple[float, int]:
        """Where a name begins, and its row: to the right of its place if it can be, else over it or to its left."""
        (left, right), rows = self._ends, [*self._rows, []]
        wanted = (at - LEADER_GAP, at - size / 2, at - size + LEADER_GAP)
        begins = [min(max(begin, left), right - size) for begin in wanted]
        blocking = next((k for k, row in enumerate(rows) if _covers(row, at, at, LEADER_GAP)), len(rows) - 1)
        free = (
            (begin, row)
            for blocked, row, begin in product((waiting, []), range(blocking + 1), begins)
            if not _covers(rows[row] + blocked, begin, begin + size, APART)
        )
        return next(free, (begins[0], len(self._rows)))

    def draw(self, sheet: Sheet, top: float, bottom: float, ink: str) -> None:
        """Dotted lines at the places from `top` to `bottom`, and above them the names, each with a line down."""
        sheet.line([[(at, top), (at, bottom)] for at in self._places], ink, 0.5, "places", dashes=(1.0, 2.0))
        base = top - LIFT - 1.0
        leaders = [[(at, top), (at, base - ROW * row + 1.5)] for _, _, row, at in self._placed]
        sheet.line(leaders, MUTED, 0.5, "leaders")
        for text, left, row, _ in self._placed:
            sheet.text(left, base - ROW * row, text)


def _covers(spans: Sequence[Span], begin: float, end: float, apart: float) -> bool:
    return any(begin < finish + apart and end > start - apart for start, finish in spans)


class LabelsAround:
    """Names in a picture of a height over `track`, points of shape (points, 2)."""

    def __init__(self, height: float, track: Floats, width: float = WIDTH) -> None:
        self._height, self._track, self._width = height, track, width
        self._taken: list[ArrayLike] = []

    def keep_free(self, x: float, y: float, radius: float) -> None:
        """Keep names off a mark."""
        self._taken.append((x - radius, y - radius, x + radius, y + radius))

    def draw(self, sheet: Sheet, name: str, x: float, y: float, *, spare: bool = False, ink: str = INK) -> None:
        """Set a name where it costs the least; one that is far from its point has a line to it.

        A spare one is left out where it would cover another.
        """
        text, point = shortened(name, LONGEST_AROUND), np.array((x, y))
        boxes = _boxes_around(width_of(text), point, NEAR if spare else DISTANCES)
        near = np.clip(point, boxes[:, :2], boxes[:, 2:])
        away = np.hypot(*(near - point).T)
        costs = self._costs(boxes, away)
        best = int(np.argmin(costs))
        if spare and costs[best] >= OVER_OTHER:
            return
        self._taken.append(boxes[best])
        if away[best] > LEADER_OVER:
            begin = point + 4.0 * (near[best] - point) / away[best]
            sheet.line([[begin, near[best]]], MUTED, 0.6, "leader")
        left, _, _, bottom = boxes[best]
        sheet.text(left, bottom - 2.4, text, color=ink)

    def _costs(self, boxes: Floats, away: Floats) -> Floats:
        """What each box costs that is so far away from its point."""
        left, top, right, bottom = boxes.T
        outside = (left < EDGE) | (top < EDGE) | (right > self._width - EDGE) | (bottom > self._height)
        covered = _met(boxes, np.asarray(self._taken, dtype=np.float64).reshape(-1, 4))
        on_track = _met(boxes + TRACK_ROOM, np.tile(self._track, 2))
        return np.asarray(OVER_EDGE * outside + OVER_OTHER * covered + OVER_TRACK * on_track + FARTHER * away)


def _met(boxes: Floats, others: Floats) -> NDArray[np.intp]:
    """How many of the others each of the boxes meets."""
    within = ((others[:, 2:] > boxes[:, :2].min(axis=0)) & (others[:, :2] < boxes[:, 2:].max(axis=0))).all(axis=1)
    low, high, others = boxes[:, None, :2], boxes[:, None, 2:], others[within]
    return np.asarray(((low < others[:, 2:]) & (high > others[:, :2])).all(axis=2).sum(axis=1))


def _boxes_around(wide: float, point: Floats, distances: Sequence[float]) -> Floats:
    """Where a name may stand all around a point, the nearest first, of shape (boxes, 4)."""
    size, angle = np.array((wide, SIZE + 2.0)), 2.0 * np.pi * np.arange(DIRECTIONS) / DIRECTIONS
    toward = np.stack((np.cos(angle), np.sin(angle)), axis=1)
    nearest = point + np.multiply.outer(distances, toward)
    corner = (nearest + 0.5 * (toward - 1.0) * size).reshape(-1, 2)
    return np.hstack((corner, corner + size))
