"""Tables read row by row, by the fields declared for them."""

from __future__ import annotations

import os
import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from consist.intake.fields import UNITS, Field, at_odds, declared
from consist.intake.files import Reading
from consist.intake.table_map import AS_OURS, TableMap, proto_column
from consist.intake.tables import KINDS, WRITTEN, Row, Table, read_table
from consist.intake.workbook import UNWORKED, Odd
from consist.measures import UNIT_WORDS, prototype_feet, says_nothing, written_number
from consist.names import listed, near_hint, plain, quoted
from consist.scales import MM_PER_FOOT

__all__ = ["Given", "own_files", "parse_number", "read_rows", "table_file", "table_files"]

UNITS_IN_USE = frozenset(
    {"g", "gm", "gram", "grams", "kg", "oz", "ounce", "ounces", "lb", "lbs", "n", "percent", "pct", "deg", "degrees"}
    | {"mm", "cm", "m", "in", "inch", "inches", "ft", "feet"}
)
"""What people write for a unit: a known column that ends in one of these without taking it is a slip."""

OTHER_KINDS = (".fods", ".xlsm", ".xlsb", ".numbers", ".tsv", ".tab", ".txt")
"""What other programs save a table as."""

_PLAIN = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", re.ASCII)
_THOUSANDS = re.compile(r"[+-]?\d{1,3}([ ,.'’_]\d{3})+([.,]\d+)?", re.ASCII)
_MONTH = "(?:jan|feb|m[aä]r|apr|ma[iy]|jun|jul|aug|sep|o[ck]t|nov|de[cz])"
_LOOKS_LIKE_A_DATE = re.compile(
    rf"\d{{1,2}}[-./ ]*{_MONTH}[^\d]*(?:\d{{2,4}})?|{_MONTH}[^\d]*\d{{1,4}}|\d{{4}}-\d\d-\d\d|"
    r"\d{1,2}(?P<between>[-./])\d{1,2}(?P=between)\d{2,4}",
    re.I,
)


Columns = Mapping[Field, Mapping[str, float]]
"""By the fields of a table: the columns that may hold each, and the unit of each in the program's own."""


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


def table_file(folder: Path, name: str, how: TableMap = AS_OURS) -> tuple[Path | None, Reading]:
    """The file of a folder's table, None where it has none or, with a problem added, none to be read; its reading.

    A map may name another file.
    """
    if how.file:
        mapped = mapped_file(folder, how)
        reading = Reading(plain(mapped.name))
        for path in table_files(folder, name):
            if not _same(path, mapped):
                reading.notes.append(f"{plain(path.name)} was not read: session.toml names {reading.file} instead")
        return mapped, reading
    there, others = table_files(folder, name), table_files(folder, name, OTHER_KINDS)
    for kind in KINDS:  # a system that hides endings makes trains.csv.txt of it
        others += table_files(folder, f"{name}{kind}", (*KINDS, *OTHER_KINDS))
    reading = Reading((*there, *others, Path(f"{name}.csv"))[0].name)
    if len(there) > 1:
        found = " and ".join(path.name for path in there)
        reading.problem("", f"found {found}, expected one of them; remove or rename the other")
    elif others and not there:
        told = (
            f"found a table of a kind that is not read, expected {name}.csv or {name}.xlsx; save it as one of these"
        )
        reading.problem("", told)
    return (there[0] if len(there) == 1 else None), reading


def mapped_file(folder: Path, how: TableMap) -> Path:
    """The file that a map of a session's folder names."""
    return Path(os.path.normpath(folder / how.file))


def _same(path: Path, other: Path) -> bool:
    with suppress(OSError, ValueError):
        return path.samefile(other)
    return False


def own_files(folder: Path, name: str, maps: Mapping[str, TableMap]) -> list[Path]:
    """The files of a session's table: that which its map names, else those of the folder."""
    how = maps.get(name, AS_OURS)
    return [mapped_file(folder, how)] if how.file else table_files(folder, name)


def table_files(folder: Path, name: str, kinds: Collection[str] = ()) -> list[Path]:
    """The files of a folder that are a table by their names, whatever the case of the letters.

    A copy of a kind that is read and not written is left alone beside one that can be written.
    """
    if not kinds:
        return table_files(folder, name, WRITTEN) or table_files(folder, name, KINDS)
    with suppress(OSError):
        return sorted(
            path for path in folder.iterdir() if path.stem.casefold() == name and path.suffix.casefold() in kinds
        )
    return []


def read_rows(
    path: Path, reading: Reading, *tables: str, how: TableMap = AS_OURS, ratio: float | None = None
) -> tuple[Given, ...]:
    """The rows of a table that names something in its first field, by the tables of `fields.toml` that declare it.

    `ratio` is that of the scale, by which feet of the prototype are divided. Problems go to `reading`; refused where
    the file is no table or a column that is needed is missing.
    """
    fields = declared(*tables)
    needed = [each.name for each in fields if _is_needed(each)]
    table = read_table(path, reading, how, needed)
    columns = {each: _columns(each, ratio) for each in fields}
    _check_header(table, needed, how, reading)
    unread = frozenset(_unread(table, columns, reading))
    nothing: list[str] = []
    try:
        given = [_given(row, columns, unread, table.decimal_comma, reading, nothing) for row in table.rows]
    finally:
        _tell_unworked_once(reading)
    if nothing:
        more = f" and {len(nothing) - 1} more" if nothing[1:] else ""
        reading.note(f"has nothing to read in {nothing[0]}{more}; such cells were taken as empty")
    rows = tuple(row for row in given if row.name)
    if fields[0].once:
        rows = tuple(_once(rows, fields[0].name, reading))
    for row in rows:
        for at, told in at_odds(tables[0], {**row.values, "name": quoted(row.name)}, row.filled):
            reading.problem(f"row {row.row}, {at}", told)
    return rows


def _tell_unworked_once(reading: Reading) -> None:
    """Tell formulas that were never worked out in one line: where one is, often all of a table's are."""
    alike = [problem for problem in reading.problems if UNWORKED in problem.text]
    if alike[1:]:
        others = f"{UNWORKED} and in {len(alike) - 1} more cells"
        first = replace(alike[0], text=alike[0].text.replace(UNWORKED, others))
        kept = [problem for problem in reading.problems if problem not in alike[1:]]
        reading.problems[:] = [first if problem is alike[0] else problem for problem in kept]


def _columns(each: Field, ratio: float | None) -> dict[str, float]:
    """The columns that may hold a field in a table, each with its unit in the program's own."""
    if ratio is None or each.kind != "length":
        return each.columns
    return {**each.columns, proto_column(each): MM_PER_FOOT / ratio}


def _is_needed(each: Field) -> bool:
    return each.kind == "name" or bool(each.needed)


def _check_header(table: Table, needed: Sequence[str], how: TableMap, reading: Reading) -> None:
    missing = [column for column in needed if column not in table.header]
    if missing and how.columns:
        told = f"found no {listed(missing)} in its table of session.toml; add {missing[0]} and its heading there"
        reading.refuse(told, "header")
    if missing:
        word, them = ("column", "it") if len(missing) == 1 else ("columns", "them")
        found = f"found {listed(table.columns)} and no {word} {listed(missing)}"
        reading.refuse(f"{found}; the first row must name the columns, add {them}", "header")


def _unread(table: Table, fields: Columns, reading: Reading) -> Iterator[str]:
    """Note columns that are not known, and add a problem for each that lacks its unit or has a wrong one."""
    known = [column for columns in fields.values() for column in columns]
    for column in table.columns:
        if column in known:
            continue
        slip = next((each for each in fields if each.is_number and _slips(column, each)), None)
        if slip is None:
            hint = near_hint(column, known)
            reading.note(f"has a column {quoted(column)} that consist does not know; it was passed over{hint}")
            continue
        fault = "without its unit" if column == slip.name else "with a unit that consist does not take here"
        right = " or ".join(slip.columns)
        reading.problem(f"header, {plain(column)}", f"found a column {fault}, expected {right}; rename the column")
        yield slip.name


def _slips(column: str, each: Field) -> bool:
    start, _, unit = column.rpartition("_")
    return column == each.name or (start == each.name and unit in UNITS_IN_USE)


def _given(
    row: Row,
    fields: Columns,
    unread: frozenset[str],
    decimal_comma: bool,
    reading: Reading,
    nothing: list[str],
) -> Given:
    """What a row says; where it has cells that say nothing, `nothing` gets their places."""
    values: dict[str, Any] = {}
    filled = set(unread)
    for each, columns in fields.items():
        cells = {column: text for column in columns if (text := row.cells.get(column))}
        blank = [
            column for column, text in cells.items() if each.kind not in ("name", "remark") and says_nothing(text)
        ]
        for column in blank:
            nothing.append(f"{reading.place(f'row {row.number}, {column}')} ({quoted(cells.pop(column))})")
        told = ""
        if len(cells) > 1:
            found = " and ".join(map(quoted, cells.values()))
            told = f"found {found}, expected the {each.name.replace('_', ' ')} once; clear one of the two cells"
        elif odd := _odd(each, row, cells):
            [text] = cells.values()
            shown = "" if text == "=" else f"{quoted(text)}, "
            told = f"found {shown}{odd.what}, {each.fault or 'expected plain text or a number'}; {odd.cure}"
        elif cells:
            [(column, text)] = cells.items()
            values[each.goes_on_as] = value = _value(each, text, column, columns[column], decimal_comma)
            told = f"found {quoted(text)}, {_fault(each, text, decimal_comma)}" if value is None else ""
        elif _is_needed(each):
            told = f"found an empty cell, {each.fault}; {each.cure}"
        if told:
            values.pop(each.goes_on_as, None)
            reading.problem(f"row {row.number}, {' and '.join(cells or [each.name])}", told)
        if cells:
            filled.add(each.name)
    return Given(values.pop(next(iter(fields)).name, ""), row.number, values, frozenset(filled))


def _odd(each: Field, row: Row, cells: Iterable[str]) -> Odd | None:
    """What the one cell of a field holds that is no text and no number, where that does harm."""
    odd = next((row.odd[column] for column in cells if column in row.odd), None)
    return None if odd is None or (odd.harmless and each.kind == "remark") else odd


def _value(each: Field, text: str, column: str, unit: float, decimal_comma: bool) -> Any:
    """What a cell holds, None where it may not."""
    if each.words:
        return each.words.get(text.casefold())
    count = each.kind == "whole number"
    if not (each.is_number or count):
        return text
    if count:
        number = parse_number(text, decimal_comma)
    elif column == proto_column(each):
        number = prototype_feet(text, decimal_comma)
    else:
        number = _measured(each, text, unit, decimal_comma)
    if number is None or not each.bounds.hold(number) or (count and not number.is_integer()):
        return None
    return int(number) if count else number * unit


def _measured(each: Field, text: str, unit: float, decimal_comma: bool) -> float | None:
    """The number of a cell in the unit of its column; None where it is none, or has a unit of another kind."""
    written = written_number(text, decimal_comma)
    if written is None or not written[1]:
        plain_number = parse_number(text, decimal_comma)
        return plain_number if plain_number is not None or written is None else written[0]
    if each.kind == "number":
        return written[0] / 100.0 if written[1] == "%" else None
    size = UNIT_WORDS[each.kind].get(written[1])
    return None if size is None else written[0] * size / unit


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


def _fault(each: Field, text: str, decimal_comma: bool) -> str:
    """What was expected in place of a bad cell, and what to do about it."""
    expected, cure = each.fault or f"expected {each.bounds.words}", each.cure
    if not each.fault and parse_number(text, decimal_comma) is None:
        expected = "expected a number"
        if _THOUSANDS.fullmatch(text):
            cure = "write it without thousands separators, and with a point before decimals"
        elif re.fullmatch(r"[+-]?\d*,\d+", text):
            cure = f"write {text.replace(',', '.')} with a point"
        elif _LOOKS_LIKE_A_DATE.fullmatch(text):
            expected, cure = f"{expected}, not a date", "where a fraction was meant, type it again as text"
        elif (written := written_number(text, decimal_comma)) and written[1]:
            expected = f"expected a number alone or in {' or '.join(UNITS[each.kind]) or '%'}"
            cure = "correct the unit"
    return f"{expected}; {cure}"


def _once(rows: Sequence[Given], column: str, reading: Reading) -> Iterator[Given]:
    """The rows whose name no row before has, with a problem for each other."""
    first: dict[str, int] = {}
    for row in rows:
        if first.setdefault(row.name, row.row) == row.row:
            yield row
        else:
            told = f"found {quoted(row.name)}, which row {first[row.name]} names already"
            reading.problem(f"row {row.row}, {column}", f"{told}; expected each {column} once, remove one")
