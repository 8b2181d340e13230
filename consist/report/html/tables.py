"""Tables of a page: which column names the row, and how the table stands on a narrow screen."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from consist.report.document import Cell, Column, Row, Table
from consist.report.html.elements import cell_words, element, lines

__all__ = ["table_lines"]

PHONE = 36
"""Characters side by side on the narrowest phone, gaps between columns not counted."""
GAP, BAR, BOX = 1, 8, 3  # in characters
CROWDED, PACKED = 8, 9
"""Side by side with another table on paper, so many columns leave no room for lesser figures, and none for bars."""
LONGEST_WORD = 14
"""A longer word is broken, and asks for no more room than this."""
MOST_LINES = 2.2
"""The lines that a text in a column may take before its row is better read as a stack."""
TAG = Markup(' <span class="tag">moved</span>')
FILTER = Markup("""<div class="find" hidden>
<label for="{anchor}-find">Show only the rows with</label>
<input type="search" id="{anchor}-find" data-rows="{anchor}" autocomplete="off" spellcheck="false">
<output for="{anchor}-find" aria-live="polite"></output>
</div>
""")
POINTER = Markup('<span class="pointer" aria-hidden="true"></span><span class="unseen">marked: </span>')


def table_lines(table: Table, title: str, anchor: str) -> Markup:
    """The table under a title, and before it the filter that it offers.

    On a narrow screen a wide table stacks its cells; another leaves its lesser columns out there and says them below
    the row's name. Raises `ValueError` where a row has not one cell for each column.
    """
    if any(len(row.cells) != len(table.columns) for row in table.rows):
        raise ValueError(f"a row of {table.name} has not one cell for each column")
    stacks, many, head = _least_wide(table) > PHONE, len(table.columns), _head(table.columns)
    named = [_column_names(table, number, head) for number in range(many)]
    headings = [
        element("th", column.title, scope="col", role="columnheader" if stacks else None, class_=names or None)
        for column, names in zip(table.columns, named, strict=True)
    ]
    row_role, group_role = ("row", "rowgroup") if stacks else (None, None)
    told = lines(
        "table",
        element("caption", table.name, class_="unseen" if table.name == title else None),
        lines("thead", element("tr", *headings, role=row_role), role=group_role),
        lines("tbody", *(_row(row, table.columns, named, head, stacks) for row in table.rows), role=group_role),
        id=anchor,
        class_=_names(stacks=stacks, keeps=not stacks, crowded=many >= CROWDED, packed=many >= PACKED),
        role="table" if stacks else None,
    )
    return FILTER.format(anchor=anchor) + told if table.findable else told


def _row(row: Row, columns: Sequence[Column], named: Sequence[str], head: int, stacks: bool) -> Markup:
    moved, name = _moved(row, columns, head), row.cells[head].text
    span = _span(row, columns, head)
    cells = []
    for number, (cell, column, names) in enumerate(zip(row.cells, columns, named, strict=True)):
        said: list[str] = [cell_words(cell)]
        if column.ticked:
            said.insert(0, element("input", type="checkbox", aria_label=f"{column.title or 'done'}: {name}"))
        if number == head and row.marked:
            said.insert(0, POINTER)
        if number == moved:
            said.append(TAG)
        if number == head and not stacks and (also := _also(row, columns)):
            said.append(element("span", also, class_="also"))
        cells.append(
            element(
                "th" if number == head else "td",
                *said,
                scope="row" if number == head else None,
                role=("rowheader" if number == head else "cell") if stacks else None,
                data_label=column.title if stacks else None,
                class_=f"{names} {_cell_names(cell, column)}".strip() or None,
                colspan=span if span > 1 and number == len(columns) - 1 else None,
                dir="auto",
            )
        )
    cells[-span:-1] = []
    kinds = _names(engine=row.engine, marked=row.marked, moved=row.moved)
    return element("tr", *cells, role="row" if stacks else None, class_=kinds or None)


def _moved(row: Row, columns: Sequence[Column], head: int) -> int | None:
    """The cell that names the car moved: the last name that is set off, else the one that names the row."""
    if not row.moved:
        return None
    strong = [k for k, cell in enumerate(row.cells) if cell.strong and not columns[k].figures]
    return strong[-1] if strong else head


def _span(row: Row, columns: Sequence[Column], head: int) -> int:
    """The columns of the last cell; what is said of an engine is long, and goes over the empty cells before it."""
    if not row.engine or not row.cells[-1].text or columns[-1].figures:
        return 1
    empty = [not cell.text and k != head and not columns[k].ticked for k, cell in enumerate(row.cells[:-1])]
    return 1 + next((k for k, is_so in enumerate(reversed(empty)) if not is_so), len(empty))


def _head(columns: Sequence[Column]) -> int:
    """The column that names its rows: the one that is given the room, else the first of words."""
    words = [k for k, column in enumerate(columns) if not column.figures and not column.ticked]
    return next((k for k in words if columns[k].wide), words[0] if words else 0)


def _also(row: Row, columns: Sequence[Column]) -> str:
    """What the lesser columns say of a row; a figure is followed by its heading, which has its unit."""
    return " · ".join(
        f"{cell.text} {column.title}" if column.figures else cell.text
        for cell, column in zip(row.cells, columns, strict=True)
        if column.lesser and cell.text
    )


def _column_names(table: Table, number: int, head: int) -> str:
    """The names that the style knows a column by."""
    column = table.columns[number]
    return _names(
        figures=column.figures,
        wide=column.wide,
        ticked=column.ticked,
        lesser=column.lesser,
        barred=table.bar_in(number) is not None,
        leads=number < head and not column.ticked,
        long=_longest_word(column.title) > LONGEST_WORD,
    )


def _cell_names(cell: Cell, column: Column) -> str:
    """Those of a cell with nothing in it, a verdict alone, or a word that is to be broken."""
    bare = not cell.text and cell.bar is None and not column.ticked
    return _names(bare=bare, told=cell.level is not None, long=_longest_word(cell.text) > LONGEST_WORD)


def _longest_word(text: str) -> int:
    return max(map(len, text.split(" ")))


def _names(**kinds: bool) -> str:
    return " ".join(kind for kind, is_so in kinds.items() if is_so)


def _least_wide(table: Table) -> float:
    """The characters that the columns which stay on a phone take side by side, words broken where they may be."""
    kept = [
        BOX
        if column.ticked
        else max([_broken(column.title), *(_cell_wide(cell, column) for cell in table.cells(number))])
        for number, column in enumerate(table.columns)
        if not column.lesser
    ]
    return sum(kept) + GAP * (len(kept) - 1)


def _broken(text: str) -> int:
    return min(_longest_word(text), LONGEST_WORD)


def _cell_wide(cell: Cell, column: Column) -> float:
    long = len(cell.text)
    least = long if column.figures else max(min(long, LONGEST_WORD), long / MOST_LINES)
    return least if cell.bar is None else least + BAR
