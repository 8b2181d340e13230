"""Names set above a drawing over their places along it, in as many rows as keep them apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from consist.report.charts.drawing import Sheet, lines_path
from consist.report.charts.lettering import shortened, width_of
from consist.report.charts.palette import INK, MUTED

__all__ = ["NamesAlong"]

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
