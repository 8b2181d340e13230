"""Cells that hold a figure, a name, a level or a side use, and what the house's limits make of a use."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from math import isfinite
from typing import TypeVar

from consist.house import House
from consist.report.document import Cell, Column, Row, Table, UseBar
from consist.report.words import margin
from consist.rules.finding import Level, Verdict
from consist.wording import NONE, Units, limit_percent, percent

__all__ = [
    "EMPTY", "Limits", "count", "figure", "filled", "length", "margin_cell", "name", "table", "train_weight",
    "verdict_cell", "weight",
]  # fmt: skip

Thing = TypeVar("Thing")

EMPTY = Cell("")


@dataclass(frozen=True)
class Limits:
    """The shares of side use past which the house takes care and holds, and how a use is told beside them."""

    care: float
    hold: float

    @classmethod
    def of(cls, house: House) -> Limits:
        """Those of a house."""
        return cls(1.0 / house.care_margin, 1.0 / house.hold_margin)

    def percent(self, use: float | None) -> str:
        """A use so that it never seems to cross or reach a limit that it has not."""
        return percent(use, self.care, self.hold)

    def level(self, use: float) -> Level | None:
        """The level at which a use is, None where it is well."""
        return "hold" if use > self.hold else "care" if use > self.care else None

    def cell(self, use: float, *, bar: bool = True) -> Cell:
        """A use with its bar."""
        shown = UseBar(float(use), self.care, self.hold)
        return replace(figure(self.percent(use), use), bar=shown if bar else None)

    def legend(self, uses: Iterable[float]) -> str:
        """What a use is, and the limits as told beside those uses."""
        told = tuple(uses)
        care, hold = limit_percent(self.care, *told), limit_percent(self.hold, *told)
        return f"Use is the part a car uses of the side pull it can bear; care past {care}, hold past {hold}."


def figure(text: str, value: float | None, *, link: str | None = None) -> Cell:
    """A figure as text, and as the JSON has it: nothing where it is not finite."""
    if value is None or not isfinite(value):
        return Cell(text, link=link)
    return Cell(text, int(value) if isinstance(value, int) else float(value), link=link)


def name(text: str | None, *, strong: bool = False, link: str | None = None) -> Cell:
    """A name from a file."""
    return Cell(text or "", strong=strong, link=link)


def weight(grams: float | None, units: Units) -> Cell:
    """A car's weight or a pull, a dash where there is none."""
    return Cell(NONE) if grams is None else figure(units.weight_figure(grams), grams)


def verdict_cell(level: Verdict | Level | None) -> Cell:
    """A verdict or level in capitals; empty where there is none."""
    return EMPTY if level is None else Cell(level.upper(), level=level, strong=True)


def filled(table: Table) -> Table:
    """The table without the columns in which no row has anything to read."""
    kept = [k for k, c in enumerate(table.columns) if c.ticked or any(row.cells[k].text for row in table.rows)]

    def cut(row: Row) -> Row:
        return replace(row, cells=tuple(row.cells[k] for k in kept))

    return replace(table, columns=tuple(table.columns[k] for k in kept), rows=tuple(map(cut, table.rows)))


def table(
    name: str,
    things: Iterable[Thing],
    *told: tuple[Column, Callable[[Thing], Cell]],
    row: Callable[[Thing, tuple[Cell, ...]], Row] | None = None,
    findable: bool = False,
    told_below: bool = False,
) -> Table:
    """A table of things, a row each: `told` has each column and what it says of one, `row` makes a row of cells."""
    make = row or (lambda _, cells: Row(cells))
    rows = tuple(make(thing, tuple(cell(thing) for _, cell in told)) for thing in things)
    return Table(name, tuple(column for column, _ in told), rows, findable, told_below)


def count(number: int | None) -> Cell:
    """A number of things, or the number of one; empty where there is none."""
    return EMPTY if number is None else figure(str(number), number)


def length(mm: float, units: Units) -> Cell:
    """A train's length or a distance."""
    return figure(units.distance(mm), mm)


def train_weight(grams: float, units: Units) -> Cell:
    """The weight of many cars."""
    return figure(units.train_weight_figure(grams), grams)


def margin_cell(value: float | None) -> Cell:
    """A margin."""
    return figure(margin(value), value)
