"""New weights of cars written into the table that holds them, and everything else left as it stands.

A weight goes into the column and the unit in which the car's row has its weight. The old table is kept beside the new
one, under a name that no file has yet.
"""

from __future__ import annotations

import contextlib
import itertools
import os
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from consist.errors import InputError, Problem
from consist.intake.csv_text import cell_text
from consist.intake.fields import POSITIVE
from consist.intake.files import Reading, raise_problems
from consist.intake.owners_table import OwnersTable, with_cells
from consist.intake.rows import own_files, parse_number
from consist.intake.table_map import AS_OURS, SESSION_FILE, TableMap, maps_of
from consist.intake.tables import KINDS, Row
from consist.intake.writing import turn_to_write, write_whole
from consist.measures import UNIT_WORDS, says_nothing, written_number
from consist.names import did_you_mean, one_of, quoted
from consist.scales import GRAMS_PER_OUNCE
from consist.unlikely import bounds, likely_weight

__all__ = ["Recorded", "WeightChange", "record_weights", "weighed"]

TABLES = ("cars", "guests")
Mapped = tuple[Path, TableMap]
COLUMNS = {"weight_oz": (GRAMS_PER_OUNCE, 3), "weight_g": (1.0, 2)}
"""The columns that hold a weight: grams in one unit, and the places written. A workshop scale shows no more."""


@dataclass(frozen=True)
class WeightChange:
    """One cell written: the car, the column, and what the cell said and says."""

    car: str
    column: str
    old: str
    new: str


@dataclass(frozen=True)
class Recorded:
    """A table written with new weights, and where the old one is kept."""

    file: Path
    backup: Path
    changes: tuple[WeightChange, ...]


def record_weights(path: Path, weights_g: Mapping[str, float], sure: bool = True) -> tuple[Recorded, ...]:
    """Write new weights in grams into the table of cars at `path`, or into the tables of that session's folder.

    Each table is written whole and its old form kept beside it as `NAME.bak`, with a number where there is one
    already. Raises `InputError`, with every file as it was, for a car that no table names, for a table that cannot be
    read or has no column of weights, where a file cannot be written, and, unless one is `sure`, for a weight so far
    from the old one that it is hardly meant.
    """
    tables = _tables(path)
    with turn_to_write(*(path for path, _ in tables)):
        return _recorded(tables, weights_g, sure)


def weighed(path: Path, weights_g: Mapping[str, float]) -> list[tuple[OwnersTable, bytes]]:
    """The tables that new weights in grams change, and what each then holds; nothing is written. Raises likewise."""
    return [(source, content) for source, _, content in _weighed(_tables(path), weights_g, sure=True)]


def _weighed(
    tables: Sequence[Mapped], weights_g: Mapping[str, float], sure: bool
) -> list[tuple[OwnersTable, Mapping[int, WeightChange], bytes]]:
    sources = [_source(path, how) for path, how in tables]
    rows = [{row.cells["car"]: row for row in source.table.rows if row.cells["car"]} for source in sources]
    weights_g = _by_own_name(sources[0], [car for each in rows for car in each], weights_g)
    changed = [
        (source, {row.number: _change(source, row, weights_g[car]) for car, row in each.items() if car in weights_g})
        for source, each in zip(sources, rows, strict=True)
    ]
    if not sure:
        odd = [_unlikely(source, *at, weights_g[at[1].car]) for source, changes in changed for at in changes.items()]
        if problems := [problem for problem in odd if problem]:
            raise InputError(problems)
    return [(source, changes, _content(source, changes)) for source, changes in changed if changes]


def _recorded(tables: Sequence[Mapped], weights_g: Mapping[str, float], sure: bool) -> tuple[Recorded, ...]:
    recorded: list[Recorded] = []
    with contextlib.ExitStack() as undo:
        for source, changes, content in _weighed(tables, weights_g, sure):
            if any(recorded_before.file == source.path for recorded_before in recorded):
                told = "found cars of two sheets of this file; give those of one sheet at a time"
                raise InputError.of(source.path.name, told)
            source.check_unchanged()
            backup = _backup(source)
            undo.callback(_remove, backup)
            write_whole(source.path, content)
            undo.callback(write_whole, source.path, source.content)
            recorded.append(Recorded(source.path, backup, tuple(changes.values())))
        undo.pop_all()
    return tuple(recorded)


def _tables(path: Path) -> list[Mapped]:
    folder = path.parent if path.name == SESSION_FILE else path
    if not folder.is_dir():
        return [(path, AS_OURS)]
    maps = maps_of(folder)
    found = [(path, maps.get(name, AS_OURS)) for name in TABLES for path in own_files(folder, name, maps)]
    return found or [(folder / "cars.csv", AS_OURS)]


def _source(path: Path, how: TableMap) -> OwnersTable:
    reading = Reading(path.name)
    if path.suffix.lower() not in KINDS:
        reading.refuse("found no table of cars, expected .csv or .xlsx; name the table or its session's folder")
    source = OwnersTable.read(path, reading, how, ["car"])
    if "car" not in source.table.header:
        reading.refuse("found no column 'car'; the first row must name the columns, add it", "header")
    raise_problems(reading)
    return source


def _by_own_name(source: OwnersTable, known: Sequence[str], weights_g: Mapping[str, float]) -> dict[str, float]:
    """The weights by the names that the tables have for their cars."""
    reading = Reading(source.path.name)
    named: dict[str, float] = {}
    for car, grams in weights_g.items():
        meant = one_of(car, known)
        if meant is None:
            reading.problem("", f"found no car {quoted(car)}; {did_you_mean(car, known, 'cars')}")
        elif meant in named:
            reading.problem("", f"found {quoted(meant)} twice; give each car once")
        elif not POSITIVE.hold(grams):
            told = f"found a weight of {grams:g} g for {quoted(car)}, expected {POSITIVE.words}; correct it"
            reading.problem("", told)
        else:
            named[meant] = grams
    raise_problems(reading)
    return named


def _change(source: OwnersTable, row: Row, grams: float) -> WeightChange:
    table = source.table
    columns = [column for column in table.header if column in COLUMNS]
    if not columns:
        told = "found no column weight_oz or weight_g to write a weight in; add one of them"
        raise source.problem("header", told)
    filled = [column for column in columns if (cell := row.cells[column]) and not says_nothing(cell)]
    if len(filled) > 1:
        place = f"row {row.number}, {' and '.join(filled)}"
        raise source.problem(place, "found the weight twice; clear one of the two cells")
    # A row without a weight has it where most rows have theirs.
    column = max(filled or columns, key=lambda column: sum(bool(other.cells[column]) for other in table.rows))
    size, places = COLUMNS[column]
    written = written_number(row.cells[column], table.decimal_comma)
    # a cell that has its own unit keeps it
    unit = written[1] if written and written[1] in UNIT_WORDS["weight"] else ""
    if unit:
        size = UNIT_WORDS["weight"][unit]
        places = 2 if size == 1.0 else 3
    new = f"{grams / size:.{places}f}".rstrip("0").rstrip(".")
    if float(new) == 0:
        raise source.problem(f"row {row.number}", f"found a weight too small to write in {column}; correct it")
    cells = [cell for other in table.rows for cell in other.cells.values() if "," in cell]
    if table.decimal_comma and any(parse_number(cell, True) is not None for cell in cells):
        new = new.replace(".", ",")
    if unit:
        old = row.cells[column]
        new += old[re.search(rf" ?{re.escape(unit)}\.?$", old, re.I).start() :]  # type: ignore[union-attr]
    return WeightChange(row.cells["car"], column, row.cells[column], new)


def _unlikely(source: OwnersTable, number: int, change: WeightChange, grams: float) -> Problem | None:
    """What is wrong with a new weight that is hardly meant, by what the table has for its car."""
    written = written_number(change.old, source.table.decimal_comma)
    old_g = written[0] * UNIT_WORDS["weight"].get(written[1], COLUMNS[change.column][0]) if written else 0.0
    likely = bounds("new-weight").times(old_g)
    if not old_g or likely.hold(grams):
        return None
    new, old = (f"{weight_g:.4g} g ({weight_g / GRAMS_PER_OUNCE:.3g} oz)" for weight_g in (grams, old_g))
    meant = likely_weight(grams, likely) or "is it the wrong car or figure?"
    told = f"found {new} for {quoted(change.car)}, {grams / old_g:.2g} times the {old} that it has"
    place = f"row {number}, {change.column}"
    return source.problem(place, f"{told}; add --sure where that is right, or {meant}").problems[0]


def _content(source: OwnersTable, changes: Mapping[int, WeightChange]) -> bytes:
    """The table with those cells written, by the number of their row, which reads as it should."""
    at = {number: source.table.header.index(change.column) for number, change in changes.items()}
    if text := source.table.text:
        cells = text.cells()
        for number, column in at.items():
            row = cells[number - 1]
            row += [""] * (column + 1 - len(row))
            row[column] = _put(row[column], changes[number].new, text.delimiter)
        content = text.with_cells(cells)
    else:
        values = {(number, column + 1): _as_value(changes[number].new) for number, column in at.items()}
        content = with_cells(source.content, source.table.sheet, values)
    rows = {row.number: row.cells for row in source.table.rows}
    weighed = {number: {**rows[number], change.column: change.new} for number, change in changes.items()}
    cure = "with the new weight in it, nothing was written; type it in yourself"
    source.check_reads_back(content, Path(source.path.name), weighed, cure)
    return content


def _as_value(new: str) -> float | str:
    number = parse_number(new)
    return new if number is None else number


def _put(raw: str, new: str, delimiter: str) -> str:
    """The cell as it stands with another number in it, its blanks and quotes kept.

    >>> _put('"4,2" ', "4,6", ";")
    '"4,6" '
    """
    old = cell_text(raw, delimiter).strip()
    return raw.replace(old, new, 1) if old else new


def _backup(source: OwnersTable) -> Path:
    """The table's old bytes kept under a name that no file has yet."""
    names = (f"{source.path.name}.bak{number if number > 1 else ''}" for number in itertools.count(1))
    path = next(path for path in map(source.path.with_name, names) if not os.path.lexists(path))
    write_whole(path, source.content, like=source.path, refused="the old table cannot be kept")
    return path


def _remove(path: Path) -> None:
    with contextlib.suppress(OSError):
        path.unlink()
