"""Strips to lay a car on, drawn to scale on paper, to be printed at 100 %, laminated and hung by the bench.

A mark for the weight w stands (w - base) / per_mm from the zero line, so that a car whose one end stands on the zero
line reaches with the other to the weight that the standard asks of it; beside it stands what is near enough.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from math import ceil, floor

from reportlab.pdfgen.canvas import Canvas

from consist.bench.target import band, standard_named
from consist.report.lettering import POINTS_PER_MM, font_names, shortened, width_of
from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH, scale_named, scale_words

__all__ = ["PAPERS", "Paper", "Strip", "strip_pdf", "strips_for"]

LONGEST_CAR_FT = 85.0
"""A full-length passenger car: a strip reaches as far as one in its scale."""
SPARE_MM = 5.0  # past the longest car, so that its mark is not the last
SHORTEST_PART_MM = 130.0  # a shorter last part has no room for its words
CLOSEST_MM = 0.6  # marks nearer to each other than this run together in print
LABEL_GAP_MM = 9.0
BESIDE_GAP_MM = 11.5  # between figures with what is near enough beside them
ROUNDING = 1e-6
LABEL_STEPS = (0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)

BAR_MM = 100.0
BAND_MM = 40.5
"""From the edge with ounces to the edge with grams."""
GAP_MM = 4.0
EDGE_MM = 10.0
HEADER_MM = 24.0
RULER_MM = 21.2  # the ruler's line, under the edge with ounces
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
BESIDE_MM = {1.0: 2.5, -1.0: -3.0}  # from the foot of a target, downwards or upwards, to that of what is near enough
MEASURE = "Measure first: this bar is 100 mm; if it is not, print at 100 %."
HOW = "Cut out along the frame. Lay a car with one end on the zero line; the other end points to its target weight."
NEAR = (
    "Small figures beside a target: what is near enough, a tenth either way; a little over is better than under. "
    "0.1 oz in N is common practice; a tenth elsewhere is assumed from it."
)


@dataclass(frozen=True)
class Paper:
    """A sheet laid on its long side, in mm, with what a printer may leave white at the ends of a strip."""

    width_mm: float
    height_mm: float
    before_mm: float = 20.0
    after_mm: float = 14.0

    @property
    def strip_mm(self) -> float:
        """How much of a strip one sheet takes: whole centimetres, so that a join falls on a mark of the ruler."""
        return floor((self.width_mm - self.before_mm - self.after_mm) / 10.0) * 10.0


PAPERS: dict[str, Paper] = {"a4": Paper(297.0, 210.0), "letter": Paper(279.4, 215.9)}
"""ISO 216 A4, and Letter, 11 by 8.5 in."""


@dataclass(frozen=True)
class Ruled:
    """Marks in one unit: the value at the zero line, what one mm adds, and how finely it may be marked."""

    unit: str
    start: float
    per_mm: float
    steps: tuple[float, ...]
    gap_mm: float = LABEL_GAP_MM

    def marks(self, from_mm: float, to_mm: float) -> Iterator[tuple[float, int, str]]:
        """The marks from one distance to another along the strip, both ends within: where, its rank and label.

        Those of rank 0 are the longest and have a label, those of rank 2 the shortest.
        """
        step = next((step for step in self.steps if step / self.per_mm >= CLOSEST_MM), self.steps[-1])
        every = next(
            round(wide / step)
            for wide in LABEL_STEPS
            if wide / self.per_mm >= self.gap_mm and abs(wide / step - round(wide / step)) < ROUNDING
        )
        first = ceil((self.start + self.per_mm * from_mm) / step - ROUNDING)
        last = floor((self.start + self.per_mm * to_mm) / step + ROUNDING)
        for number in range(first, last + 1):
            labelled, half = number % every == 0, every % 2 == 0 and number % (every // 2) == 0
            rank = 0 if labelled else 1 if half else 2
            yield (number * step - self.start) / self.per_mm, rank, f"{number * step:g}" if labelled else ""


@dataclass(frozen=True)
class Strip:
    """The strip of one scale, by one standard, for all cars or for one kind of them; `note` says whose figures it has
    for want of its own."""

    scale: str
    standard: str
    length: str
    kinds: str
    long_mm: float
    base_g: float
    per_mm_g: float
    note: str = ""

    @property
    def ruled(self) -> tuple[Ruled, ...]:
        """The marks of both edges, by weight, and of the ruler between them."""
        ounces = self.base_g / GRAMS_PER_OUNCE, self.per_mm_g / GRAMS_PER_OUNCE
        return (
            Ruled("oz", *ounces, (0.05, 0.1, 0.25, 0.5, 1.0), BESIDE_GAP_MM),
            Ruled("g", self.base_g, self.per_mm_g, (0.5, 1.0, 2.0, 5.0, 10.0), BESIDE_GAP_MM),
            Ruled("in", 0.0, 1.0 / MM_PER_INCH, (0.125,)),
            Ruled("mm", 0.0, 1.0, (1.0,)),
        )

    def parts(self, paper: Paper) -> tuple[tuple[float, float], ...]:
        """Where along the strip each sheet's part of it begins and ends."""
        starts = [number * paper.strip_mm for number in range(ceil(self.long_mm / paper.strip_mm))]
        return tuple(
            (start, min(start + paper.strip_mm, max(self.long_mm, start + SHORTEST_PART_MM))) for start in starts
        )


def strips_for(scale_names: Sequence[str], standard: str | None) -> tuple[Strip, ...]:
    """The strips of some scales; two a scale where the standard tells passenger cars from others.

    Raises `InputError` for a scale or a standard not known, and where the standard has no figures for a scale.
    """
    strips = []
    for scale in map(scale_named, dict.fromkeys(scale_names)):
        by = standard_named(standard, scale)
        long_mm = LONGEST_CAR_FT * 12.0 * MM_PER_INCH / scale.ratio + SPARE_MM
        if by.length == "coupled":
            long_mm += scale.coupled_over_body_mm
        kinds = {"": by.per_mm_g}
        if by.passenger_per_mm_g is not None:
            kinds = {"freight cars": by.per_mm_g, "passenger cars": by.passenger_per_mm_g}
        strips += [
            Strip(scale.name, by.title, by.length_words, kind, long_mm, by.base_g, per_mm_g, by.note)
            for kind, per_mm_g in kinds.items()
        ]
    return tuple(strips)


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


def strip_pdf(scale_names: Sequence[str], standard: str | None, paper_name: str = "a4") -> bytes:
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
    sheet.text(left, at + 7.0, HOW)
    sheet.text(left, at + 11.0, NEAR, SMALL)


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
        for foot in (PLACES["oz"][2] + BESIDE_MM[1.0], PLACES["g"][2] + 2.0 * BESIDE_MM[-1.0]):
            sheet.text(left + 2.0, top + foot, "near", SMALL)
            sheet.text(left + 2.0, top + foot + 2.2, "enough", SMALL)
    wide = (finish - start - 4.0) * POINTS_PER_MM
    said = f"{scale_words(strip.scale)}   {strip.standard}, {strip.kinds or 'all cars'}: counts {strip.length}."
    sheet.text(before + 2.0, top + 14.4, shortened(said, wide, True, TEXT), bold=True)
    joins = [strip.note] if strip.note and not number else []
    if number:
        joins.append(
            f"Part {number + 1} of {len(parts)}: cut along this end, lay it on the join line of part {number}."
        )
    if number + 1 < len(parts):
        joins.append(f"Join line of part {number + 1} at the far end; leave the paper beyond it to glue on.")
    sheet.text(before + 2.0, top + BAND_MM - 11.4, shortened(" ".join(joins), wide, size=SMALL), SMALL)


def _ticks(sheet: _Sheet, ruled: Ruled, stretch: tuple[float, float, float], top: float) -> None:
    """Marks in one unit with their figures; one at an end of the part is moved inside it."""
    zero, start, finish = stretch
    down, way, _ = PLACES[ruled.unit]
    size, ticks = (SMALL, RULER_TICKS_MM) if down == RULER_MM else (TEXT, TICKS_MM)
    high, at = size / POINTS_PER_MM * FIGURE_HIGH, top + down
    foot = at + way * (ticks[0] + 0.9) + (high if way > 0.0 else 0.0)
    for at_mm, rank, label in ruled.marks(start, finish):
        x = zero + at_mm
        sheet.line(x, at, x, at + way * ticks[rank], FINE_LINE)
        if label:
            half = width_of(label, size=size) / POINTS_PER_MM / 2.0
            middle = min(max(x, zero + start + half + 0.8), zero + finish - half - 0.8)
            sheet.text(middle - half, foot, label, size)
            if size == TEXT:
                _near_enough(sheet, x, foot + BESIDE_MM[way], float(label), (zero + start, zero + finish))


def _near_enough(sheet: _Sheet, x: float, foot: float, target: float, ends: tuple[float, float]) -> None:
    """What is near enough to a target, about its mark, where there is room before the ends of the part."""
    said = "–".join(
        f"{round(weight, 2 if weight < 10.0 else 1 if weight < 100.0 else 0):g}" for weight in band(target)
    )
    half = width_of(said, size=SMALL) / POINTS_PER_MM / 2.0
    if ends[0] + 0.8 <= x - half and x + half <= ends[1] - 0.8:
        sheet.text(x - half, foot, said, SMALL)
