"""Type on paper: styles by the size of their letters, and text made safe for them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_LEFT, TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Paragraph

from consist.report.document import Shown
from consist.report.paper_text import BOLD, PLAIN, font_names, printable

__all__ = ["GREY", "INK", "MUTED", "PALE", "Type", "answer", "marked", "titled"]

INK, MUTED, GREY, PALE = "#1b242c", "#4d5862", "#c9d0d6", "#e9edf0"
LEADING = 1.22
GROUNDS: dict[str, str] = {"hold": f'color="white" backColor="{INK}"', "care": f'backColor="{GREY}"'}
"""The ground behind a verdict or level, so that it tells in grey; go and notes have none."""


Manner = Literal["plain", "small", "caption", "heading", "title", "cell", "figure"]
MANNERS: Mapping[Manner, tuple[float, bool, float, float]] = {
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


@dataclass(frozen=True)
class Type:
    """The styles of a sheet whose plain text is `size` points high."""

    size: float

    def style(self, manner: Manner, right_indent: float = 0.0) -> ParagraphStyle:
        """The style of a manner, short of the right by so many points."""
        return _style(self.size, manner, right_indent)

    def width(self, text: str, bold: bool = False) -> float:
        """How wide a text is in points, set as plain text."""
        return _width(text, BOLD if bold else PLAIN, self.size)


@lru_cache(maxsize=256)
def _style(size: float, manner: Manner, right_indent: float) -> ParagraphStyle:
    font_names()
    larger, bold, below, above = MANNERS[manner]
    points = max(size + larger, LEAST_SIZE)
    return ParagraphStyle(
        manner, fontName=BOLD if bold else PLAIN, fontSize=points, leading=LEADING * points,
        textColor=HexColor(MUTED if manner == "small" else INK), spaceAfter=below * points,
        spaceBefore=above * points, alignment=TA_RIGHT if manner == "figure" else TA_LEFT, rightIndent=right_indent,
    )  # fmt: skip


@lru_cache(maxsize=8192)
def _width(text: str, font: str, size: float) -> float:
    font_names()
    return float(stringWidth(printable(text), font, size))


def marked(text: str, style: ParagraphStyle, label: str = "", level: Shown = None, bold: bool = False) -> Paragraph:
    """A paragraph of text from anywhere, behind its level and label where it has them."""
    said = _safe(text)
    if bold and said:
        said = _bold(said)
    parts = [_mark(level.upper(), level) if level else "", _bold(_safe(label)) if label else "", said]
    return Paragraph(" ".join(part for part in parts if part), style)


def answer(text: str, style: ParagraphStyle, level: Shown) -> Paragraph:
    """A word that is itself the verdict, level or answer."""
    return Paragraph(_mark(text, level), style)


def titled(title: str, letters: Type, verdict: Shown) -> Paragraph:
    """The title of a sheet, and the verdict behind it."""
    mark = f' <font size="{letters.size + 2.0:g}">{_mark(verdict.upper(), verdict)}</font>' if verdict else ""
    return Paragraph(f"{_safe(title)}{mark}", letters.style("title"))


def _bold(safe: str) -> str:
    return f'<font name="{BOLD}">{safe}</font>'


def _mark(text: str, level: Shown) -> str:
    ground = GROUNDS.get(level or "", "")
    return f'<font name="{BOLD}" {ground}>&nbsp;{_safe(text)}&nbsp;</font>' if ground else _bold(_safe(text))


def _safe(text: str) -> str:
    """Text whose every sign stands for itself."""
    return escape(printable(text))
