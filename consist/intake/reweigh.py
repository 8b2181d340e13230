"""New weights of cars written into the table that holds them, and everything else left as it stands.

A weight goes into the column and the unit in which the car's row has its weight. The old table is kept beside the new
one, under a name that no file has yet.
"""

from __future__ import annotations

import contextlib
import shutil
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from consist.errors import InputError, Problem
from consist.intake.fields import POSITIVE, WEIGHT
from consist.intake.files import Reading, raise_problems, write_whole
from consist.intake.owners_table import KINDS, QUOTE, OwnersTable, cell_text, with_numbers
from consist.intake.rows import parse_number
from consist.intake.tables import Row, table_of
from consist.names import did_you_mean, quoted

__all__ = ["Recorded", "WeightChange", "record_weights"]

TABLES = ("cars.csv", "cars.xlsx", "guests.csv", "guests.xlsx")
COLUMNS: Mapping[str, tuple[float, int]] = {"weight_oz": (WEIGHT["oz"], 3), "weight_g": (WEIGHT["g"], 2)}
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


@dataclass(frozen=True)
class _Cell:
    """A cell to be written: row and column of the file from 1 and 0, and the number in its own unit as text."""

    row: int
    column: int
    change: WeightChange


@dataclass(frozen=True)
class _New:
    source: OwnersTable
    content: bytes
    changes: tuple[WeightChange, ...]


def record_weights(path: Path, weights_g: Mapping[str, float]) -> tuple[Recorded, ...]:
    """Write new weights in grams into the table of cars at `path`, or into the tables of that session's folder.

    Each table is written whole and its old form kept beside it as `NAME.bak`, with a number where there is one
    already. Raises `InputError`, with every file as it was, for a car that no table names, for a table that cannot be
    read or has no column of weights, and where a file cannot be written.
    """
    sources = [_source(each) for each in _tables(path)]
    _check_known(sources, weights_g)
    new = [_new(source, weights_g) for source in sources if set(_rows(source)) & set(weights_g)]
    return _written(new)


def _tables(path: Path) -> list[Path]:
    folder = path.parent if path.name == "session.toml" else path
    if folder.is_dir():
        return [there for name in TABLES if (there := folder / name).exists()] or [folder / TABLES[0]]
    return [path]


def _source(path: Path) -> OwnersTable:
    reading = Reading(path.name)
    source = None
    if path.suffix.lower() in KINDS:
        source = OwnersTable.read(path, reading)
    else:
        reading.problem("", "found no table of cars, expected .csv or .xlsx; name the table or its session's folder")
    if source is not None and "car" not in source.table.columns:
        reading.problem("header", "found no column 'car'; the first row must name the columns, add it")
    raise_problems(reading)
    assert source is not None
    return source


def _rows(source: OwnersTable) -> dict[str, Row]:
    """The rows by the name of their car."""
    return {row.cells["car"]: row for row in source.table.rows if row.cells.get("car")}


def _check_known(sources: Sequence[OwnersTable], weights_g: Mapping[str, float]) -> None:
    known = [car for source in sources for car in _rows(source)]
    problems = []
    for car, grams in weights_g.items():
        if car not in known:
            told = f"found no car {quoted(car)}; {did_you_mean(car, known, 'cars')}"
            problems.append(Problem(sources[0].path.name, "", told))
        elif not POSITIVE.hold(grams):
            told = f"found a weight of {grams:g} g for {quoted(car)}, expected {POSITIVE.words}; correct it"
            problems.append(Problem(sources[0].path.name, "", told))
    if problems:
        raise InputError(problems)


def _new(source: OwnersTable, weights_g: Mapping[str, float]) -> _New:
    cells = [_cell(source, row, weights_g[car]) for car, row in _rows(source).items() if car in weights_g]
    content = _as_csv(source, cells) if source.kind == ".csv" else _as_workbook(source, cells)
    _check_reads_back(source, cells, content)
    return _New(source, content, tuple(cell.change for cell in cells))


def _cell(source: OwnersTable, row: Row, grams: float) -> _Cell:
    columns = [column for column in source.table.header if column in COLUMNS]
    if not columns:
        told = "found no column weight_oz or weight_g to write a weight in; add one of them"
        raise InputError([Problem(source.path.name, "header", told)])
    filled = [column for column in columns if row.cells.get(column)]
    if len(filled) > 1:
        place = f"row {row.number}, {' and '.join(filled)}"
        raise InputError([Problem(source.path.name, place, "found the weight twice; clear one of the two cells")])
    column = filled[0] if filled else _most_filled(source, columns)
    unit, places = COLUMNS[column]
    new = f"{grams / unit:.{places}f}".rstrip("0").rstrip(".")
    if source.kind == ".csv" and _writes_commas(source):
        new = new.replace(".", ",")
    if float(new.replace(",", ".")) == 0:
        told = f"found a weight too small to write in {column}; correct it"
        raise InputError([Problem(source.path.name, f"row {row.number}", told)])
    change = WeightChange(row.cells["car"], column, row.cells.get(column, ""), new)
    return _Cell(row.number, source.table.header.index(column), change)


def _most_filled(source: OwnersTable, columns: Sequence[str]) -> str:
    return max(columns, key=lambda column: sum(bool(row.cells.get(column)) for row in source.table.rows))


def _writes_commas(source: OwnersTable) -> bool:
    """Whether decimals in the table have a comma before them."""
    cells = [cell for row in source.table.rows for cell in row.cells.values()]
    return source.table.decimal_comma and any(
        "," in cell and parse_number(cell, decimal_comma=True) is not None for cell in cells
    )


def _as_csv(source: OwnersTable, cells: Sequence[_Cell]) -> bytes:
    records = source.records
    for cell in cells:
        record = records[cell.row - 1]
        row = [*record.cells, *[""] * (cell.column + 1 - len(record.cells))]
        row[cell.column] = _put(row[cell.column], cell.change.new, source.delimiter)
        records[cell.row - 1] = replace(record, cells=tuple(row))
    return source.with_records(records)


def _put(raw: str, new: str, delimiter: str) -> str:
    """The cell as it stands with another number in it, its blanks and quotes kept.

    >>> _put('"4,2" ', "4,6", ";")
    '"4,6" '
    """
    old = cell_text(raw, delimiter).strip()
    if old and raw.strip().startswith(QUOTE):
        return raw.replace(old, new, 1)
    return new.join(_around(raw if old else ""))


def _around(text: str) -> tuple[str, str]:
    if not text.strip():
        return text, ""
    start = len(text) - len(text.lstrip())
    return text[:start], text[len(text.rstrip()) :]


def _as_workbook(source: OwnersTable, cells: Sequence[_Cell]) -> bytes:
    return with_numbers(source.content, {(cell.row, cell.column + 1): float(cell.change.new) for cell in cells})


def _check_reads_back(source: OwnersTable, cells: Sequence[_Cell], content: bytes) -> None:
    """Raise `InputError` unless what is to be written says of every row what it should."""
    wanted = {row.number: dict(row.cells) for row in source.table.rows}
    for cell in cells:
        wanted[cell.row][cell.change.column] = cell.change.new
    table = table_of(content, source.kind, Reading(source.path.name))
    if table is None or {row.number: row.cells for row in table.rows} != wanted:
        told = "the table does not read the same with the new weight in it, nothing was written; type it in yourself"
        raise InputError([Problem(source.path.name, "", told)])


def _written(new: Sequence[_New]) -> tuple[Recorded, ...]:
    """All tables written, or every file as it was."""
    done: list[Recorded] = []
    made: list[Path] = []
    try:
        for each in new:
            if not each.source.unchanged():
                told = "the table has changed since it was read; run the command again"
                raise InputError([Problem(each.source.path.name, "", told)])
            backup = _backup(each.source)
            made.append(backup)
            write_whole(each.source.path, each.content)
            done.append(Recorded(each.source.path, backup, each.changes))
    except BaseException:
        for recorded, each in zip(done, new, strict=False):
            write_whole(recorded.file, each.source.content)
        for backup in made:
            with contextlib.suppress(OSError):
                backup.unlink()
        raise
    return tuple(done)


def _backup(source: OwnersTable) -> Path:
    """The table's old bytes kept under a name that no file has yet."""
    number = 1
    while True:
        name = f"{source.path.name}.bak" if number == 1 else f"{source.path.name}.bak{number}"
        path = source.path.with_name(name)
        made = False
        try:
            with open(path, "xb") as file:
                made = True
                file.write(source.content)
            shutil.copymode(source.path, path)
        except FileExistsError:
            number += 1
        except OSError as error:
            reason = (error.strerror or "unknown reason").lower()
            if made:
                with contextlib.suppress(OSError):
                    path.unlink()
            told = f"the old table cannot be kept: {reason}; choose a folder you may write to, or make room"
            raise InputError([Problem(str(path), "", told)]) from error
        else:
            return path
