"""Pages of one size, their columns, the line at their foot, the outline of sheets."""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate

from consist.report.document import Sheet
from consist.report.paper.lettering import MUTED
from consist.report.paper_text import PLAIN, POINTS_PER_MM, cut_to, printable
from consist.report.strip import PAPERS

__all__ = ["COLUMNS", "WIDE", "Paper", "SheetBegins", "written"]

EDGE_MM, FOOT_MM, GAP_MM = 10.0, 6.0, 6.0
FOOT_SIZE = 6.5
WHOSE_SHARE = 0.42  # of the width of the text, for whose a page is
COLUMNS, WIDE = "columns", "wide"
"""Pages of two columns, and of one as wide as the paper."""


@dataclass(frozen=True)
class Paper:
    """A sheet of paper upright, in points."""

    wide: float
    high: float

    @classmethod
    def of(cls, name: str) -> Paper:
        """The paper of that name, a key of `strip.PAPERS`, which has it on its side."""
        paper = PAPERS[name]
        return cls(paper.height_mm * POINTS_PER_MM, paper.width_mm * POINTS_PER_MM)

    @property
    def text_wide(self) -> float:
        """The width between the edges."""
        return self.wide - 2.0 * EDGE_MM * POINTS_PER_MM

    @property
    def text_high(self) -> float:
        """The height between the edges, without the foot."""
        return self.high - (2.0 * EDGE_MM + FOOT_MM) * POINTS_PER_MM

    def column_wide(self, template: str) -> float:
        """The width of a column."""
        return self.text_wide if template == WIDE else 0.5 * (self.text_wide - GAP_MM * POINTS_PER_MM)

    def frames(self, template: str) -> list[Frame]:
        """The columns of a page."""
        edge, foot = EDGE_MM * POINTS_PER_MM, (EDGE_MM + FOOT_MM) * POINTS_PER_MM
        wide = self.column_wide(template)
        lefts = [edge] if template == WIDE else [edge, self.wide - edge - wide]
        return [Frame(left, foot, wide, self.text_high, 0, 0, 0, 0) for left in lefts]


class SheetBegins(Flowable):
    """Marks where a sheet begins, for the outline and for the foot of its pages."""

    def __init__(self, sheet: Sheet) -> None:
        super().__init__()
        self.anchor, self.title = sheet.anchor, printable(sheet.title)

    def wrap(self, _wide: float, _high: float) -> tuple[float, float]:
        """It takes no room."""
        return 0.0, 0.0

    def draw(self) -> None:
        """Put the sheet into the outline."""
        self.canv.bookmarkPage(self.anchor)
        self.canv.addOutlineEntry(self.title, self.anchor, 0, closed=True)


class _Book(BaseDocTemplate):
    """Pages that know which sheet they belong to."""

    sheet_title = ""

    def afterFlowable(self, flowable: Flowable) -> None:
        if isinstance(flowable, SheetBegins):
            self.sheet_title = flowable.title


def written(title: str, closing: str, story: list[Flowable], paper: Paper, first: str) -> bytes:
    """The pages as a PDF; `first` is the template to begin with."""

    def foot(canvas: Canvas, book: BaseDocTemplate) -> None:
        _foot(canvas, (printable(title), getattr(book, "sheet_title", "")), printable(closing), paper)

    out = BytesIO()
    book = _Book(
        out,
        pagesize=(paper.wide, paper.high),
        title=printable(title),
        creator="consist",
        invariant=1,
        lang="en",
        initialFontName=PLAIN,
    )
    templates = [PageTemplate(name, paper.frames(name), onPageEnd=foot) for name in (WIDE, COLUMNS)]
    book.addPageTemplates(sorted(templates, key=lambda template: template.id != first))
    book.build(story)
    return out.getvalue()


def _foot(canvas: Canvas, whose: tuple[str, str], closing: str, paper: Paper) -> None:
    """Whose a page is, what it may be used for, and its number."""
    edge = EDGE_MM * POINTS_PER_MM
    canvas.setFont(PLAIN, FOOT_SIZE)
    canvas.setFillColor(HexColor(MUTED))
    said = " · ".join(dict.fromkeys(part for part in whose if part))
    canvas.drawString(edge, edge, cut_to(said, WHOSE_SHARE * paper.text_wide / POINTS_PER_MM, FOOT_SIZE))
    canvas.drawRightString(paper.wide - edge, edge, f"{closing}   {canvas.getPageNumber()}")
