"""A side use as a bar: where its end and the marks of care and hold fall in a strip 100 wide."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from consist.report.document import UseBar

__all__ = ["Bar", "bar_of"]

WIDE = 100.0
POINT = 7.0
PAST_HOLD = 1.3
"""A bar that goes further past hold than this ends at the edge with an open end: how far no longer counts."""


@dataclass(frozen=True)
class Bar:
    """The bar's end and its two marks, from 0 to 100; `reach` is the range the bar is in, `beyond` if it goes on."""

    end: str
    care: str
    hold: str
    reach: Literal["go", "care", "hold"]
    beyond: bool

    @property
    def outline(self) -> str:
        """The bar as an SVG path in a strip 100 by 12, pointed where it goes on."""
        if self.beyond:
            return f"M0 1H{WIDE - POINT:g}L{WIDE:g} 5.5 {WIDE - POINT:g} 10H0Z"
        return f"M0 1H{self.end}V10H0Z"

    @property
    def marks(self) -> str:
        """Where both marks stand, to be cleared of the bar's fill before they are drawn."""
        return f"M{self.care}-1V13M{self.hold}-1V13"

    @property
    def spoken(self) -> str:
        """What the bar's shade says, for those who cannot see it."""
        return {"go": "", "care": "past care", "hold": "past hold"}[self.reach]


def bar_of(bar: UseBar) -> Bar:
    """The bar drawn; care and hold begin past their marks, as the verdict has it.

    >>> bar_of(UseBar(use=0.65, care=0.65, hold=1.0))
    Bar(end='50', care='50', hold='76.9', reach='go', beyond=False)
    """
    most = PAST_HOLD * max(bar.hold, bar.care)
    reach: Literal["go", "care", "hold"] = "go"
    if bar.use > bar.care:
        reach = "care"
    if bar.use > bar.hold:
        reach = "hold"
    return Bar(
        end=_placed(min(bar.use, most), most),
        care=_placed(bar.care, most),
        hold=_placed(bar.hold, most),
        reach=reach,
        beyond=bar.use > most,
    )


def _placed(share: float, most: float) -> str:
    return f"{WIDE * max(share, 0.0) / most if most > 0.0 else 0.0:.1f}".removesuffix(".0")
