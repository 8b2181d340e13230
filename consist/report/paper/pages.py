"""The whole report on paper: each sheet in which letters, and a train's with which pictures, to take one page."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from io import BytesIO

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    Flowable,
    Frame,
    KeepTogether,
    NextPageTemplate,
    PageBreak,
    PageTemplate,
    Spacer,
)

from consist.report.charts import Chart
from consist.report.document import Document, Picture, Sheet, SheetKind
from consist.report.lettering import LACKED, LACKING, PLAIN, POINTS_PER_MM, font_names, printable, shortened
from consist.report.one_page import FITS, Fit
from consist.report.paper.blocks import Group, Writer
from consist.report.paper.type import MUTED, Type, Words
from consist.report.sheets.parts import of_sheets
from consist.report.strip import PAPERS

__all__ = ["card_pdf", "report_pdf"]

EDGE, FOOT, GAP = 10.0 * POINTS_PER_MM, 6.0 * POINTS_PER_MM, 6.0 * POINTS_PER_MM
FOOT_SIZE = 6.5
WHOSE_SHARE = 0.42  # of the width of the text, for whose a page is
TYPES: Mapping[SheetKind, tuple[Type, ...]] = {
    "train": (Type(8.0), Type(7.5), Type(7.0)),
    "switch-list": (Type(11.0), Type(10.0)),
}
"""What a sheet is set in, the largest in which it fits one page; a switch list is read in a dim room."""
OTHER_TYPES = (Type(9.0), Type(8.5), Type(8.0))
PICTURE_OF_A_PAGE = 0.8
"""Of the height of a page, what a picture takes at most."""
DRAWN_ON_WIDE = 0.75
"""Of the width of a page, what a picture takes there."""
ROUNDING = 1e-6
"""Points by which what the library lays out may be too high."""


class _Paper:
    """A sheet of paper upright, in points, for text of one column or of two."""

    def __init__(self, name: str) -> None:
        # the paper of that name lies on its side
        self.wide, self.high = PAPERS[name].height_mm * POINTS_PER_MM, PAPERS[name].width_mm * POINTS_PER_MM
        self.text_wide, self.text_high = self.wide - 2.0 * EDGE, self.high - 2.0 * EDGE - FOOT

    def column_wide(self, columns: int) -> float:
        """The width of a column."""
        return (self.text_wide + GAP) / columns - GAP


class _Book(BaseDocTemplate):
    """Pages of one column and of two, whose foot tells what sheet they belong to, and an outline of the sheets."""

    def __init__(self, out: BytesIO, document: Document, paper: _Paper) -> None:
        title = printable(document.title)
        super().__init__(
            out, pagesize=(paper.wide, paper.high), title=title, creator="consist", invariant=1, lang="en",
            initialFontName=PLAIN,
        )  # fmt: skip
        self.paper, self.told, self.closing, self.sheet_title = paper, title, printable(document.closing), ""
        first = _columns(document.sheets[0]) if document.sheets else 1
        self.addPageTemplates([self._template(columns) for columns in (first, 3 - first)])

    def _template(self, columns: int) -> PageTemplate:
        wide = self.paper.column_wide(columns)
        lefts = [EDGE + number * (wide + GAP) for number in range(columns)]
        frames = [Frame(left, EDGE + FOOT, wide, self.paper.text_high, 0, 0, 0, 0) for left in lefts]
        return PageTemplate(str(columns), frames, onPageEnd=self._foot)

    def _foot(self, canvas: Canvas, _book: BaseDocTemplate) -> None:
        """Whose a page is, what it may be used for, and its number."""
        canvas.setFont(PLAIN, FOOT_SIZE)
        canvas.setFillColor(HexColor(MUTED))
        whose = " · ".join(dict.fromkeys(filter(None, (self.told, self.sheet_title))))
        canvas.drawString(EDGE, EDGE, shortened(whose, WHOSE_SHARE * self.paper.text_wide, size=FOOT_SIZE))
        canvas.drawRightString(self.paper.wide - EDGE, EDGE, f"{self.closing}   {canvas.getPageNumber()}")

    def afterFlowable(self, flowable: Flowable) -> None:
        sheet = flowable.sheet if isinstance(flowable, Words) else None
        if sheet is not None:
            self.sheet_title = printable(sheet.title)
            self.canv.bookmarkPage(sheet.anchor)
            self.canv.addOutlineEntry(self.sheet_title, sheet.anchor, 0, closed=True)


def report_pdf(document: Document, chart_of: Callable[[Picture], Chart], paper_name: str = "a4") -> bytes:
    """The document as a PDF, `paper_name` being a key of `strip.PAPERS`; the same document gives the same bytes.

    Every sheet begins on a page of its own, in the largest type in which it fits one page. A train's and the ratings
    stand in two columns, a train's with as many and as large pictures as that allows; what it leaves out stands on
    another sheet too. One that fits in no way runs over. `chart_of` may be asked for a picture more than once.
    """
    font_names()
    paper = _Paper(paper_name)
    story: list[Flowable] = []
    for number, sheet in enumerate(document.sheets):
        story += [NextPageTemplate(str(_columns(sheet))), *([PageBreak()] if number else [])]
        groups = _groups(sheet, paper, chart_of)
        story += [group[0] if len(group) == 1 else KeepTogether(group) for group in groups]
        if number == 0 and _lacks(document):
            story.append(OTHER_TYPES[0].words(LACKED, "small"))
    out = BytesIO()
    _Book(out, document, paper).build(story or [Spacer(1.0, 1.0)])
    return out.getvalue()


def card_pdf(card: Sheet, paper_name: str = "a4") -> bytes:
    """A sheet without pictures as a card to pin up, likewise."""

    def none(picture: Picture) -> Chart:
        raise AssertionError(f"a card has no picture of {picture.kind}")

    return report_pdf(of_sheets(card.title, card), none, paper_name)


def _columns(sheet: Sheet) -> int:
    return 2 if sheet.kind in ("train", "rating") else 1


def _groups(sheet: Sheet, paper: _Paper, chart_of: Callable[[Picture], Chart]) -> list[Group]:
    """What a sheet is made of, as it is to be put on paper; everything of one that fits one page in no way."""
    columns = _columns(sheet)
    wide, high = paper.column_wide(columns), paper.text_high
    types = TYPES.get(sheet.kind, OTHER_TYPES)
    writers = [Writer(letters, wide, PICTURE_OF_A_PAGE * high, chart_of) for letters in types]

    def made(writer: Writer, fit: Fit) -> list[Group]:
        drawn = DRAWN_ON_WIDE if columns == 1 else fit.drawn_percent / 100.0
        sections = (writer.section(section, fit, drawn) for section in sheet.sections)
        return [[writer.letters.title(sheet)], *(group for groups in sections for group in groups)]

    fitting: list[Group] = []
    for fit in FITS if columns == 2 else (Fit(),):
        # what does not fit in a smaller type fits in none that is larger
        for groups in (made(writer, fit) for writer in reversed(writers)):
            if not _fits(groups, columns, wide, high):
                break
            fitting = groups
        if fitting:
            return fitting
    return made(writers[0], Fit())


def _fits(groups: Sequence[Group], columns: int, wide: float, high: float) -> bool:
    """Whether groups go into so many columns, laid out as the library does it."""
    left, after = high, 0.0
    for group in groups:
        waiting = list(group)
        if len(group) > 1 and left < sum(
            each.wrap(wide, high)[1] + each.getSpaceBefore() + each.getSpaceAfter() for each in group
        ):
            columns, left, after = columns - 1, high, 0.0
        while waiting and columns:
            each = waiting.pop(0)
            before = max(each.getSpaceBefore() - after, 0.0) if left < high else 0.0
            taken = before + each.wrap(wide, left - before)[1]
            if taken <= left + ROUNDING:
                after = each.getSpaceAfter()
                left -= taken + after
                continue
            waiting[:0] = each.split(wide, left - before)[1:] or [each]
            columns, left, after = columns - 1, high, 0.0
        if not columns:
            return False
    return True


def _lacks(document: Document) -> bool:
    """Whether any letter of the document is missing from the font of the print."""
    letters = "".join(set(repr(document)))
    return printable(letters).count(LACKING) > letters.count(LACKING)
