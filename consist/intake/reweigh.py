"""New figures of cars and engines written into the table that holds them, and everything else left as it stands.

A figure goes into the column and the unit in which the row of its car or engine has it. The old table is kept beside
the new one, under a name that no file has yet.
"""

from __future__ import annotations

import contextlib
import itertools
import os
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

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
from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH
from consist.unlikely import asked, bounds, likely_weight

__all__ = ["Recorded", "WeightChange", "record_figure", "record_weights", "weighed"]

Mapped = tuple[Path, TableMap]


@dataclass(frozen=True)
class _Kind:
    """A kind of figure that is written: what it is called, of which `thing`, in which tables, and what it measures.

    `columns` are those that hold it, with what one unit of each is and the places written: a workshop's scales and
    rules show no more.
    """

    told: str
    columns: Mapping[str, tuple[float, int]]
    measures: str
    thing: Literal["car", "engine"] = "car"
    tables: tuple[str, ...] = ("cars", "guests")


WEIGHT = _Kind("a weight", {"weight_oz": (GRAMS_PER_OUNCE, 3), "weight_g": (1.0, 2)}, "weight")
KINDS_OF_FIGURE = {
    "rolling": _Kind("a grade on which it just keeps rolling", {"rolls_at_percent": (1.0, 2)}, "percent"),
    "length": _Kind(
        "a coupled length", {"coupled_length_in": (MM_PER_INCH, 3), "coupled_length_mm": (1.0, 1)}, "length"
    ),
    "pull": _Kind("a pull", {"pull_oz": (GRAMS_PER_OUNCE, 2), "pull_g": (1.0, 1)}, "weight", "engine", ("engines",)),
}


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
    tables = _tables(path, WEIGHT)
    with turn_to_write(*(path for path, _ in tables)):
        return _recorded(tables, weights_g, sure, WEIGHT)


def record_figure(path: Path, kind: str, figures: Mapping[str, float]) -> tuple[Recorded, ...]:
    """Write measured figures by car or engine into the tables of a session's folder, likewise.

    `kind` is `rolling` (in per cent), `length` (in mm) or `pull` (in gram-force, of engines).
    """
    tables = _tables(path, KINDS_OF_FIGURE[kind])
    with turn_to_write(*(path for path, _ in tables)):
        return _recorded(tables, figures, sure=True, kind=KINDS_OF_FIGURE[kind])


def weighed(path: Path, weights_g: Mapping[str, float]) -> list[tuple[OwnersTable, bytes]]:
    """The tables that new weights in grams change, and what each then holds; nothing is written. Raises likewise."""
    return [(source, content) for source, _, content in _weighed(_tables(path, WEIGHT), weights_g, True, WEIGHT)]


def _weighed(
    tables: Sequence[Mapped], figures: Mapping[str, float], sure: bool, kind: _Kind
) -> list[tuple[OwnersTable, Mapping[int, WeightChange], bytes]]:
    sources = [_source(path, how, kind) for path, how in tables]
    rows = [{row.cells[kind.thing]: row for row in source.table.rows if row.cells[kind.thing]} for source in sources]
    figures = _by_own_name(sources[0], [name for each in rows for name in each], figures, kind)
    changed = [
        (
            source,
            {row.number: _change(source, row, figures[name], kind) for name, row in each.items() if name in figures},
        )
        for source, each in zip(sources, rows, strict=True)
    ]
    if not sure:
        odd = [_unlikely(source, *at, figures[at[1].car]) for source, changes in changed for at in changes.items()]
        if problems := [problem for problem in odd if problem]:
            raise InputError(problems)
    return [(source, changes, _content(source, changes, kind)) for source, changes in changed if changes]


def _recorded(
    tables: Sequence[Mapped], figures: Mapping[str, float], sure: bool, kind: _Kind
) -> tuple[Recorded, ...]:
    recorded: list[Recorded] = []
    with contextlib.ExitStack() as undo:
        for source, changes, content in _weighed(tables, figures, sure, kind):
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


def _tables(path: Path, kind: _Kind) -> list[Mapped]:
    folder = path.parent if path.name == SESSION_FILE else path
    if not folder.is_dir():
        return [(path, AS_OURS)]
    maps = maps_of(folder)
    found = [(path, maps.get(name, AS_OURS)) for name in kind.tables for path in own_files(folder, name, maps)]
    return found or [(folder / f"{kind.tables[0]}.csv", AS_OURS)]


def _source(path: Path, how: TableMap, kind: _Kind) -> OwnersTable:
    reading = Reading(path.name)
    if path.suffix.lower() not in KINDS:
        reading.refuse("found no table of cars, expected .csv or .xlsx; name the table or its session's folder")
    source = OwnersTable.read(path, reading, how, [kind.thing])
    if kind.thing not in source.table.header:
        reading.refuse(f"found no column '{kind.thing}'; the first row must name the columns, add it", "header")
    raise_problems(reading)
    return source


def _by_own_name(
    source: OwnersTable, known: Sequence[str], figures: Mapping[str, float], kind: _Kind
) -> dict[str, float]:
    """The figures by the names that the tables have for their cars or engines."""
    reading = Reading(source.path.name)
    named: dict[str, float] = {}
    for name, figure in figures.items():
        meant, thing = one_of(name, known), kind.thing
        if meant is None:
            reading.problem("", f"found no {thing} {quoted(name)}; {did_you_mean(name, known, f'{thing}s')}")
        elif meant in named:
            reading.problem("", f"found {quoted(meant)} twice; give each {thing} once")
        elif not POSITIVE.hold(figure):
            unit = " g" if kind.measures == "weight" else ""
            told = f"found {kind.told} of {figure:g}{unit} for {quoted(name)}, expected {POSITIVE.words}; correct it"
            reading.problem("", told)
        else:
            named[meant] = figure
    raise_problems(reading)
    return named


def _change(source: OwnersTable, row: Row, figure: float, kind: _Kind) -> WeightChange:
    table = source.table
    columns = [column for column in table.header if column in kind.columns]
    if not columns:
        add = "add one of them" if len(kind.columns) > 1 else "add it"
        told = f"found no column {' or '.join(kind.columns)} to write {kind.told} in; {add}"
        raise source.problem("header", told)
    filled = [column for column in columns if (cell := row.cells[column]) and not says_nothing(cell)]
    if len(filled) > 1:
        place = f"row {row.number}, {' and '.join(filled)}"
        raise source.problem(place, f"found {kind.told.replace('a ', 'the ', 1)} twice; clear one of the two cells")
    # A row without a figure has it where most rows have theirs.
    column = max(filled or columns, key=lambda column: sum(bool(other.cells[column]) for other in table.rows))
    size, places = kind.columns[column]
    written = written_number(row.cells[column], table.decimal_comma)
    # a cell that has its own unit keeps it
    unit = written[1] if written and written[1] in UNIT_WORDS[kind.measures] else ""
    if unit:
        size = UNIT_WORDS[kind.measures][unit]
        places = 2 if size == 1.0 else 3
    new = f"{figure / size:.{places}f}".rstrip("0").rstrip(".")
    if float(new) == 0:
        raise source.problem(f"row {row.number}", f"found {kind.told} too small to write in {column}; correct it")
    cells = [cell for other in table.rows for cell in other.cells.values() if "," in cell]
    if table.decimal_comma and any(written_number(cell, True) for cell in cells):
        new = new.replace(".", ",")
    if unit:
        old = row.cells[column]
        new += old[re.search(rf" ?{re.escape(unit)}\.?$", old, re.I).start() :]  # type: ignore[union-attr]
    return WeightChange(row.cells[kind.thing], column, row.cells[column], new)


def _unlikely(source: OwnersTable, number: int, change: WeightChange, grams: float) -> Problem | None:
    """What is wrong with a new weight that is hardly meant, by what the table has for its car."""
    written = written_number(change.old, source.table.decimal_comma)
    old_g = written[0] * UNIT_WORDS["weight"].get(written[1], WEIGHT.columns[change.column][0]) if written else 0.0
    likely = bounds("new-weight").times(old_g)
    if not old_g or likely.hold(grams):
        return None
    new, old = (f"{weight_g:.4g} g ({weight_g / GRAMS_PER_OUNCE:.3g} oz)" for weight_g in (grams, old_g))
    meant = asked(likely_weight(grams, likely), "is it the wrong car or figure?")
    told = f"found {new} for {quoted(change.car)}, {grams / old_g:.2g} times the {old} that it has"
    place = f"row {number}, {change.column}"
    return source.problem(place, f"{told}; add --sure where that is right, or {meant}").problems[0]


def _content(source: OwnersTable, changes: Mapping[int, WeightChange], kind: _Kind) -> bytes:
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
    new = "weight" if kind is WEIGHT else "figure"
    cure = f"with the new {new} in it, nothing was written; type it in yourself"
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
