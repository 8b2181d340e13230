"""Tables: columns that tell a figure or a name of each thing, each declared once; and how a side use is told."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from math import isfinite
from typing import TypedDict, TypeVar, Unpack

from consist.house import House
from consist.report.document import Cell, Column, Row, Table, UseBar
from consist.rules.case import Level, Verdict
from consist.wording import NONE, limit_percent, percent

__all__ = [
    "EMPTY", "Told", "bar_of", "figure", "figures", "filled", "table", "use_cell", "use_legend", "use_words",
    "verdict_cell", "words",
]  # fmt: skip

Thing = TypeVar("Thing")
Told = tuple[Column, Callable[[Thing], Cell]]
"""A column, and what it says of a thing."""
EMPTY = Cell("")


class How(TypedDict, total=False):
    """What a column is besides its heading, as `Column` has it."""

    wide: bool
    lesser: bool
    narrow: str | None
    whole: bool


def figure(text: str, value: float | None) -> Cell:
    """A figure as text, and as the JSON has it: nothing where it is not finite."""
    if value is None or not isfinite(value):
        return Cell(text)
    return Cell(text, int(value) if isinstance(value, int) else float(value))


def verdict_cell(level: Verdict | Level | None) -> Cell:
    """A verdict or level in capitals; empty where there is none."""
    return EMPTY if level is None else Cell(level.upper(), level=level, strong=True)


def _limits(house: House) -> tuple[float, float]:
    """The shares of side use past which the house takes care and holds."""
    return 1.0 / house.care_margin, 1.0 / house.hold_margin


def use_words(house: House, use: float) -> str:
    """A side use so that it never seems to cross or reach a limit that it has not."""
    return percent(use, *_limits(house))


def use_cell(house: House, use: float) -> Cell:
    """A side use with its bar."""
    return replace(figure(use_words(house, use), use), bar=bar_of(house, use))


def bar_of(house: House, use: float) -> UseBar:
    """The bar of a side use, against where the house's care and hold begin."""
    return UseBar(float(use), *_limits(house))


def use_legend(house: House, uses: Iterable[float]) -> str:
    """What a side use is, and the limits as told beside those uses."""
    told = tuple(uses)
    care, hold = (limit_percent(limit, *told) for limit in _limits(house))
    return f"Use is the part a car uses of the side pull it can bear; care past {care}, hold past {hold}."


def words(
    title: str,
    of: Callable[[Thing], str | None],
    *,
    strong: bool = False,
    links: Mapping[str, str] | None = None,
    **how: Unpack[How],
) -> Told[Thing]:
    """A column of names or words, which lead to the sheet that `links` has for them."""

    def cell(thing: Thing) -> Cell:
        text = of(thing) or ""
        return Cell(text, strong=strong and bool(text), link=(links or {}).get(text))

    return Column(title, **how), cell


def figures(
    title: str,
    of: Callable[[Thing], float | None],
    tell: Callable[[float], str] = str,
    none: str = NONE,
    **how: Unpack[How],
) -> Told[Thing]:
    """A column of figures, each in words by `tell`; `none` stands where there is no figure."""

    def cell(thing: Thing) -> Cell:
        value = of(thing)
        return Cell(none) if value is None else figure(tell(value), value)

    return Column(title, figures=True, **how), cell


def table(
    name: str,
    things: Iterable[Thing],
    *told: Told[Thing],
    row: Callable[[Thing, tuple[Cell, ...]], Row] | None = None,
    findable: bool = False,
    told_below: bool = False,
) -> Table:
    """A table of things, a row each; `row` makes a row of a thing and its cells where it is more than those."""
    make = row or (lambda _, cells: Row(cells))
    rows = tuple(make(thing, tuple(cell(thing) for _, cell in told)) for thing in things)
    return Table(name, tuple(column for column, _ in told), rows, findable, told_below)


def filled(table: Table) -> Table:
    """The table without the columns in which no row has anything to read."""
    kept = [k for k, c in enumerate(table.columns) if c.ticked or any(row.cells[k].text for row in table.rows)]
    rows = (replace(row, cells=tuple(row.cells[k] for k in kept)) for row in table.rows)
    return replace(table, columns=tuple(table.columns[k] for k in kept), rows=tuple(rows))
