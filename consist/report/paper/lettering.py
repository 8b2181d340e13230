"""Type on paper: styles by the size of their letters, and text made safe for them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
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


@dataclass(frozen=True)
class Type:
    """The styles of a sheet whose plain text is `size` points high."""

    size: float

    @cached_property
    def plain(self) -> ParagraphStyle:
        """Text."""
        return self._style("plain", self.size, space=0.25)

    @cached_property
    def small(self) -> ParagraphStyle:
        """Small print under a table or a picture."""
        return self._style("small", max(self.size - 1.0, 6.0), color=MUTED, space=0.4)

    @cached_property
    def caption(self) -> ParagraphStyle:
        """The line over a picture or a table."""
        return self._style("caption", self.size, bold=True, space=0.15)

    @cached_property
    def heading(self) -> ParagraphStyle:
        """The heading of a section."""
        return self._style("heading", self.size + 1.5, bold=True, space=0.2, before=0.5)

    @cached_property
    def title(self) -> ParagraphStyle:
        """The title of a sheet."""
        return self._style("title", self.size + 7.0, bold=True, space=0.3)

    @cached_property
    def cell(self) -> ParagraphStyle:
        """A cell of a table."""
        return self._style("cell", self.size)

    @cached_property
    def figure(self) -> ParagraphStyle:
        """A cell set to the right."""
        return self._style("figure", self.size, alignment="right")

    def over_bars(self, bars_wide: float) -> ParagraphStyle:
        """A heading set to the right, short of the bars under it."""
        return ParagraphStyle("over bars", self.figure, rightIndent=bars_wide)

    def _style(
        self,
        name: str,
        size: float,
        *,
        bold: bool = False,
        color: str = INK,
        space: float = 0.0,
        before: float = 0.0,
        alignment: Literal["left", "right"] = "left",
    ) -> ParagraphStyle:
        font_names()
        return ParagraphStyle(
            name,
            fontName=BOLD if bold else PLAIN,
            fontSize=size,
            leading=LEADING * size,
            textColor=HexColor(color),
            spaceAfter=space * size,
            spaceBefore=before * size,
            alignment=TA_RIGHT if alignment == "right" else TA_LEFT,
        )

    def width(self, text: str, bold: bool = False) -> float:
        """How wide a text is in points, set as plain text."""
        return _width(text, BOLD if bold else PLAIN, self.size)


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
    return Paragraph(f"{_safe(title)}{mark}", letters.title)


def _bold(safe: str) -> str:
    return f'<font name="{BOLD}">{safe}</font>'


def _mark(text: str, level: Shown) -> str:
    ground = GROUNDS.get(level or "", "")
    return f'<font name="{BOLD}" {ground}>&nbsp;{_safe(text)}&nbsp;</font>' if ground else _bold(_safe(text))


def _safe(text: str) -> str:
    """Text whose every sign stands for itself."""
    return escape(printable(text))
