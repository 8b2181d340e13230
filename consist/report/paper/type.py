"""Type on paper: styles by the size of their letters, and text made safe for them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import groupby
from typing import Any, Literal

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_LEFT, TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Paragraph, Table
from reportlab.platypus.paraparser import ParaFrag

from consist.report.document import Shown
from consist.report.lettering import BOLD, font_names, printable, width_of
from consist.report.words import HELD

__all__ = ["GREY", "INK", "MUTED", "PALE", "Grid", "Manner", "Type", "Words"]

INK, MUTED, GREY, PALE = "#1b242c", "#4d5862", "#c9d0d6", "#e9edf0"
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
        runs = _Run(level.upper() if level else "", True, level), _Run(label, True), _Run(text, bold)
        return _paragraph(runs, self.style(manner))

    def answer(self, text: str, level: Shown) -> Words:
        """A cell's word that is itself the verdict, level or answer."""
        return _paragraph([_Run(text, True, level)], self.style("cell"))

    def title(self, title: str, verdict: Shown) -> Words:
        """The title of a sheet, and the verdict behind it."""
        mark = _Run(verdict.upper() if verdict else "", True, verdict, self.size + 2.0)
        return _paragraph([_Run(title), mark], self.style("title"))


@dataclass(frozen=True)
class _Run:
    """Words alike in their letters, those of the paragraph where they have none of their own."""

    text: str
    bold: bool = False
    level: Shown = None
    size: float | None = None

    def fragment(self, text: str, plain: ParaFrag) -> ParaFrag:
        """Text in these letters."""
        own: dict[str, Any] = {"fontName": BOLD} if self.bold else {}
        if self.size is not None:
            own["fontSize"] = self.size
        if self.level in GROUNDS:
            own["textColor"], own["backColor"] = GROUNDS[self.level]
            text = f"{HELD}{text}{HELD}"
        return plain.clone(text=text, **own)


def _paragraph(runs: Sequence[_Run], style: ParagraphStyle) -> Words:
    """Runs of words with a blank between, none of their signs being taken for markup."""
    plain = _Run("")
    told = [(printable(run.text), replace(run, text="")) for run in runs]
    spaced = [one for each in told if each[0] for one in ((" ", plain), each)][1:]
    model = _model(style)
    fragments = [
        run.fragment("".join(text for text, _ in together), model)
        for run, together in groupby(spaced, key=lambda one: one[1])
    ]
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
