"""Strips drawn to scale on paper, to be printed at 100 %, laminated and hung by the bench."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO

from reportlab.pdfgen.canvas import Canvas

from consist.report.lettering import POINTS_PER_MM, font_names, shortened, width_of
from consist.report.strip import PAPERS, Paper, Ruled, Strip, strips_for

__all__ = ["BAND_MM", "BAR_MM", "strip_pdf"]

BAR_MM = 100.0
BAND_MM = 38.0
"""From the edge with ounces to the edge with grams."""
GAP_MM = 5.0
EDGE_MM = 10.0
HEADER_MM = 24.0
RULER_MM = 20.0  # the ruler's line, under the edge with ounces
PLACES: dict[str, tuple[float, float, float]] = {
    "oz": (0.0, 1.0, 8.0),
    "g": (BAND_MM, -1.0, BAND_MM - 6.0),
    "in": (RULER_MM, -1.0, RULER_MM - 1.0),
    "mm": (RULER_MM, 1.0, RULER_MM + 3.0),
}
"""In mm under the edge with ounces: where a unit's marks stand, if they go down (1) or up (-1), where it is told."""
TICKS_MM, RULER_TICKS_MM = (5.0, 3.6, 2.2), (2.6, 2.0, 1.3)  # by rank
FINE_LINE, LINE, HEAVY_LINE = 0.3, 0.5, 1.4  # points
SMALL, TEXT = 5.5, 8.0  # points
BLOCK_MM = 12.0  # before the zero line, for the units
FIGURE_HIGH = 0.73  # of its size
MEASURE = "Measure first: this bar is 100 mm; if it is not, print at 100 %."
HOW = "Cut out along the frame. Lay a car with one end on the zero line; the other end points to its target weight."


@dataclass(frozen=True)
class _Sheet:
    """A canvas measured in mm from the top left corner of the paper."""

    canvas: Canvas
    paper: Paper

    def line(self, x1: float, y1: float, x2: float, y2: float, width: float = LINE) -> None:
        self.canvas.setLineWidth(width)
        high = self.paper.height_mm
        self.canvas.line(*(mm * POINTS_PER_MM for mm in (x1, high - y1, x2, high - y2)))

    def text(self, x: float, y: float, words: str, size: float = TEXT, *, bold: bool = False) -> None:
        self.canvas.setFont(font_names()[bold], size)
        self.canvas.drawString(x * POINTS_PER_MM, (self.paper.height_mm - y) * POINTS_PER_MM, words)


def strip_pdf(scale_names: Sequence[str], standard: str, paper_name: str = "a4") -> bytes:
    """The strips of some scales as a PDF; the same strips give the same bytes. `paper_name` is a key of `PAPERS`.

    Raises what `strips_for` raises.
    """
    paper, out = PAPERS[paper_name], BytesIO()
    strips = strips_for(scale_names, standard)
    size = (paper.width_mm * POINTS_PER_MM, paper.height_mm * POINTS_PER_MM)
    sheet = _Sheet(Canvas(out, pagesize=size, invariant=1, pageCompression=1), paper)
    sheet.canvas.setTitle("Car weights by length")
    sheet.canvas.setCreator("consist")
    parts = [(strip, number) for strip in strips for number in range(len(strip.parts(paper)))]
    many = int((paper.height_mm - HEADER_MM - EDGE_MM + GAP_MM) // (BAND_MM + GAP_MM))
    for first in range(0, len(parts), many):
        _header(sheet)
        for row, (strip, number) in enumerate(parts[first : first + many]):
            _band(sheet, HEADER_MM + row * (BAND_MM + GAP_MM), strip, number)
        sheet.canvas.showPage()
    sheet.canvas.save()
    return out.getvalue()


def _header(sheet: _Sheet) -> None:
    """The bar to measure first, and what to do with the sheet."""
    left, at = sheet.paper.before_mm, 10.0
    sheet.line(left, at, left + BAR_MM, at, HEAVY_LINE)
    for end in (left, left + BAR_MM):
        sheet.line(end, at - 2.0, end, at + 2.0)
    sheet.text(left + BAR_MM + 5.0, at + 1.0, MEASURE, bold=True)
    sheet.text(left, at + 7.5, HOW)


def _band(sheet: _Sheet, top: float, strip: Strip, number: int) -> None:
    """One part of a strip: ounces on its upper edge, grams on its lower one, a ruler between."""
    parts, before = strip.parts(sheet.paper), sheet.paper.before_mm
    start, finish = parts[number]
    left, right, ruler = before - (0.0 if number else BLOCK_MM), before + finish - start, top + RULER_MM
    for y in (top, top + BAND_MM):
        sheet.line(left, y, right, y)
    for x in (left, right):
        sheet.line(x, top, x, top + BAND_MM)
    sheet.line(before, ruler, right, ruler, FINE_LINE)
    for ruled in strip.ruled:
        _ticks(sheet, ruled, (before - start, start, finish), top)
    if number == 0:
        sheet.line(before, top, before, top + BAND_MM, HEAVY_LINE)
        for unit, (_, _, told) in PLACES.items():
            sheet.text(left + 2.0, top + told, unit, bold=True)
    wide = (finish - start - 4.0) * POINTS_PER_MM
    said = f"{strip.scale}   {strip.standard}, {strip.kinds or 'all cars'}: counts {strip.length}."
    sheet.text(before + 2.0, top + 13.2, shortened(said, wide, True, TEXT), bold=True)
    joins = []
    if number:
        joins.append(
            f"Part {number + 1} of {len(parts)}: cut along this end, lay it on the join line of part {number}."
        )
    if number + 1 < len(parts):
        joins.append(f"Join line of part {number + 1} at the far end; leave the paper beyond it to glue on.")
    sheet.text(before + 2.0, top + BAND_MM - 10.4, shortened(" ".join(joins), wide, size=SMALL), SMALL)


def _ticks(sheet: _Sheet, ruled: Ruled, stretch: tuple[float, float, float], top: float) -> None:
    """Marks in one unit with their figures; one at an end of the part is moved inside it."""
    zero, start, finish = stretch
    down, way, _ = PLACES[ruled.unit]
    size, ticks = (SMALL, RULER_TICKS_MM) if down == RULER_MM else (TEXT, TICKS_MM)
    high, at = size / POINTS_PER_MM * FIGURE_HIGH, top + down
    foot = at + way * (ticks[0] + 0.9) + (high if way > 0.0 else 0.0)
    for mark in ruled.marks(start, finish):
        x = zero + mark.at_mm
        sheet.line(x, at, x, at + way * ticks[mark.rank], FINE_LINE)
        if mark.label:
            half = width_of(mark.label, size=size) / POINTS_PER_MM / 2.0
            middle = min(max(x, zero + start + half + 0.8), zero + finish - half - 0.8)
            sheet.text(middle - half, foot, mark.label, size)
