"""Cells that hold a figure or a name, and the text of a document made fit to print."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields, is_dataclass, replace
from math import isfinite
from typing import Any

from consist.report.document import Cell, Document, Table, UseBar
from consist.report.units import Units
from consist.report.verdicts import word
from consist.report.words import BLANK_IN_NAME, NONE, clean, percent
from consist.rules.finding import Level, Verdict
from consist.session import Session

__all__ = ["figure", "filled", "held_together", "name", "printable", "use_bar", "verdict_cell", "weight"]

NO_BREAK = "\u00a0"
LONGEST_HELD = 24
"""A name of more characters may be broken at its blanks, so that it fits the narrowest column."""
NOT_PRINTED = frozenset({"train", "anchor", "link"})
"""Fields that name something to the program and are not shown."""


def figure(text: str, value: float | None, *, link: str | None = None) -> Cell:
    """A figure as text, and as the JSON has it: nothing where it is not finite."""
    if value is None or not isfinite(value):
        return Cell(text, link=link)
    return Cell(text, int(value) if isinstance(value, int) else float(value), link=link)


def name(text: str | None, *, strong: bool = False, link: str | None = None) -> Cell:
    """A name from a file."""
    return Cell(clean(text or ""), strong=strong, link=link)


def weight(grams: float | None, units: Units) -> Cell:
    """A car's weight, a dash where it was not weighed."""
    return Cell(NONE) if grams is None else figure(units.weight_figure(grams), grams)


def verdict_cell(level: Verdict | Level | None) -> Cell:
    """A verdict or level in capitals; empty where there is none."""
    return Cell("") if level is None else Cell(word(level).plain, level=level, strong=True)


def use_bar(session: Session, use: float, *, bar: bool = True) -> Cell:
    """A car's side use, with its bar."""
    shown = UseBar(float(use), 1.0 / session.house.care_margin, 1.0 / session.house.hold_margin)
    return replace(figure(percent(use), use), bar=shown if bar else None)


def filled(table: Table) -> Table:
    """The table without the columns in which no row has anything to read."""
    kept = [
        number
        for number, column in enumerate(table.columns)
        if column.ticked or any(row.cells[number].text for row in table.rows)
    ]
    rows = tuple(replace(row, cells=tuple(row.cells[number] for number in kept)) for row in table.rows)
    return replace(table, columns=tuple(table.columns[number] for number in kept), rows=rows)


def printable(document: Document) -> Document:
    """The document with every text of it on one line, without control characters and the terminal's own marks."""
    shown: Document = _printable(document)
    return shown


def held_together(text: str) -> str:
    """Text that is clean, with blanks that are not broken at where the terminal's pages have theirs.

    >>> held_together("Take car NQH\\ue000930 off.")
    'Take car NQH\\xa0930 off.'
    """
    return " ".join(map(_held, clean(text).split(" ")))


def _held(part: str) -> str:
    return part.replace(BLANK_IN_NAME, NO_BREAK if len(part) <= LONGEST_HELD else " ")


def _printable(thing: Any) -> Any:
    if isinstance(thing, str):
        return held_together(thing)
    if isinstance(thing, tuple):
        return tuple(map(_printable, thing))
    if not is_dataclass(thing) or isinstance(thing, type):
        return thing
    shown: Iterable[str] = (field.name for field in fields(thing) if field.name not in NOT_PRINTED)
    return replace(thing, **{key: _printable(getattr(thing, key)) for key in shown})
