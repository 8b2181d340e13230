"""A document as the pages of a terminal, and what the terminal, file or pipe that they go to can show."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from rich.text import Text

from consist.report.document import (
    Block,
    Caution,
    Cell,
    Document,
    Facts,
    Item,
    Items,
    Para,
    Picture,
    Sheet,
    Table,
    UseBar,
)
from consist.report.terminal.lines import Stripe, as_text, bar, bar_heading, fit, lay_out, paragraph, word

__all__ = ["Terminal", "TextOf", "as_pages", "plain_lines", "this_terminal"]

TextOf = Callable[[Picture, int], list[Text]]
"""Draws a picture in text of a width; nothing where it is none for a terminal."""
PIPED_WIDTH, LEAST_WIDTH, MOST_WIDTH = 80, 60, 100
RULE, LEAD = "═", 2  # LEAD columns of rule before a page's name and after its verdict
LEAST_NAME, LEAST_WORDS, LEAST_WHOLE = 10, 8, 12
"""Columns that a name, other words, and words that are broken rather than cut keep."""
INDENT = 4
POINTER = "►"


@dataclass(frozen=True)
class Terminal:
    """The width to print at, and whether colour is wanted."""

    width: int = PIPED_WIDTH
    colour: bool = False


def this_terminal() -> Terminal:
    """That of stdout. A pipe or file gets 80 columns without colour; so does NO_COLOR no colour."""
    if sys.stdout is None or not sys.stdout.isatty():
        return Terminal()
    columns = shutil.get_terminal_size((PIPED_WIDTH, 24)).columns
    plain = bool(os.environ.get("NO_COLOR")) or os.environ.get("TERM") == "dumb"
    return Terminal(min(max(columns, LEAST_WIDTH), MOST_WIDTH), not plain)


def as_pages(document: Document, text_of: TextOf | None = None, to: Terminal | None = None) -> str:
    """Every sheet as a page, and the line at the end; `text_of` draws what pictures there are in text."""
    on = to or Terminal()
    lines: list[Text] = []
    for sheet in document.sheets:
        lines += [Text(), Text()] if lines else []
        lines += _page(sheet, text_of or (lambda _picture, _width: []), on.width)
    return as_text([*lines, Text(), *paragraph(document.closing, on.width, indent=0)], on.width, on.colour)


def plain_lines(text: str, label: str = "", width: int = PIPED_WIDTH) -> str:
    """One paragraph behind a label."""
    return as_text(paragraph(text, width, label=label), width)


def _page(sheet: Sheet, text_of: TextOf, width: int) -> Iterator[Text]:
    yield _banner(sheet, width)
    for section in sheet.sections:
        lines: list[Text] = []
        for before, block in zip((None, *section.blocks), section.blocks, strict=False):
            told = _block(block, text_of, width)
            if told and (lines or not section.title) and _apart(block, before, bool(section.title)):
                lines.append(Text())
            lines += told
        if lines and section.title:
            yield Text()
            yield Text(fit(section.title.upper(), width), "bold")
        yield from lines


def _banner(sheet: Sheet, width: int) -> Text:
    """A page's first line: its name in a rule across the page, the verdict at the right end."""
    spelled = Text() if sheet.verdict is None else Text.assemble(" ", word(sheet.verdict), " ")
    room = width - 2 * LEAD - 2 - spelled.cell_len
    shown = Text(fit(sheet.title, room - (0 if spelled.plain else 2)), "bold")
    rule = RULE * max(room - shown.cell_len, 1)
    return Text.assemble(RULE * LEAD, " ", shown, " ", rule, spelled, RULE * LEAD)


def _apart(block: Block, before: Block | None, titled: bool) -> bool:
    """Whether a blank line stands before a block that is not the first under a heading."""
    if any(isinstance(one, Items) and any(item.facts for item in one.items) for one in (block, before)):
        return True  # each thing of the list takes several paragraphs
    if isinstance(block, Para):
        return isinstance(before, Table) and not block.legend and not titled
    if isinstance(block, Caution):
        return before is None
    return isinstance(block, Table | Facts) or (isinstance(block, Picture) and block.kind == "line")


def _block(block: Block, text_of: TextOf, width: int) -> list[Text]:
    match block:
        case Para():
            style = "bold" if block.level is None else str(word(block.level).style)
            indent = 2 if block.label or block.legend else 0
            return paragraph(block.text, width, label=block.label and f"{block.label}:", style=style, indent=indent)
        case Caution():
            return paragraph(block.text, width, label=f"{block.label}:", style="bold")
        case Facts():
            wide = max((len(label) for label, _ in block.facts), default=0)
            facts = ((label.ljust(wide), cell.text) for label, cell in block.facts)
            told = (paragraph(text, width, label=label, style="bold", indent=wide + 1) for label, text in facts)
            return [line for lines in told for line in lines]
        case Items():
            items = enumerate(block.items, start=1)
            return [line for number, item in items for line in _item(item, number, block, width)]
        case Table():
            return [] if block.told_below else _table(block, width)
        case Picture():
            return text_of(block, width)


def _item(item: Item, number: int, of: Items, width: int) -> Iterator[Text]:
    bare = item.label or item.level or len(of.items) == 1
    sign = f"{number}." if of.numbered else "[ ]" if of.boxes else "" if bare else "-"
    label = "" if item.label.lower() == item.level else item.label
    whole = Text.assemble((f"{sign} " if sign else "", "bold" if of.numbered else ""))
    style = "bold"
    if item.level:
        level = word(item.level)
        whole.append_text(level).append(" " if label else ":")
        style = str(level.style)
    whole.append(f"{label}:" if label else "", style)
    whole.append(f" {item.text}" if label or item.level else item.text)
    if item.facts and number > 1:
        yield Text()
    yield from paragraph(whole, width, indent=max(len(sign) + 1, 2))
    for told, words in (*item.facts, *(("", more) for more in item.more)):
        for line in paragraph(words, width - INDENT, label=told, style="bold"):
            yield Text(" " * INDENT).append_text(line)


def _table(table: Table, width: int) -> list[Text]:
    """The table; a bar has a column of its own, in which an engine, having none, has the last of its words."""
    stripes, barred = [], None
    for number in range(len(table.columns)):
        stripes.append(_stripe(table, number))
        shown = table.bar_in(number)
        if isinstance(shown, UseBar):
            drawn = [bar(cell.bar) if isinstance(cell.bar, UseBar) else Text() for cell in table.cells(number)]
            barred = Stripe(bar_heading(shown), drawn)
            stripes.append(barred)
    for number, row in enumerate(table.rows):
        if row.engine and barred is not None:
            last = stripes[-1].cells
            barred.cells[number], last[number] = last[number], barred.cells[number]
    inset = "  " if any(row.over for row in table.rows) else ""
    blank = " " if any(row.marked for row in table.rows) else ""
    head, *lines = lay_out(stripes, width - len(inset + blank))
    found = [Text(inset + blank).append_text(line) for line in head if line.plain]
    for row, several in zip(table.rows, lines, strict=True):
        found += paragraph(Text(row.over, "bold"), width) if row.over else []
        for number, line in enumerate(several):
            sign = POINTER if row.marked and not number else blank
            found.append(Text(inset + sign).append_text(line))
    return found


def _stripe(table: Table, number: int) -> Stripe:
    column, cells = table.columns[number], table.cells(number)
    least = LEAST_WHOLE if column.whole else LEAST_NAME if column.wide else LEAST_WORDS
    fixed = not column.whole and (column.figures or any(cell.level for cell in cells))
    told = [_cell(cell) for cell in cells]
    title = column.title if column.narrow is None else column.narrow
    return Stripe(title, told, column.figures, None if fixed else least, column.whole, column.lesser, column.wide)


def _cell(cell: Cell) -> Text:
    return word(cell.level, cell.text) if cell.level is not None else Text(cell.text, "bold" if cell.strong else "")
