"""A bar as long as a share, with marks where a train is taken with care and where it is held."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor

from rich.text import Text

from consist.report.verdicts import STYLES

__all__ = ["Bar"]

FULL_SCALE = 1.25
"""The share at which the bar is full; what goes past it ends in an arrow."""
FILLED, HALF, PAST = "█", "▌", "►"
CARE_MARK, HOLD_MARK = ":", "|"


@dataclass(frozen=True)
class Bar:
    """Bars of one width, with the shares past which the house takes care and holds."""

    width: int
    care: float
    hold: float

    def of(self, share: float) -> Text:
        """The bar of a share.

        >>> Bar(10, 0.625, 1.0).of(0.5).plain
        '████ :  | '
        """
        halves = floor(2 * self.width * min(share, FULL_SCALE) / FULL_SCALE + 1e-9)
        row = [FILLED] * (halves // 2) + [HALF] * (halves % 2)
        row += [" "] * (self.width - len(row))
        self._put_marks(row, over=(" ",))
        if share > FULL_SCALE:
            row[-1] = PAST
        level = "hold" if share > self.hold else "care" if share > self.care else "go"
        return Text("".join(row), STYLES[level])

    def heading(self) -> str:
        """What stands over the bars: the marks, and the words for them where there is room."""
        row = [" "] * self.width
        self._put_marks(row, over=(" ",))
        for word, share in (("hold", self.hold), ("care", self.care)):
            column = self._column(share)
            if column is not None and column >= len(word) and not "".join(row[column - len(word) : column]).strip():
                row[column - len(word) : column] = word
        return "".join(row)

    def _column(self, share: float) -> int | None:
        column = floor(self.width * share / FULL_SCALE + 1e-9)
        return column if column < self.width else None

    def _put_marks(self, row: list[str], over: tuple[str, ...]) -> None:
        for mark, share in ((CARE_MARK, self.care), (HOLD_MARK, self.hold)):
            column = self._column(share)
            if column is not None and row[column] in over:
                row[column] = mark
