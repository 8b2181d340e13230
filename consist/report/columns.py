"""Tables in plain text: columns that line up, and give way where the page is too narrow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rich.text import Text

from consist.report.words import fit

__all__ = ["Column", "lay_out"]

HEADING_STYLE = "bold"


@dataclass(frozen=True)
class Column:
    """A column: its heading, whether it is set to the right, and the least width it may be cut to.

    `least` of None is a column that is never cut. `gap` is the blank columns before it.
    """

    head: str
    right: bool = False
    least: int | None = None
    gap: int = 1


def lay_out(columns: Sequence[Column], rows: Sequence[Sequence[str | Text]], width: int) -> list[Text]:
    """The table as lines of `width` columns at most, headings first where there are any; empty columns left out.

    Where it is too wide, the widest column that may be cut gives way first. A cell cut short ends in ….
    """
    cells = [[Text(cell) if isinstance(cell, str) else cell for cell in row] for row in rows]
    used = [k for k in range(len(columns)) if any(row[k].plain for row in cells)]
    widths = _widths([columns[k] for k in used], [[row[k] for k in used] for row in cells], width)
    lines = []
    if any(column.head for column in columns):
        heads = [Text(columns[k].head, HEADING_STYLE) for k in used]
        lines.append(_line([columns[k] for k in used], heads, widths))
    lines.extend(_line([columns[k] for k in used], [row[k] for k in used], widths) for row in cells)
    return lines


def _widths(columns: Sequence[Column], cells: Sequence[Sequence[Text]], width: int) -> list[int]:
    widths = [
        max([Text(column.head).cell_len, *(row[k].cell_len for row in cells)]) for k, column in enumerate(columns)
    ]
    over = sum(widths) + sum(column.gap for column in columns[1:]) - width
    while over > 0:
        giving = [k for k, c in enumerate(columns) if c.least is not None and widths[k] > c.least]
        if not giving:
            break
        widest = max(giving, key=lambda k: widths[k])
        widths[widest] -= 1
        over -= 1
    return widths


def _line(columns: Sequence[Column], cells: Sequence[Text], widths: Sequence[int]) -> Text:
    line = Text()
    for k, (column, cell, width) in enumerate(zip(columns, cells, widths, strict=True)):
        shown = cell
        if cell.cell_len > width:
            shown = Text(fit(cell.plain, width), cell.style)
        blanks = " " * (width - shown.cell_len)
        line.append(" " * column.gap if k else "")
        line.append_text(Text(blanks).append_text(shown) if column.right else shown.copy().append(blanks))
    line.rstrip()
    return line
