"""Lines of a terminal's page: text wrapped and cut to columns, columns that line up, verdicts in colour, and bars."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from io import StringIO
from itertools import zip_longest
from math import floor

from rich.cells import cell_len, set_cell_size
from rich.console import Console
from rich.text import Text

from consist.report.document import UseBar
from consist.report.words import HELD

__all__ = ["STYLES", "Stripe", "as_text", "bar", "bar_heading", "fit", "lay_out", "paragraph", "word"]

STYLES = {"go": "green", "care": "yellow", "hold": "red", "note": ""}
"""Colours that read on a dark terminal and on a light one."""
WHILE_WRAPPED = "\ue000"
"""Stands for a held blank until lines are made, since the library breaks a line at any blank."""
FULL_SCALE = 1.25
"""The share at which a bar is full; what goes past it ends in an arrow."""
BAR_WIDE = 18
FILLED, HALF, PAST = "█", "▌", "►"
CARE_MARK, HOLD_MARK = ":", "|"
NAME_KEPT = 16


def word(level: str, text: str = "") -> Text:
    """The verdict or level in capitals, or a text marked as such.

    >>> word("hold").plain
    'HOLD'
    """
    return Text(text or level.upper(), f"bold {STYLES[level]}".strip())


def fit(text: str, cells: int) -> str:
    """Text cut with … where it takes more than `cells` columns of a terminal; wide characters take two.

    >>> fit("Nettlefoot", 6)
    'Nettl…'
    """
    if cell_len(text) <= cells:
        return text
    return set_cell_size(text, max(cells - 1, 0)).rstrip() + "…" if cells > 0 else ""


@cache
def _console(width: int) -> Console:
    return Console(file=StringIO(), width=width)


def paragraph(text: str | Text, width: int, *, label: str = "", style: str = "", indent: int = 2) -> list[Text]:
    """Text wrapped to `width` columns behind a label, each further line set in by `indent`.

    The label is followed by a blank and takes `style`.
    """
    whole = Text.assemble((label, style), " " if label else "", text)
    whole.plain = whole.plain.replace(HELD, WHILE_WRAPPED)
    first = whole.wrap(_console(width), width)[0]
    rest = whole[len(first.plain) :]
    rest = rest[len(rest.plain) - len(rest.plain.lstrip()) :]
    lines = [first]
    if rest.plain:
        wrapped = rest.wrap(_console(width - indent), width - indent)
        lines += [Text(" " * indent).append_text(line) for line in wrapped]
    for line in lines:
        line.rstrip()
        line.plain = line.plain.replace(WHILE_WRAPPED, " ")
    return lines


@dataclass(frozen=True)
class Stripe:
    """A column of a page: its heading, its cells, and the least width it may be cut to, None for never.

    Cells of a `whole` one are broken into lines, not cut; a `lesser` one is left out where there is no room; one that
    is `named`, since it has the names of its rows, gives way last where they are not very long.
    """

    head: str
    cells: list[Text]
    right: bool = False
    least: int | None = None
    whole: bool = False
    lesser: bool = False
    named: bool = False

    @property
    def told(self) -> bool:
        """Whether any cell has something to read."""
        return any(cell.plain for cell in self.cells)

    @property
    def natural(self) -> int:
        """The width in which nothing is cut."""
        return max(map(cell_len, (self.head, *(cell.plain for cell in self.cells))))


def lay_out(stripes: Sequence[Stripe], width: int) -> list[list[Text]]:
    """The lines of each row, `width` columns at most, those of the headings first; empty columns are left out.

    Where it is too wide the widest column that may be cut gives way first, then lesser columns go. A cell cut short
    ends in ….
    """
    kept = [stripe for stripe in stripes if stripe.told]
    widths = _widths(kept, width)
    while sum(widths) + len(kept) - 1 > width and any(stripe.lesser for stripe in kept):
        kept.remove([stripe for stripe in kept if stripe.lesser][-1])
        widths = _widths(kept, width)
    rows = zip(*([Text(stripe.head, "bold"), *stripe.cells] for stripe in kept), strict=True)
    return [_row(kept, row, widths) for row in rows]


def _widths(stripes: Sequence[Stripe], width: int) -> list[int]:
    """The width of each column, as narrow as need be and may be."""
    widths = [stripe.natural for stripe in stripes]
    for _ in range(sum(widths) + len(widths) - 1 - width):
        giving = [k for k, one in enumerate(stripes) if one.least is not None and widths[k] > one.least]
        if not giving:
            break
        widths[max(giving, key=lambda k: (not stripes[k].named or widths[k] > NAME_KEPT, widths[k]))] -= 1
    return widths


def _row(stripes: Sequence[Stripe], cells: Sequence[Text], widths: Sequence[int]) -> list[Text]:
    parts = [
        paragraph(cell, width, indent=0) if stripe.whole and cell.cell_len > width else [_cut(cell, width)]
        for stripe, cell, width in zip(stripes, cells, widths, strict=True)
    ]
    lines = []
    for together in zip_longest(*parts, fillvalue=Text()):
        aligned = [shown.copy() for shown in together]
        for stripe, shown, width in zip(stripes, aligned, widths, strict=True):
            shown.align("right" if stripe.right else "left", width)
        lines.append(Text(" ").join(aligned))
        lines[-1].rstrip()
    return lines


def _cut(cell: Text, width: int) -> Text:
    shown = cell if cell.cell_len <= width else Text(fit(cell.plain, width), cell.style)
    shown.plain = shown.plain.replace(HELD, " ")
    return shown


def bar(of: UseBar, width: int = BAR_WIDE) -> Text:
    """A bar as long as a share, with marks where a train is taken with care and where it is held.

    >>> bar(UseBar(0.5, 0.625, 1.0), 10).plain
    '████ :  | '
    """
    halves = floor(2 * width * min(of.use, FULL_SCALE) / FULL_SCALE + 1e-9)
    row = [FILLED] * (halves // 2) + [HALF] * (halves % 2)
    row += [" "] * (width - len(row))
    for mark, column in _marks(of, width):
        if row[column] == " ":
            row[column] = mark
    if of.use > FULL_SCALE:
        row[-1] = PAST
    return Text("".join(row), STYLES[of.level])


def bar_heading(of: UseBar, width: int = BAR_WIDE) -> str:
    """What stands over bars: the marks, and the words for them where there is room."""
    row = [" "] * width
    for mark, column in _marks(of, width):
        row[column] = mark
        told = "care" if mark == CARE_MARK else "hold"
        if column >= len(told) and not "".join(row[column - len(told) : column]).strip():
            row[column - len(told) : column] = told
    return "".join(row)


def _marks(of: UseBar, width: int) -> list[tuple[str, int]]:
    placed = [
        (mark, floor(width * at / FULL_SCALE + 1e-9)) for mark, at in ((CARE_MARK, of.care), (HOLD_MARK, of.hold))
    ]
    return [(mark, column) for mark, column in placed if column < width]


def as_text(lines: Sequence[Text], width: int, colour: bool = False) -> str:
    """Lines as one string ending in a newline; without colour there is not one control code in it."""
    if not colour:
        return "\n".join(line.plain.rstrip() for line in lines) + "\n"
    out = StringIO()
    console = Console(
        file=out, width=width, force_terminal=True, color_system="standard", legacy_windows=False, markup=False,
        highlight=False, emoji=False,
    )  # fmt: skip
    for line in lines:
        console.print(line, soft_wrap=True)
    return out.getvalue()
