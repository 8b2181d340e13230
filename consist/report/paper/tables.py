"""A document's table on paper: columns as wide as their words, as far as there is room; boxes to tick, and bars."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from consist.report.charts import draw_on
from consist.report.charts.drawing import Drawn as Shape
from consist.report.charts.drawing import Sheet, boxes_path
from consist.report.charts.palette import PAPER, Shade
from consist.report.document import Cell, Column, RangeBar, Row, Table, UseBar
from consist.report.lettering import SIZE, printable, shortened
from consist.report.paper.type import ALL, GREY, INK, LEADING, MUTED, PALE, Grid, Type

__all__ = ["Drawn", "TickBox", "table_grid"]

PADDING = 2.5  # points, to either side of a cell
MARK_WIDE = 1.6  # letters' sizes that the ground of a level's word takes besides it
MOST_WORDS = 14.0  # letters' sizes that a column of words takes before columns that may be left out are
SHORT_NAME = 8.0  # letters' sizes, up to which a name stays on one line
LONGEST_HEADING = 60.0  # letters' sizes, over which a heading is cut
LONGEST_WORD = 11.0  # letters' sizes, over which a word is broken
BAR_LONG, BAR_GAP, BAR_FIGURE = 34.0, 3.0, 3.5  # points, points; letters' sizes that the figure takes
BAR_FILLS = {"go": GREY, "care": MUTED, "hold": INK}


class TickBox(Flowable):
    """An empty square as high as the letters beside it."""

    def __init__(self, size: float) -> None:
        super().__init__()
        self.size = size

    def wrap(self, _wide: float, _high: float) -> tuple[float, float]:
        return self.size, self.size

    def draw(self) -> None:
        self.canv.setStrokeColor(HexColor(INK))
        self.canv.setLineWidth(0.9)
        self.canv.rect(0.5, 0.0, self.size - 1.0, self.size - 1.0)


class Drawn(Flowable):
    """What is drawn on a sheet of shapes, at a scale, as the vectors it is."""

    def __init__(self, sheet: Sheet, scale: float) -> None:
        super().__init__()
        self.sheet, self.scale = sheet, scale

    def wrap(self, _wide: float, _high: float) -> tuple[float, float]:
        return self.scale * self.sheet.width, self.scale * self.sheet.height

    def draw(self) -> None:
        draw_on(self.canv, self.sheet, 0.0, 0.0, self.scale)


def _use_mark(text: str, bar: UseBar, letters: Type) -> Drawn:
    """Side use as a figure and a bar with marks where care and hold begin, in letters of `SIZE`.

    The darker the bar, the graver; care is hatched too. One that goes on ends in a point.
    """
    scale = letters.size / SIZE
    figure, gap, full = BAR_FIGURE * SIZE, BAR_GAP / scale, BAR_LONG / scale
    sheet = Sheet(LEADING * SIZE, figure + gap + full)
    left, foot, high = figure + gap, sheet.height - 0.14 * SIZE, 0.62 * SIZE
    sheet.text(figure, sheet.height - 0.22 * SIZE, text, anchor="right", bold=bar.level == "hold")
    top, long = foot - high, max(full * bar.share(bar.use), 0.3)
    path: Shape = boxes_path([(left, top, left + long, foot)])
    if bar.goes_on:
        tip, end = left + long - 0.5 * high, left + long
        path = [[(left, foot), (tip, foot), (end, foot - 0.5 * high), (tip, top), (left, top)]]
    shade = Shade(BAR_FILLS[bar.level])
    sheet.shape(path, shade, edge=INK, width=0.4)
    if bar.level == "care":
        sheet.shape(path, replace(shade, hatch="/", hatch_ink=PAPER))
    for use, width in ((bar.care, 0.5), (bar.hold, 1.1)):
        at = left + full * bar.share(use)
        sheet.line([[(at, top - 0.8), (at, foot + 0.8)]], INK, width)
    return Drawn(sheet, scale)


def _range_mark(bar: RangeBar, letters: Type) -> Drawn:
    """A range as a box from its least to its most, with a mark at the middle; the marks of a use beside it."""
    scale = letters.size / SIZE
    full = BAR_LONG / scale
    sheet = Sheet(LEADING * SIZE, full)
    foot, high = sheet.height - 0.14 * SIZE, 0.62 * SIZE
    top, (least, most) = foot - high, (full * bar.share(use) for use in (bar.least, bar.most))
    shape: Shape = boxes_path([(least, top + 0.2 * high, max(most, least + 0.3), foot - 0.2 * high)])
    if bar.goes_on:
        tip = max(most - 0.5 * high, least)
        upper, lower = top + 0.2 * high, foot - 0.2 * high
        shape = [[(least, lower), (tip, lower), (most, foot - 0.5 * high), (tip, upper), (least, upper)]]
    sheet.shape(shape, Shade(GREY), edge=INK, width=0.4)
    for use, width in ((bar.middle, 1.8), (bar.care, 0.5), (bar.hold, 1.1)):
        at, past = full * bar.share(use), 0.0 if use == bar.middle else 0.8
        sheet.line([[(at, top - past), (at, foot + past)]], INK, width)
    return Drawn(sheet, scale)


def table_grid(table: Table, wide: float, letters: Type) -> Grid:
    """The table in `wide` points; its heading is told again on every page that it runs on to."""
    widths = [_width(table, number, letters) for number in range(len(table.columns))]
    kept = _kept(table.columns, widths, wide)
    shared = _shared([table.columns[k] for k in kept], [widths[k] for k in kept], wide)
    rows: list[list[Flowable | str]] = [[_head(table, k, letters) for k in kept]]
    for row in table.rows:
        if row.over:
            rows.append([letters.words(row.over, "cell", bold=True), *[""] * (len(kept) - 1)])
        rows.append([_cell(row, row.cells[k], table.columns[k], letters) for k in kept])
    grid = letters.grid(rows, shared, "cell", *_style(table.rows))
    grid.repeatRows, grid.hAlign = 1, "LEFT"
    return grid


def _head(table: Table, number: int, letters: Type) -> Flowable:
    """A heading; over bars it stands above their figures. It is told on every page, so it must never fill one."""
    column, uses = table.columns[number], isinstance(table.bar_in(number), UseBar)
    title = shortened(printable(column.title), LONGEST_HEADING * letters.size, True, letters.size)
    heading = letters.words(title, "figure" if column.figures or uses else "cell", bold=True)
    if uses:
        heading.style = letters.style("figure", BAR_LONG + BAR_GAP)
    return heading


def _cell(row: Row, cell: Cell, column: Column, letters: Type) -> Flowable | str:
    if column.ticked:
        return TickBox(letters.size)
    if isinstance(cell.bar, RangeBar):
        return _range_mark(cell.bar, letters)
    if cell.bar is not None:
        return _use_mark(cell.text, cell.bar, letters)
    if not cell.text:
        return ""
    if cell.level is not None:
        return letters.answer(cell.text, cell.level)
    return letters.words(cell.text, "figure" if column.figures else "cell", bold=cell.strong or row.marked)


def _style(rows: Sequence[Row]) -> list[Any]:
    told: list[Any] = [
        ("LEFTPADDING", *ALL, PADDING),
        ("RIGHTPADDING", *ALL, PADDING),
        ("TOPPADDING", *ALL, 0.8),
        ("BOTTOMPADDING", *ALL, 1.2),
        ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
        ("VALIGN", (0, 1), (-1, -1), "TOP"),
        ("LINEBELOW", (0, 0), (-1, 0), 0.8, HexColor(INK)),
        ("LINEBELOW", (0, 1), (-1, -1), 0.3, HexColor(GREY)),
    ]
    number = 0
    for row in rows:
        number += 1
        if row.over:
            told.append(("SPAN", (0, number), (-1, number)))
            number += 1
        if row.engine:
            told.append(("BACKGROUND", (0, number), (-1, number), HexColor(PALE)))
        if row.marked or row.moved:
            told.append(("BOX", (0, number), (-1, number), 0.9, HexColor(INK)))
    return told


class _Width(NamedTuple):
    """What a column may take, in points: with nothing broken but its heading; with its words kept short; at least."""

    natural: float
    short: float
    least: float


def _width(table: Table, number: int, letters: Type) -> _Width:
    """At the least neither a short name is broken nor a word that is not very long."""
    column, size, air, barred = table.columns[number], letters.size, 2.0 * PADDING + 0.5, table.bar_in(number)
    cells = [(row.cells[number], row.marked) for row in table.rows]
    bar = BAR_LONG if barred else 0.0
    bar += BAR_FIGURE * size + BAR_GAP if isinstance(barred, UseBar) else 0.0
    fixed = max(_longest(column.title, letters), size if column.ticked else 0.0, bar)
    texts = [
        letters.width(cell.text, bold=cell.strong or marked) + (0.0 if cell.level is None else MARK_WIDE * size)
        for cell, marked in cells
        if cell.bar is None
    ]
    widest = max(texts, default=0.0)
    natural, short = max(fixed, widest) + air, max(fixed, min(widest, MOST_WORDS * size)) + air
    if natural <= SHORT_NAME * size or barred:
        return _Width(natural, short, natural)
    longest = _longest(" ".join([column.title, *(printable(cell.text) for cell, _ in cells)]), letters)
    return _Width(natural, short, min(longest, LONGEST_WORD * size) + air)


def _longest(text: str, letters: Type) -> float:
    return max((letters.width(word, bold=True) for word in text.split()), default=0.0)


def _kept(columns: Sequence[Column], widths: Sequence[_Width], wide: float) -> list[int]:
    """All columns; those that may be left out go, the last first, as long as names would be broken for them."""
    kept = list(range(len(columns)))
    for number in reversed(range(len(columns))):
        if columns[number].lesser and sum(widths[k].short for k in kept) > wide:
            kept.remove(number)
    return kept


def _shared(columns: Sequence[Column], widths: Sequence[_Width], wide: float) -> list[float]:
    """Natural widths where they fit; else the columns with long words share what the others leave."""
    natural, least = [width.natural for width in widths], [width.least for width in widths]
    spare = wide - sum(natural)
    if spare >= 0.0:
        # shared by all columns of words, so that the eye need not go far along a row
        of_words = [column.wide or not (column.figures or column.ticked) for column in columns]
        more = spare / sum(of_words) if any(column.wide for column in columns) else 0.0
        return [width + more * grows for width, grows in zip(natural, of_words, strict=True)]
    if sum(least) >= wide:
        return [width * wide / sum(least) for width in least]
    part = (wide - sum(least)) / (sum(natural) - sum(least))
    return [some + part * (full - some) for full, some in zip(natural, least, strict=True)]
