"""Type on paper: styles by the size of their letters, and text made safe for them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal, NamedTuple

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_LEFT, TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Paragraph, Table
from reportlab.platypus.paraparser import ParaFrag

from consist.report.document import Sheet, Shown
from consist.report.lettering import BOLD, PLAIN, font_names, printable, width_of
from consist.report.words import HELD

__all__ = ["ALL", "GREY", "INK", "LEADING", "MUTED", "PALE", "Grid", "Manner", "Type", "Words"]

INK, MUTED, GREY, PALE = "#1b242c", "#4d5862", "#c9d0d6", "#e9edf0"
ALL = (0, 0), (-1, -1)
"""Every cell of a grid."""
LEADING = 1.22
GROUNDS = {"hold": (HexColor("#ffffff"), HexColor(INK)), "care": (HexColor(INK), HexColor(GREY))}
"""The ink and the ground of a verdict or level, so that it tells in grey; go and notes have none."""
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
    """A paragraph; `sheet` is the sheet that it is the title of."""

    sheet: Sheet | None = None


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
        told = _Run((level or "").upper(), True, level), _Run(label, True), _Run(text, bold)
        return _paragraph(self.style(manner), *told)

    def answer(self, text: str, level: Shown) -> Words:
        """A cell's word that is itself the verdict, level or answer."""
        return _paragraph(self.style("cell"), _Run(text, True, level))

    def title(self, sheet: Sheet) -> Words:
        """The title of a sheet, and the verdict behind it."""
        mark = _Run((sheet.verdict or "").upper(), True, sheet.verdict, self.size + 2.0)
        words = _paragraph(self.style("title"), _Run(sheet.title), mark)
        words.sheet = sheet
        return words

    def grid(self, rows: Sequence[list[Any]], widths: Sequence[float], manner: Manner, *style: Any) -> Grid:
        """Rows and columns; without letters of its own even an empty cell has the library's large ones."""
        font = self.style(manner)
        letters = ("FONTNAME", *ALL, PLAIN), ("FONTSIZE", *ALL, font.fontSize), ("LEADING", *ALL, font.leading)
        return Grid(rows, colWidths=widths, splitInRow=1, style=[*letters, *style], longTableOptimize=0)


class _Run(NamedTuple):
    """Words alike in their letters: on the ground of their level, and of a size of their own where they have one."""

    text: str
    bold: bool = False
    level: Shown = None
    size: float | None = None


def _paragraph(style: ParagraphStyle, *runs: _Run) -> Words:
    """Runs of words with a blank between, none of their signs being taken for markup."""
    model = _model(style)
    fragments: list[ParaFrag] = []
    for text, bold, level, size in runs:
        words = printable(text)
        if not words:
            continue
        own: dict[str, Any] = {"fontName": BOLD} if bold else {}
        if size is not None:
            own["fontSize"] = size
        if level in GROUNDS:
            own["textColor"], own["backColor"] = GROUNDS[level]
            words = f"{HELD}{words}{HELD}"
        fragments += [model.clone(text=" ")] * bool(fragments) + [model.clone(text=words, **own)]
    return Words("", style, frags=fragments)


@lru_cache(maxsize=256)
def _model(style: ParagraphStyle) -> ParaFrag:
    """What the library makes of plain words in a style."""
    fragment: ParaFrag = Paragraph("x", style).frags[0]
    return fragment


@lru_cache(maxsize=256)
def _style(size: float, manner: Manner, right_indent: float) -> ParagraphStyle:
    larger, bold, below, above = MANNERS[manner]
    points = max(size + larger, LEAST_SIZE)
    return ParagraphStyle(
        manner, fontName=font_names()[bold], fontSize=points, leading=LEADING * points,
        textColor=HexColor(MUTED if manner == "small" else INK), spaceAfter=below * points,
        spaceBefore=above * points, alignment=TA_RIGHT if manner == "figure" else TA_LEFT, rightIndent=right_indent,
    )  # fmt: skip
