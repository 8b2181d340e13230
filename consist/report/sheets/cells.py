"""How a sheet is put together: columns that tell a figure or a name of each thing, and what is left out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from math import isfinite
from types import MappingProxyType
from typing import TypedDict, TypeVar, Unpack

from consist.house import House
from consist.report.document import (
    Block,
    Caution,
    Cell,
    Column,
    Document,
    Item,
    Items,
    Para,
    Row,
    Section,
    Sheet,
    SheetKind,
    Table,
    UseBar,
)  # fmt: skip
from consist.report.words import printable
from consist.rules.finding import Level, Verdict
from consist.wording import NONE, limit_percent, percent

__all__ = [
    "ADDING_WEIGHT", "CLOSING", "EMPTY", "Limits", "Told", "figure", "figures", "filled", "items", "legend", "notes",
    "of_sheets", "section", "sheet", "table", "verdict_cell", "words",
]  # fmt: skip

Thing = TypeVar("Thing")
Told = tuple[Column, Callable[[Thing], Cell]]
"""A column, and what it says of a thing."""
EMPTY = Cell("")
NO_LINKS: Mapping[str, str] = MappingProxyType({})
CLOSING = "For model trains only; never use it for full-size or ride-on railways."
ADDING_WEIGHT = Caution(
    "Adding weight",
    "Lead is poisonous: wash your hands after it, never sand or melt it, keep it from children and food. Fast glue "
    "bonds skin and hot glue burns; wear eye protection to drill or cut. Product labels and local rules come first.",
)
"""For advice to put weight into a car."""


class How(TypedDict, total=False):
    """What a column is besides its heading, as `Column` has it."""

    wide: bool
    lesser: bool
    narrow: str | None
    whole: bool


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

    def cell(self, use: float) -> Cell:
        """A use with its bar."""
        return replace(figure(self.percent(use), use), bar=UseBar(float(use), self.care, self.hold))

    def legend(self, uses: Iterable[float]) -> str:
        """What a use is, and the limits as told beside those uses."""
        told = tuple(uses)
        care, hold = limit_percent(self.care, *told), limit_percent(self.hold, *told)
        return f"Use is the part a car uses of the side pull it can bear; care past {care}, hold past {hold}."


def figure(text: str, value: float | None) -> Cell:
    """A figure as text, and as the JSON has it: nothing where it is not finite."""
    if value is None or not isfinite(value):
        return Cell(text)
    return Cell(text, int(value) if isinstance(value, int) else float(value))


def verdict_cell(level: Verdict | Level | None) -> Cell:
    """A verdict or level in capitals; empty where there is none."""
    return EMPTY if level is None else Cell(level.upper(), level=level, strong=True)


def words(
    title: str,
    of: Callable[[Thing], str | None],
    *,
    strong: bool = False,
    links: Mapping[str, str] = NO_LINKS,
    **how: Unpack[How],
) -> Told[Thing]:
    """A column of names or words, which lead to the sheet that `links` has for them."""

    def cell(thing: Thing) -> Cell:
        text = of(thing) or ""
        return Cell(text, strong=strong and bool(text), link=links.get(text))

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


def items(of: Iterable[Item], *, numbered: bool = False, boxes: bool = False) -> Items | None:
    """A list, None where it would be empty."""
    told = tuple(of)
    return Items(told, numbered, boxes) if told else None


def legend(*said: str) -> Para | None:
    """Small print of the sentences that are not empty, None where all are."""
    text = " ".join(filter(None, said))
    return Para(text, legend=True) if text else None


def section(title: str, *blocks: Block | None) -> Section:
    """The blocks that there are under a heading."""
    return Section(title, tuple(block for block in blocks if block is not None))


def notes(of: Iterable[str]) -> Section:
    """What is to be noted."""
    return section("Notes", items(map(Item, of)))


def sheet(
    kind: SheetKind,
    title: str,
    *sections: Section,
    anchor: str = "",
    verdict: Verdict | None = None,
    train: str | None = None,
) -> Sheet:
    """A sheet of the sections that hold anything; its anchor is its kind where no other is given."""
    return Sheet(kind, anchor or kind, title, tuple(one for one in sections if one.blocks), verdict, train)


def of_sheets(title: str, *sheets: Sheet | None) -> Document:
    """A document of the sheets that there are, every text of it on one line and free of control characters."""
    document: Document = printable(Document(title, tuple(filter(None, sheets)), CLOSING))
    return document
