"""Type on paper: styles by the size of their letters, and text made safe for them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_LEFT, TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Paragraph, Table

from consist.report.document import Shown
from consist.report.lettering import BOLD, font_names, printable, width_of

__all__ = ["GREY", "INK", "MUTED", "PALE", "Grid", "Manner", "Type", "Words"]

INK, MUTED, GREY, PALE = "#1b242c", "#4d5862", "#c9d0d6", "#e9edf0"
LEADING = 1.22
GROUNDS = {"hold": f'color="white" backColor="{INK}"', "care": f'backColor="{GREY}"'}
"""The ground behind a verdict or level, so that it tells in grey; go and notes have none."""
Manner = Literal["plain", "small", "caption", "heading", "title", "cell", "figure"]
MANNERS: dict[Manner, tuple[float, bool, float, float]] = {
    "plain": (0.0, False, 0.25, 0.0),
    "small": (-1.0, False, 0.4, 0.0),
    "caption": (0.0, True, 0.15, 0.0),
    "heading": (1.5, True, 0.2, 0.5),
    "title": (7.0, True, 0.3, 0.0),
    "cell": (0.0, False, 0.0, 0.0),
    "figure": (0.0, False, 0.0, 0.0),
}
"""How much larger than plain text each is, in points; whether it is bold; its air below and above, in its own size.

Small is the print under a table or picture, a caption stands over one, figures are cells set to the right.
"""
LEAST_SIZE = 6.0


class _LaidOnce(Flowable):
    """What is laid out once for a width, however often it is asked for its height there."""

    _laid: tuple[float, tuple[float, float]] | None = None

    def wrap(self, wide: float, high: float) -> tuple[float, float]:
        if self._laid is None or self._laid[0] != wide:
            self._laid = wide, super().wrap(wide, high)
        return self._laid[1]

    def split(self, wide: float, high: float) -> list[Flowable]:
        self._laid = None  # the library forgets it too where this fails
        return super().split(wide, high)


class Words(_LaidOnce, Paragraph):
    """A paragraph."""


class Grid(_LaidOnce, Table):
    """Rows and columns."""


@dataclass(frozen=True)
class Type:
    """The styles of a sheet whose plain text is `size` points high."""

    size: float

    def style(self, manner: Manner, right_indent: float = 0.0) -> ParagraphStyle:
        """The style of a manner, short of the right by so many points."""
        return _style(self.size, manner, right_indent)

    def width(self, text: str, bold: bool = False) -> float:
        """How wide a text is in points, set as plain text."""
        return width_of(printable(text), bold, self.size)

    def words(
        self, text: str, manner: Manner = "plain", label: str = "", level: Shown = None, *, bold: bool = False
    ) -> Words:
        """A paragraph of text from anywhere, behind its level and label where it has them."""
        said = _safe(text)
        parts = [_mark(level.upper(), level) if level else "", _bold(_safe(label)), _bold(said) if bold else said]
        return Words(" ".join(filter(None, parts)), self.style(manner))

    def answer(self, text: str, level: Shown) -> Words:
        """A cell's word that is itself the verdict, level or answer."""
        return Words(_mark(text, level), self.style("cell"))

    def title(self, title: str, verdict: Shown) -> Words:
        """The title of a sheet, and the verdict behind it."""
        mark = f' <font size="{self.size + 2.0:g}">{_mark(verdict.upper(), verdict)}</font>' if verdict else ""
        return Words(f"{_safe(title)}{mark}", self.style("title"))


@lru_cache(maxsize=256)
def _style(size: float, manner: Manner, right_indent: float) -> ParagraphStyle:
    larger, bold, below, above = MANNERS[manner]
    points = max(size + larger, LEAST_SIZE)
    return ParagraphStyle(
        manner, fontName=font_names()[bold], fontSize=points, leading=LEADING * points,
        textColor=HexColor(MUTED if manner == "small" else INK), spaceAfter=below * points,
        spaceBefore=above * points, alignment=TA_RIGHT if manner == "figure" else TA_LEFT, rightIndent=right_indent,
    )  # fmt: skip


def _bold(safe: str) -> str:
    return f'<font name="{BOLD}">{safe}</font>' if safe else ""


def _mark(text: str, level: Shown) -> str:
    ground = GROUNDS.get(level or "")
    return f'<font name="{BOLD}" {ground}>&nbsp;{_safe(text)}&nbsp;</font>' if ground else _bold(_safe(text))


def _safe(text: str) -> str:
    """Text whose every sign stands for itself."""
    return escape(printable(text))
