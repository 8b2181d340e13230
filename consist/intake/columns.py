"""Which columns a table has, and the one that names its rows."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from consist.intake.quantities import Quantity
from consist.intake.reading import Reading
from consist.intake.tables import Row, Table
from consist.names import listed, nearest, plain, quoted

__all__ = ["check_columns", "has_columns", "named_rows"]

UNITS_IN_USE = frozenset(
    {"g", "gm", "gram", "grams", "kg", "oz", "ounce", "ounces", "lb", "lbs", "n", "percent", "pct", "deg", "degrees"}
    | {"mm", "cm", "m", "in", "inch", "inches", "ft", "feet"}
)
"""What people write for a unit: a known column that ends in one of these without taking it is a slip."""


def has_columns(table: Table, needed: Sequence[str], reading: Reading) -> bool:
    """Whether the needed columns are there; adds one problem for those that are not."""
    missing = [column for column in needed if column not in table.columns]
    if missing:
        word = "column" if len(missing) == 1 else "columns"
        reading.problem(
            "header",
            f"found {listed(table.columns)} and no {word} {listed(missing)}; the first row must name the columns, "
            f"add {'it' if len(missing) == 1 else 'them'}",
        )
    return not missing


def check_columns(
    table: Table,
    texts: Sequence[str],
    quantities: Iterable[Quantity],
    reading: Reading,
    passed_over: Callable[[str], bool] = lambda column: False,
) -> frozenset[str]:
    """Note columns that are not known, and add a problem for each that lacks its unit or has a wrong one.

    Gives the names of the quantities whose columns cannot be read.
    """
    quantities = tuple(quantities)
    known = [*texts, *(column for quantity in quantities for column in quantity.columns)]
    unread = set()
    for column in table.columns:
        if column in known or passed_over(column):
            continue
        quantity = next((q for q in quantities if _slips(column, q)), None)
        if quantity is None:
            near = nearest(column, known)
            hint = f"; did you mean {quoted(near)}?" if near else ""
            reading.note(f"has a column {quoted(column)} that consist does not know; it was passed over{hint}")
            continue
        unread.add(quantity.name)
        right = " or ".join(quantity.columns)
        fault = "without its unit" if column == quantity.name else "with a unit that consist does not take here"
        reading.problem(f"header, {plain(column)}", f"found a column {fault}, expected {right}; rename the column")
    return frozenset(unread)


def _slips(column: str, quantity: Quantity) -> bool:
    if column == quantity.name:
        return True
    start, _, unit = column.rpartition("_")
    return start == quantity.name and unit in UNITS_IN_USE


def named_rows(table: Table, column: str, what: str, reading: Reading) -> tuple[tuple[str, Row], ...]:
    """The rows with their names, each once; adds a problem for a row without a name or a name given twice."""
    found: dict[str, Row] = {}
    for row in table.rows:
        name = row.cells.get(column, "")
        place = f"row {row.number}, {column}"
        if not name:
            reading.problem(place, f"found an empty cell, expected the {what}'s name; name it or clear the row")
        elif name in found:
            first = found[name].number
            reading.problem(
                place, f"found {quoted(name)}, which row {first} names already; expected each {what} once, remove one"
            )
        else:
            found[name] = row
    return tuple(found.items())
