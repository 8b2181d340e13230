"""The whole report on paper: each sheet in which letters, and a train's with which pictures, to take one page."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields, is_dataclass
from io import BytesIO

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, KeepTogether, NextPageTemplate, PageBreak, Spacer

from consist.report.charts import Chart
from consist.report.document import Document, Picture, Sheet, SheetKind
from consist.report.one_page import FITS, Fit
from consist.report.paper.blocks import Group, Writer
from consist.report.paper.lettering import Type, marked, titled
from consist.report.paper.pages import COLUMNS, WIDE, Paper, SheetBegins, written
from consist.report.paper_text import LACKING, font_names, printable

__all__ = ["report_pdf"]

LACKED = f"{LACKING} stands for a letter that this print does not have."


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


def _template_of(sheet: Sheet) -> str:
    """The kind of page that a sheet is set on."""
    return COLUMNS if sheet.kind == "train" else WIDE


@dataclass(frozen=True)
class _Setting:
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
        template = _template_of(sheet)
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
                parts: list[Flowable] = frame.split(each, self.scratch)
                if parts:
                    parts[0].drawOn = _nowhere  # type: ignore[method-assign]
                    frame.add(parts[0], self.scratch)
                if not frames:
                    return False
                frame = frames.pop(0)
                waiting[:0] = parts[1:] if parts else [each]
        return True

    def _high(self, each: Flowable, template: str) -> float:
        high: float = each.wrapOn(self.scratch, self.paper.column_wide(template), self.paper.text_high)[1]
        return high + each.getSpaceBefore() + each.getSpaceAfter()

    def _groups(self, sheet: Sheet, letters: Type, fit: Fit, tried: Tried | None = None) -> list[Group]:
        """What the sheet is made of; blocks that were `tried` in these letters are taken as they are."""
        template = _template_of(sheet)
        writer = Writer(
            wide=self.paper.column_wide(template),
            letters=letters,
            chart_of=self.chart_of,
            tallest=PICTURE_OF_A_PAGE * self.paper.text_high,
            drawn=DRAWN_ON_WIDE if template == WIDE else fit.drawn_percent / 100.0,
        )
        groups: list[Group] = [[SheetBegins(sheet)], [titled(sheet.title, letters, sheet.verdict)]]
        for section in sheet.sections:
            groups += writer.section(section, fit, tried)
        return groups


def _story(groups: Sequence[Group]) -> list[Flowable]:
    return [group[0] if len(group) == 1 else KeepTogether(group) for group in groups]


def _nowhere(*_where: object, **_how: object) -> None:
    """For what is only laid out."""


def report_pdf(document: Document, chart_of: Callable[[Picture], Chart], paper_name: str = "a4") -> bytes:
    """The document as a PDF, `paper_name` being a key of `strip.PAPERS`; the same document gives the same bytes.

    Every sheet begins on a page of its own, in the largest type in which it fits one page. A train's stands in two
    columns, with as many and as large pictures as that allows; what it leaves out stands on another sheet too. One
    that fits in no way runs over. `chart_of` may be asked for a picture more than once.
    """
    font_names()
    paper = Paper.of(paper_name)
    setting = _Setting(paper, chart_of)
    story: list[Flowable] = []
    for number, sheet in enumerate(document.sheets):
        story += [NextPageTemplate(_template_of(sheet)), *([PageBreak()] if number else [])]
        story += setting.sheet(sheet)
        if number == 0 and _lacks(document):
            story.append(marked(LACKED, OTHER_TYPES[0].style("small")))
    first = _template_of(document.sheets[0]) if document.sheets else WIDE
    return written(document.title, document.closing, story or [Spacer(1.0, 1.0)], paper, first)


def _lacks(document: Document) -> bool:
    """Whether any letter of the document is missing from the font of the print."""
    return any(printable(text).count(LACKING) > text.count(LACKING) for text in _texts(document))


def _texts(part: object) -> Iterator[str]:
    """Every text in a part of a document."""
    if isinstance(part, str):
        yield part
    elif isinstance(part, tuple):
        for each in part:
            yield from _texts(each)
    elif is_dataclass(part):
        for field in fields(part):
            yield from _texts(getattr(part, field.name))
