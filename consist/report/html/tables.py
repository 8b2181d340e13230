"""Tables made ready for the page, with bars: which column names the row, how the table stands on a narrow screen."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from consist.report.document import Cell, Column, Row, Table, UseBar

__all__ = ["Bar", "CellView", "HeadingView", "RowView", "TableView", "bar_of", "table_view"]

PHONE = 36
"""Characters side by side on the narrowest phone, gaps between columns not counted."""
GAP = 1  # in characters
BAR = 8  # in characters
BOX = 3.0  # in characters
CROWDED, PACKED = 8, 9
"""Side by side with another table on paper, so many columns leave no room for lesser figures, and none for bars."""
LONGEST_WORD = 14
"""A longer word is broken, and asks for no more room than this."""
MOST_LINES = 2.2
"""The lines that a text in a column may take before its row is better read as a stack."""


@dataclass(frozen=True)
class HeadingView:
    """A column's heading, with the names that the style knows it by."""

    column: Column
    classes: str


@dataclass(frozen=True)
class CellView:
    """A cell in its column; `names_row` is whether it is the heading of its row, `span` how many columns it takes.

    `moved` is whether it names the car that stands elsewhere now.
    """

    cell: Cell
    column: Column
    classes: str
    names_row: bool
    moved: bool = False
    span: int = 1


@dataclass(frozen=True)
class RowView:
    """A row: its cells, the name that its boxes are spoken with, and its lesser cells in one line."""

    row: Row
    cells: tuple[CellView, ...]
    name: str
    also: str

    @property
    def classes(self) -> str:
        """The names that the style knows the row by."""
        return _names(engine=self.row.engine, marked=self.row.marked, moved=self.row.moved)


@dataclass(frozen=True)
class TableView:
    """A table. `stacks` is whether a narrow screen takes its rows apart.

    A table that does not stack leaves its lesser columns out there and says them below the row's name. `titled` is
    whether its name stands over it already.
    """

    table: Table
    headings: tuple[HeadingView, ...]
    rows: tuple[RowView, ...]
    stacks: bool
    titled: bool

    @property
    def classes(self) -> str:
        """The names that the style knows the table by."""
        crowded, packed = (len(self.headings) >= many for many in (CROWDED, PACKED))
        return _names(stacks=self.stacks, keeps=not self.stacks, crowded=crowded, packed=packed)


def table_view(table: Table, title: str = "") -> TableView:
    """The table under a title, with its ways of standing.

    Raises `ValueError` where a row has not one cell for each column.
    """
    head = _head(table.columns)
    barred = {k for row in table.rows for k, cell in enumerate(row.cells) if cell.bar is not None}
    headings = tuple(
        HeadingView(column, _column_names(column, number in barred, number < head))
        for number, column in enumerate(table.columns)
    )
    rows = tuple(_row(row, headings, head) for row in table.rows)
    return TableView(table, headings, rows, _least_wide(table) > PHONE, table.name == title)


def _row(row: Row, headings: tuple[HeadingView, ...], head: int) -> RowView:
    moved = _moved(row, headings, head)
    cells = tuple(
        CellView(cell, heading.column, _cell_names(cell, heading), number == head, number == moved)
        for number, (cell, heading) in enumerate(zip(row.cells, headings, strict=True))
    )
    return RowView(row, _spread(cells) if row.engine else cells, row.cells[head].text, _also(cells))


def _moved(row: Row, headings: tuple[HeadingView, ...], head: int) -> int | None:
    """The cell that names the car moved: the last name that is set off, else the one that names the row."""
    if not row.moved:
        return None
    strong = [k for k, cell in enumerate(row.cells) if cell.strong and not headings[k].column.figures]
    return strong[-1] if strong else head


def _spread(cells: tuple[CellView, ...]) -> tuple[CellView, ...]:
    """The last cell, where it has words, over the empty ones before it: what is said of an engine is long."""
    *before, last = cells
    if not last.cell.text or last.column.figures:
        return cells
    span = 1
    while before and not before[-1].cell.text and not before[-1].names_row and not before[-1].column.ticked:
        before.pop()
        span += 1
    return (*before, replace(last, span=span))


def _head(columns: tuple[Column, ...]) -> int:
    """The column that names its rows: the one that is given the room, else the first of words."""
    words = [k for k, column in enumerate(columns) if not column.figures and not column.ticked]
    return next((k for k in words if columns[k].wide), words[0] if words else 0)


def _also(cells: tuple[CellView, ...]) -> str:
    """What the lesser columns say of a row; a figure is followed by its heading, which has its unit."""
    said = []
    for view in cells:
        if view.column.lesser and view.cell.text:
            said.append(f"{view.cell.text} {view.column.title}" if view.column.figures else view.cell.text)
    return " · ".join(said)


def _column_names(column: Column, barred: bool, leads: bool) -> str:
    long = _longest_word(column.title) > LONGEST_WORD
    leads = leads and not column.ticked
    figures, wide, ticked, lesser = column.figures, column.wide, column.ticked, column.lesser
    return _names(figures=figures, wide=wide, ticked=ticked, lesser=lesser, barred=barred, leads=leads, long=long)


def _cell_names(cell: Cell, heading: HeadingView) -> str:
    """The column's names, and those of a cell with nothing in it, a verdict alone, or a word that is to be broken."""
    bare = not cell.text and cell.bar is None and not heading.column.ticked
    long = _longest_word(cell.text) > LONGEST_WORD
    return f"{heading.classes} {_names(bare=bare, told=cell.level is not None, long=long)}".strip()


def _longest_word(text: str) -> int:
    return max(map(len, text.split(" ")))


def _names(**kinds: bool) -> str:
    return " ".join(kind for kind, is_so in kinds.items() if is_so)


def _least_wide(table: Table) -> float:
    """The characters that the columns which stay on a phone take side by side, words broken where they may be."""
    kept = [number for number, column in enumerate(table.columns) if not column.lesser]
    return sum(_column_wide(table, number) for number in kept) + GAP * (len(kept) - 1)


def _column_wide(table: Table, number: int) -> float:
    column = table.columns[number]
    if column.ticked:
        return BOX
    heading = _longest_word(column.title)
    cells = (_cell_wide(row.cells[number], column) for row in table.rows)
    return max([float(min(heading, LONGEST_WORD)), *cells])


def _cell_wide(cell: Cell, column: Column) -> float:
    bar = BAR if cell.bar is not None else 0
    if column.figures:
        return float(len(cell.text) + bar)
    return max(min(len(cell.text), LONGEST_WORD), len(cell.text) / MOST_LINES) + bar


WIDE = 100.0
POINT = 7.0
PAST_HOLD = 1.3
"""A bar that goes further past hold than this ends at the edge with an open end: how far no longer counts."""


@dataclass(frozen=True)
class Bar:
    """The bar's end and its two marks, from 0 to 100; `reach` is the range the bar is in, `beyond` if it goes on."""

    end: str
    care: str
    hold: str
    reach: Literal["go", "care", "hold"]
    beyond: bool

    @property
    def outline(self) -> str:
        """The bar as an SVG path in a strip 100 by 12, pointed where it goes on."""
        if self.beyond:
            return f"M0 1H{WIDE - POINT:g}L{WIDE:g} 5.5 {WIDE - POINT:g} 10H0Z"
        return f"M0 1H{self.end}V10H0Z"

    @property
    def marks(self) -> str:
        """Where both marks stand, to be cleared of the bar's fill before they are drawn."""
        return f"M{self.care}-1V13M{self.hold}-1V13"

    @property
    def spoken(self) -> str:
        """What the bar's shade says, for those who cannot see it."""
        return {"go": "", "care": "past care", "hold": "past hold"}[self.reach]


def bar_of(bar: UseBar) -> Bar:
    """The bar drawn; care and hold begin past their marks, as the verdict has it.

    >>> bar_of(UseBar(use=0.65, care=0.65, hold=1.0))
    Bar(end='50', care='50', hold='76.9', reach='go', beyond=False)
    """
    most = PAST_HOLD * max(bar.hold, bar.care)
    reach: Literal["go", "care", "hold"] = "go"
    if bar.use > bar.care:
        reach = "care"
    if bar.use > bar.hold:
        reach = "hold"
    return Bar(
        end=_placed(min(bar.use, most), most),
        care=_placed(bar.care, most),
        hold=_placed(bar.hold, most),
        reach=reach,
        beyond=bar.use > most,
    )


def _placed(share: float, most: float) -> str:
    return f"{WIDE * max(share, 0.0) / most if most > 0.0 else 0.0:.1f}".removesuffix(".0")
