"""A document's table on paper: columns as wide as their words, as far as there is room."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, LongTable, TableStyle

from consist.report.document import Cell, Column, Row, Table
from consist.report.paper.lettering import GREY, INK, PALE, Type, answer, marked
from consist.report.paper.marks import BAR_GAP, BAR_LONG, TickBox, UseMark
from consist.report.paper_text import BOLD, PLAIN, POINTS_PER_MM, cut_to, printable

__all__ = ["empty_cells", "table_flowable"]

PADDING = 2.5  # points, to either side of a cell
MARK_WIDE = 1.6  # letters' sizes that the ground of a level's word takes besides it
MOST_WORDS = 14.0  # letters' sizes that a column of words takes before columns that may be left out are
SHORT_NAME = 8.0  # letters' sizes, up to which a name stays on one line
LONGEST_HEADING = 60.0  # letters' sizes, over which a heading is cut
LONGEST_WORD = 11.0  # letters' sizes, over which a word is broken


def table_flowable(table: Table, wide: float, letters: Type) -> LongTable:
    """The table in `wide` points; its heading is told again on every page that it runs on to."""
    kept = _kept_columns(table, wide, letters)
    columns = [table.columns[k] for k in kept]
    widths = _widths(table, kept, wide, letters)
    barred = [any(row.cells[k].bar is not None for row in table.rows) for k in kept]
    head = [_head(column, bars, letters) for column, bars in zip(columns, barred, strict=True)]
    rows: list[list[Flowable | str]] = [list(head)]
    rows += [[_cell(row, row.cells[k], table.columns[k], letters) for k in kept] for row in table.rows]
    flowable = LongTable(rows, colWidths=widths, repeatRows=1, hAlign="LEFT", splitInRow=1)
    flowable.setStyle(_style(table.rows, letters))
    return flowable


def empty_cells(style: ParagraphStyle) -> list[Any]:
    """How cells are set before their own style; the library's font and large letters otherwise, even if empty."""
    return [
        ("FONTNAME", (0, 0), (-1, -1), PLAIN),
        ("FONTSIZE", (0, 0), (-1, -1), style.fontSize),
        ("LEADING", (0, 0), (-1, -1), style.leading),
    ]


def _head(column: Column, bars: bool, letters: Type) -> Flowable:
    """A heading; over bars it stands above their figures. It is told on every page, so it must never fill one."""
    most_mm = LONGEST_HEADING * letters.size / POINTS_PER_MM
    title = cut_to(printable(column.title), most_mm, letters.size, BOLD)
    if bars:
        return marked(title, letters.style("figure", BAR_LONG + BAR_GAP), bold=True)
    return marked(title, letters.style("figure") if column.figures else letters.style("cell"), bold=True)


def _cell(row: Row, cell: Cell, column: Column, letters: Type) -> Flowable | str:
    if column.ticked:
        return TickBox(letters.size)
    if cell.bar is not None:
        return UseMark(cell.text, cell.bar, letters)
    if not cell.text:
        return ""
    if cell.level is not None:
        return answer(cell.text, letters.style("cell"), cell.level)
    style = letters.style("figure") if column.figures else letters.style("cell")
    return marked(cell.text, style, bold=cell.strong or row.marked)


def _style(rows: Sequence[Row], letters: Type) -> TableStyle:
    told: list[Any] = [
        *empty_cells(letters.style("cell")),
        ("LEFTPADDING", (0, 0), (-1, -1), PADDING),
        ("RIGHTPADDING", (0, 0), (-1, -1), PADDING),
        ("TOPPADDING", (0, 0), (-1, -1), 0.8),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.2),
        ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
        ("VALIGN", (0, 1), (-1, -1), "TOP"),
        ("LINEBELOW", (0, 0), (-1, 0), 0.8, HexColor(INK)),
        ("LINEBELOW", (0, 1), (-1, -1), 0.3, HexColor(GREY)),
    ]
    for number, row in enumerate(rows, start=1):
        if row.engine:
            told.append(("BACKGROUND", (0, number), (-1, number), HexColor(PALE)))
        if row.marked or row.moved:
            told.append(("BOX", (0, number), (-1, number), 0.9, HexColor(INK)))
    return TableStyle(told)


def _natural(table: Table, number: int, letters: Type, most: float = float("inf")) -> float:
    """The width at which nothing in a column is broken but its heading; its words take `most` points at most."""
    widest = _longest(table.columns[number].title.split(), letters)
    for row in table.rows:
        cell = row.cells[number]
        if cell.bar is not None:
            widest = max(widest, UseMark.width_for(letters))
        else:
            extra = MARK_WIDE * letters.size if cell.level is not None else 0.0
            whole = letters.width(cell.text, bold=cell.strong or row.marked) + extra
            widest = max(widest, min(whole, most))
    if table.columns[number].ticked:
        widest = max(widest, letters.size)
    return widest + 2.0 * PADDING + 0.5


def _least(table: Table, number: int, letters: Type) -> float:
    """The width at which neither a short name of a column is broken nor a word that is not very long."""
    natural = _natural(table, number, letters)
    if natural <= SHORT_NAME * letters.size or any(row.cells[number].bar is not None for row in table.rows):
        return natural
    words = [word for row in table.rows for word in printable(row.cells[number].text).split()]
    longest = _longest([*table.columns[number].title.split(), *words], letters)
    return min(longest, LONGEST_WORD * letters.size) + 2.0 * PADDING + 0.5


def _longest(words: Sequence[str], letters: Type) -> float:
    return max((letters.width(word, bold=True) for word in words), default=0.0)


def _kept_columns(table: Table, wide: float, letters: Type) -> list[int]:
    """All columns; those that may be left out go, the last first, as long as names would be broken for them."""
    kept = list(range(len(table.columns)))
    wanted = [_natural(table, number, letters, MOST_WORDS * letters.size) for number in kept]
    for number in reversed(range(len(table.columns))):
        if sum(wanted[k] for k in kept) <= wide:
            break
        if table.columns[number].lesser:
            kept.remove(number)
    return kept


def _of_words(column: Column) -> bool:
    return column.wide or not (column.figures or column.ticked)


def _widths(table: Table, kept: Sequence[int], wide: float, letters: Type) -> list[float]:
    """Natural widths where they fit; else the columns with long words share what the others leave."""
    natural = [_natural(table, k, letters) for k in kept]
    spare = wide - sum(natural)
    if spare >= 0.0:
        if any(table.columns[k].wide for k in kept):
            # shared by all columns of words, so that the eye need not go far along a row
            growing = [place for place, k in enumerate(kept) if _of_words(table.columns[k])]
            for place in growing:
                natural[place] += spare / len(growing)
        return natural
    least = [_least(table, k, letters) for k in kept]
    if sum(least) >= wide:
        return [width * wide / sum(least) for width in least]
    wanted = [full - some for full, some in zip(natural, least, strict=True)]
    part = (wide - sum(least)) / sum(wanted)
    return [some + part * more for some, more in zip(least, wanted, strict=True)]
