"""Slips for guests' cars, several a page, to be cut apart and laid with the cars at the door."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO

from reportlab.lib.utils import simpleSplit
from reportlab.pdfgen.canvas import Canvas

from consist.report.lettering import BOLD, LACKED, LACKING, PLAIN, POINTS_PER_MM, font_names, printable, shortened
from consist.report.sheets.door import mind_words, owner_of, to_add, trains_words
from consist.report.sheets.parts import ADDING_WEIGHT
from consist.report.strip import PAPERS
from consist.screening import GuestResult, Screening
from consist.wording import Units

__all__ = ["SLIPS_A_PAGE", "slips_pdf"]

COLUMNS, ROWS = 2, 4
SLIPS_A_PAGE = COLUMNS * ROWS
MARGIN, FOOT, PADDING = 10.0 * POINTS_PER_MM, 10.0 * POINTS_PER_MM, 4.0 * POINTS_PER_MM
HEAD, ANSWER, TEXT, SMALL = 12.0, 11.0, 8.5, 6.0  # points
TEXT_SIZES = (TEXT, 7.5, 6.5)
AIR = 4.0  # points, before the answer and after it
LEADING = 1.25
CUT_SHORT = "More on the door list."


def slips_pdf(door: Screening, units: Units, paper_name: str = "a4") -> bytes:
    """A slip a car, in the order of the door list; the same screening gives the same bytes.

    `paper_name` is a key of `strip.PAPERS`; the sheet stands on its short side.
    """
    font_names()
    paper, out = PAPERS[paper_name], BytesIO()
    wide, high = paper.height_mm * POINTS_PER_MM, paper.width_mm * POINTS_PER_MM
    canvas = Canvas(out, pagesize=(wide, high), invariant=1, pageCompression=1)
    canvas.setTitle("Slips for guests' cars")
    canvas.setCreator("consist")
    slip_wide, slip_high = (wide - 2 * MARGIN) / COLUMNS, (high - 2 * MARGIN - FOOT) / ROWS
    for first in range(0, max(len(door.cars), 1), SLIPS_A_PAGE):
        cars = door.cars[first : first + SLIPS_A_PAGE]
        for place, car in enumerate(cars):
            row, column = divmod(place, COLUMNS)
            left, top = MARGIN + column * slip_wide, high - MARGIN - row * slip_high
            _slip(canvas, left, top, slip_wide, slip_high, car, units)
        _foot(canvas, wide, cars)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _slip(canvas: Canvas, left: float, top: float, wide: float, high: float, car: GuestResult, units: Units) -> None:
    """A car's slip in its place on the sheet, in points, from its upper left corner."""
    canvas.setLineWidth(0.5)
    canvas.setDash(2, 2)
    canvas.rect(left, top - high, wide, high)
    canvas.setDash()
    y, room_wide = top - PADDING, wide - 2 * PADDING
    whose = f"{owner_of(car)}, {car.kind}" if car.kind.strip() else owner_of(car)
    for words, size, font in (car.car, HEAD, BOLD), (whose, TEXT, PLAIN), (car.answer.upper(), ANSWER, BOLD):
        y -= size * LEADING + (AIR if size == ANSWER else 0.0)
        canvas.setFont(font, size)
        canvas.drawString(left + PADDING, y, shortened(printable(words), room_wide, font == BOLD, size))
    y -= AIR
    added = to_add(car, units)
    do = car.do or (f"{added}." if added else "")
    told = [f"To do: {do}" if do else "", *car.reasons, *trains_words(car, units), *mind_words(car, units)]
    size, lines = _fitted([printable(words) for words in told if words], room_wide, y - (top - high) - PADDING)
    canvas.setFont(PLAIN, size)
    for line in lines:
        y -= size * LEADING
        canvas.drawString(left + PADDING, y, line)


def _fitted(told: Sequence[str], wide: float, room: float) -> tuple[float, list[str]]:
    """The greatest size of letters in which everything fits, and the lines; cut short where it fits in none."""
    for size in TEXT_SIZES:
        lines = [line for words in told for line in simpleSplit(words, PLAIN, size, wide)]
        most = int(room // (size * LEADING))
        if len(lines) <= most:
            return size, lines
    return size, [*lines[: most - 1], CUT_SHORT]


def _foot(canvas: Canvas, page_wide: float, cars: Sequence[GuestResult]) -> None:
    """The caution where a slip on the sheet says to add weight, and what `LACKING` stands for where it is used."""
    told = f"{ADDING_WEIGHT.label}: {ADDING_WEIGHT.text}" if any(car.adds_weight for car in cars) else ""
    names = [name for car in cars for name in (car.car, car.owner, car.kind)]
    if any(LACKING in printable(name) for name in names):
        told = f"{told} {LACKED}".strip()
    y = MARGIN + FOOT - 2.0
    canvas.setFont(PLAIN, SMALL)
    for line in simpleSplit(told, PLAIN, SMALL, page_wide - 2 * MARGIN):
        y -= SMALL * LEADING
        canvas.drawString(MARGIN, y, line)
