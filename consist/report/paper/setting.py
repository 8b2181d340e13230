"""Sheets set on a paper: in which letters, and a train's with which pictures, so that it takes one page."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from io import BytesIO

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, KeepTogether

from consist.report.charts import Chart
from consist.report.document import Picture, Sheet, SheetKind
from consist.report.one_page import FITS, Fit
from consist.report.paper.blocks import Group, Writer
from consist.report.paper.lettering import Type, titled
from consist.report.paper.pages import COLUMNS, WIDE, Paper, SheetBegins

__all__ = ["OTHER_TYPES", "Setting", "template_of"]

TYPES: Mapping[SheetKind, tuple[Type, ...]] = {
    "train": (Type(8.0), Type(7.5), Type(7.0)),
    "switch-list": (Type(11.0), Type(10.0)),
}
"""What a sheet is set in, the largest in which it fits one page; a switch list is read in a dim room."""
OTHER_TYPES = (Type(9.0), Type(8.5), Type(8.0))
PICTURE_OF_A_PAGE = 0.8
"""Of the height of a page, what a picture takes at most."""
Tried = dict[int, list[Group]]
"""What blocks were made into, by their identity."""
DRAWN_ON_WIDE = 0.75
"""Of the width of a page, what a picture takes there."""


def template_of(sheet: Sheet) -> str:
    """The kind of page that a sheet is set on."""
    return COLUMNS if sheet.kind == "train" else WIDE


@dataclass(frozen=True)
class Setting:
    """How sheets are set on a paper; `chart_of` draws a picture, and may be asked for one more than once."""

    paper: Paper
    chart_of: Callable[[Picture], Chart]
    scratch: Canvas = field(default_factory=lambda: Canvas(BytesIO()))

    def sheet(self, sheet: Sheet) -> list[Flowable]:
        """A sheet as it is to be put on paper; everything of one that fits one page in no way."""
        types = TYPES.get(sheet.kind, OTHER_TYPES)
        tried: dict[float, Tried] = {letters.size: {} for letters in types}
        for fit in FITS if sheet.kind == "train" else (Fit(),):
            # what does not fit in the smallest type fits in none
            if self._fits(sheet, types[-1], fit, tried):
                letters = next(each for each in types if each is types[-1] or self._fits(sheet, each, fit, tried))
                return _story(self._groups(sheet, letters, fit))
        return _story(self._groups(sheet, types[0], Fit()))

    def _fits(self, sheet: Sheet, letters: Type, fit: Fit, tried: dict[float, Tried]) -> bool:
        """Whether a sheet takes one page so: it is laid into the page's columns, and nothing is drawn."""
        template = template_of(sheet)
        frames = self.paper.frames(template)
        frame = frames.pop(0)
        for group in self._groups(sheet, letters, fit, tried[letters.size]):
            waiting = list(group)
            together = sum(self._high(each, template) for each in group) if len(group) > 1 else 0.0
            if together > frame._y - frame._y1p:  # type: ignore[attr-defined]
                if not frames:
                    return False
                frame = frames.pop(0)
            while waiting:
                each = waiting.pop(0)
                each.drawOn = _nowhere  # type: ignore[method-assign]
                if frame.add(each, self.scratch):
                    continue
                first, *rest = frame.split(each, self.scratch) or [None]
                if first is not None:
                    first.drawOn = _nowhere
                    frame.add(first, self.scratch)
                if not frames:
                    return False
                frame = frames.pop(0)
                waiting[:0] = rest if first is not None else [each]
        return True

    def _high(self, each: Flowable, template: str) -> float:
        high: float = each.wrapOn(self.scratch, self.paper.column_wide(template), self.paper.text_high)[1]
        return high + each.getSpaceBefore() + each.getSpaceAfter()

    def _groups(self, sheet: Sheet, letters: Type, fit: Fit, tried: Tried | None = None) -> list[Group]:
        """What the sheet is made of; blocks that were `tried` in these letters are taken as they are."""
        template = template_of(sheet)
        writer = Writer(
            wide=self.paper.column_wide(template),
            letters=letters,
            chart_of=self.chart_of,
            tallest=PICTURE_OF_A_PAGE * self.paper.text_high,
            drawn=DRAWN_ON_WIDE if template == WIDE else fit.drawn_percent / 100.0,
        )
        groups: list[Group] = [[SheetBegins(sheet)], [titled(sheet.title, letters, sheet.verdict)]]
        for section in sheet.sections:
            groups += writer.section(section, lambda block, of=section: fit.leaves_out(block, of), tried)
        return groups


def _story(groups: Sequence[Group]) -> list[Flowable]:
    return [group[0] if len(group) == 1 else KeepTogether(group) for group in groups]


def _nowhere(*_where: object, **_how: object) -> None:
    """For what is only laid out."""
