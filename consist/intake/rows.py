"""Tables read row by row, by the fields declared for them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from consist.intake.fields import Field
from consist.intake.files import Reading
from consist.intake.tables import Row, Table, read_table
from consist.names import listed, nearest, plain, quoted

__all__ = ["Given", "open_table", "parse_number", "read_cells", "read_rows", "table_file"]

UNITS_IN_USE = frozenset(
    {"g", "gm", "gram", "grams", "kg", "oz", "ounce", "ounces", "lb", "lbs", "n", "percent", "pct", "deg", "degrees"}
    | {"mm", "cm", "m", "in", "inch", "inches", "ft", "feet"}
)
"""What people write for a unit: a known column that ends in one of these without taking it is a slip."""

_PLAIN = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", re.ASCII)
_THOUSANDS = re.compile(r"[+-]?\d{1,3}([ ,.'’_]\d{3})+([.,]\d+)?", re.ASCII)
_WITH_UNIT = re.compile(r"[+-]?[\d.,]+ ?([^\W\d_]+|[\"″%°])\.?")


@dataclass(frozen=True)
class Given:
    """A row that names something: its number in the file, and what it says by the names its fields go on by.

    What is blank or bad is not in `values`. `filled` are the fields that the row, or a column that cannot be read,
    may hold.
    """

    name: str
    row: int
    values: Mapping[str, Any]
    filled: frozenset[str] = frozenset()


def table_file(folder: Path, name: str) -> tuple[Path | None, Reading]:
    """The file of a folder's table, None where it has none or, with a problem added, two; and its reading."""
    there = [path for path in (folder / f"{name}.csv", folder / f"{name}.xlsx") if path.exists()]
    reading = Reading(there[0].name if there else f"{name}.csv")
    if len(there) > 1:
        reading.problem("", f"found {name}.csv and {name}.xlsx, expected one of them; remove or rename the other")
        return None, reading
    return (there[0] if there else None), reading


def open_table(
    path: Path, fields: Sequence[Field], needed: Sequence[str], reading: Reading
) -> tuple[Table, frozenset[str]] | None:
    """A file's table and the names of its fields whose columns cannot be read.

    None, with problems added, where the file cannot be read as a table, or a needed column is missing.
    """
    table = read_table(path, reading)
    if table is None:
        return None
    missing = [column for column in needed if column not in table.columns]
    if missing:
        word, them = ("column", "it") if len(missing) == 1 else ("columns", "them")
        reading.problem(
            "header",
            f"found {listed(table.columns)} and no {word} {listed(missing)}; the first row must name the columns, "
            f"add {them}",
        )
        return None
    return table, frozenset(_unread(table, fields, reading))


def _unread(table: Table, fields: Sequence[Field], reading: Reading) -> Iterator[str]:
    """Note columns that are not known, and add a problem for each that lacks its unit or has a wrong one."""
    known = [column for each in fields for column in each.columns]
    for column in table.columns:
        if column in known:
            continue
        slip = next((each for each in fields if each.is_number and _slips(column, each)), None)
        if slip is None:
            near = nearest(column, known)
            hint = f"; did you mean {quoted(near)}?" if near else ""
            reading.note(f"has a column {quoted(column)} that consist does not know; it was passed over{hint}")
            continue
        fault = "without its unit" if column == slip.name else "with a unit that consist does not take here"
        right = " or ".join(slip.columns)
        reading.problem(f"header, {plain(column)}", f"found a column {fault}, expected {right}; rename the column")
        yield slip.name


def _slips(column: str, each: Field) -> bool:
    start, _, unit = column.rpartition("_")
    return column == each.name or (start == each.name and unit in UNITS_IN_USE)


def read_rows(path: Path, fields: Sequence[Field], reading: Reading) -> tuple[Given, ...] | None:
    """The rows of a table, each named once by its first field; None, with problems added, where it is none."""
    opened = open_table(path, fields, [fields[0].name], reading)
    if opened is None:
        return None
    table, unread = opened
    named = tuple(_named(table, fields[0].name, reading))
    return tuple(
        Given(
            name,
            row.number,
            read_cells(fields[1:], row, table.decimal_comma, reading),
            unread.union(each.name for each in fields if any(row.cells.get(column) for column in each.columns)),
        )
        for name, row in named
    )


def _named(table: Table, column: str, reading: Reading) -> Iterator[tuple[str, Row]]:
    first: dict[str, int] = {}
    for row in table.rows:
        name = row.cells[column]
        place = f"row {row.number}, {column}"
        if not name:
            reading.problem(place, f"found an empty cell, expected the {column}'s name; name it or clear the row")
        elif name in first:
            told = f"found {quoted(name)}, which row {first[name]} names already"
            reading.problem(place, f"{told}; expected each {column} once, remove one")
        else:
            first[name] = row.number
            yield name, row


def read_cells(fields: Sequence[Field], row: Row, decimal_comma: bool, reading: Reading) -> dict[str, Any]:
    """What a row says, by the names its fields go on by, without what is blank or, with a problem added, bad."""
    values: dict[str, Any] = {}
    for each in fields:
        filled = [column for column in each.columns if row.cells.get(column)]
        place = f"row {row.number}, {' and '.join(filled)}"
        if len(filled) > 1:
            found = " and ".join(quoted(row.cells[column]) for column in filled)
            what = each.name.replace("_", " ")
            reading.problem(place, f"found {found}, expected the {what} once; clear one of the two cells")
        elif filled:
            value, wrong = _value(each, filled[0], row.cells[filled[0]], decimal_comma)
            if wrong:
                reading.problem(place, f"found {quoted(row.cells[filled[0]])}, {wrong}")
            else:
                values[each.goes_on_as] = value
    return values


def _value(each: Field, column: str, text: str, decimal_comma: bool) -> tuple[object, str]:
    """What a cell holds, in the program's own unit, and what is wrong with it, empty where it is good."""
    if each.words:
        known = text.casefold() in each.words
        return each.words.get(text.casefold()), "" if known else f"{each.fault}; {each.cure}"
    if not (each.is_number or each.kind == "whole number"):
        return text, ""
    number = parse_number(text, decimal_comma)
    held = number if number is not None and each.bounds.hold(number) else None
    if each.kind == "whole number":
        whole = held is not None and held.is_integer()
        return (int(held) if held is not None and whole else None), "" if whole else f"{each.fault}; {each.cure}"
    if number is None:
        return None, f"expected a number; {_mended(text, each)}"
    if held is None:
        return None, f"expected {each.bounds.words}; {each.cure}"
    return held * each.columns[column], ""


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


def _mended(text: str, each: Field) -> str:
    """What to do about a cell that is no number."""
    if _THOUSANDS.fullmatch(text):
        return "write it without thousands separators, and with a point before decimals"
    if re.fullmatch(r"[+-]?\d*,\d+", text):
        return f"write {text.replace(',', '.')} with a point"
    if _WITH_UNIT.fullmatch(text):
        return "write the number alone, since the column's name carries the unit"
    return each.cure
