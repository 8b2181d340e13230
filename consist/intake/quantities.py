"""Numbers with their units: the columns that carry them, and how their cells are read."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from consist.intake.names import quoted
from consist.intake.reading import Reading
from consist.intake.tables import Row, Table
from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH

__all__ = [
    "LENGTH",
    "NOT_NEGATIVE",
    "POSITIVE",
    "ROLLS_AT_PERCENT",
    "VEHICLE_LENGTH",
    "WEIGHT",
    "Bounds",
    "Quantity",
    "parse_number",
    "read_quantity",
]

WEIGHT: Mapping[str, float] = {"g": 1.0, "oz": GRAMS_PER_OUNCE}
LENGTH: Mapping[str, float] = {"mm": 1.0, "in": MM_PER_INCH}

_PLAIN = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", re.ASCII)
_THOUSANDS = re.compile(r"[+-]?\d{1,3}([ ,.'’_]\d{3})+([.,]\d+)?", re.ASCII)
_WITH_UNIT = re.compile(r"[+-]?[\d.,]+ ?([^\W\d_]+|[\"″%°])\.?")


@dataclass(frozen=True)
class Bounds:
    """What a number may be. `above` and `below` leave out the bound itself; `zero` lets 0 be as well."""

    low: float
    high: float
    above: bool = False
    below: bool = False
    zero: bool = False

    def hold(self, value: float) -> bool:
        """Whether the value lies within."""
        if self.zero and value == 0:
            return True
        low = value > self.low if self.above else value >= self.low
        high = value < self.high if self.below else value <= self.high
        return math.isfinite(value) and low and high

    @property
    def words(self) -> str:
        """The bounds in words.

        >>> Bounds(0, 15, above=True).words, Bounds(0.001, 15, zero=True).words
        ('a number over 0 and up to 15', '0 or a number from 0.001 to 15')
        """
        either = "0 or " if self.zero else ""
        low = f"over {_figure(self.low)}" if self.above else f"from {_figure(self.low)}"
        if self.below:
            return f"{either}a number {low} and under {_figure(self.high)}"
        return f"{either}a number {low} {'and up ' if self.above else ''}to {_figure(self.high)}"


def _figure(value: float) -> str:
    return f"{value:.12g}"


# A model of under a thousandth of a unit or over a million of them is a slip of the pen in any scale.
POSITIVE = Bounds(0.001, 1_000_000)
NOT_NEGATIVE = Bounds(0.001, 1_000_000, zero=True)
VEHICLE_LENGTH = Bounds(0.001, 5000)  # a car of 110 ft is 1.5 m in the largest scale known, 1:22.5
ROLLS_AT_PERCENT = Bounds(0.001, 15)  # common practice, no source: the freest cars need hundreds of times the least


@dataclass(frozen=True)
class Quantity:
    """A column of numbers. `units` gives what one unit is in the program's own; the first is the program's.

    A quantity without units, such as a share, has an empty mapping. `cure` says what to do about a bad cell.
    """

    name: str
    units: Mapping[str, float]
    bounds: Bounds = POSITIVE
    cure: str = "correct the number or leave the cell empty"
    columns: Mapping[str, float] = field(init=False)

    def __post_init__(self) -> None:
        columns = {f"{self.name}_{unit}": size for unit, size in self.units.items()} or {self.name: 1.0}
        object.__setattr__(self, "columns", columns)

    @property
    def field_name(self) -> str:
        """The field of a record that holds it, in the program's own unit."""
        return next(iter(self.columns))


def parse_number(text: str, decimal_comma: bool = False) -> float | None:
    """The number a cell holds, or None where it is not one plain number. May be infinite.

    >>> parse_number("1,5", decimal_comma=True)
    1.5
    >>> parse_number("1,500") is None
    True
    """
    if decimal_comma and text.count(",") == 1 and "." not in text:
        text = text.replace(",", ".")
    return float(text) if _PLAIN.fullmatch(text) else None


def read_quantity(quantity: Quantity, row: Row, table: Table, reading: Reading) -> float | None:
    """A row's quantity in the program's own unit; None where it is blank or, with a problem added, bad."""
    filled = [column for column in quantity.columns if row.cells.get(column)]
    if not filled:
        return None
    if len(filled) > 1:
        found = " and ".join(quoted(row.cells[column]) for column in filled)
        place = f"row {row.number}, {' and '.join(filled)}"
        reading.problem(place, f"found {found}, expected the {_words(quantity)} once; clear one of the two cells")
        return None
    column, text = filled[0], row.cells[filled[0]]
    value = parse_number(text, table.decimal_comma)
    place = f"row {row.number}, {column}"
    if value is None:
        reading.problem(place, f"found {quoted(text)}, expected a number; {_mend(text, quantity)}")
        return None
    if not quantity.bounds.hold(value):
        reading.problem(place, f"found {quoted(text)}, expected {quantity.bounds.words}; {quantity.cure}")
        return None
    return value * quantity.columns[column]


def _words(quantity: Quantity) -> str:
    return quantity.name.replace("_", " ")


def _mend(text: str, quantity: Quantity) -> str:
    if _THOUSANDS.fullmatch(text):
        return "write it without thousands separators, and with a point before decimals"
    if re.fullmatch(r"[+-]?\d*,\d+", text):
        return f"write {text.replace(',', '.')} with a point"
    if _WITH_UNIT.fullmatch(text):
        return "write the number alone, since the column's name carries the unit"
    return quantity.cure
