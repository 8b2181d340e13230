"""A session's tables as they read after an evening's changes, everything that did not change left as it stands.

Trains gain, lose and exchange rows; a car's row takes what its owner wrote in columns of their own along. Engines go
into `session.toml`, weights into the table that has the car, and cars that no table has into the guests' table.
Nothing is written here: what each file would hold is given back.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from consist.errors import InputError
from consist.intake.csv_text import CsvText, records_of
from consist.intake.files import Reading, file_bytes
from consist.intake.owners_table import OwnersTable, rows_in_workbook
from consist.intake.reweigh import weighed
from consist.intake.rewrite import trains_table
from consist.intake.rows import own_files
from consist.intake.table_map import AS_OURS, TableMap, maps_of
from consist.intake.tables import WRITTEN, table_of
from consist.intake.workbook import sheet_of
from consist.names import no_formula, one_of, tidy
from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH

__all__ = ["Brought", "Kept", "RowOfCar", "saved_files"]

SESSION_FILE = "session.toml"
GUESTS_HEADER = ("car", "kind", "owner", "weight_g", "body_length_mm")
BOM = b"\xef\xbb\xbf"


@dataclass(frozen=True)
class RowOfCar:
    """A row of a train: the car, the train whose row it had before (None: none), and the cells that now differ."""

    car: str
    was_in: str | None
    cells: Mapping[str, str]


@dataclass(frozen=True)
class Brought:
    """A guest's car that no table has."""

    car: str
    kind: str
    owner: str
    weight_g: float | None
    body_length_mm: float


@dataclass(frozen=True)
class Kept:
    """What is to be kept: each changed train's rows in standing order, head-end engines and helpers, weights (g)."""

    trains: Mapping[str, Sequence[RowOfCar]] = field(default_factory=dict)
    engines: Mapping[str, tuple[Sequence[str], Sequence[str]]] = field(default_factory=dict)
    weights_g: Mapping[str, float] = field(default_factory=dict)
    brought: Sequence[Brought] = ()


def saved_files(folder: Path, kept: Kept) -> dict[Path, tuple[bytes | None, bytes]]:
    """What each file that changes holds now (None: there is no such file) and is to hold.

    Raises `InputError` where a table cannot hold it, such as one with merged cells.
    """
    files: dict[Path, tuple[bytes | None, bytes]] = {}
    if kept.trains:
        source = _trains(folder)
        files[source.path] = source.content, _with_trains(source, kept.trains)
    if kept.engines:
        path = folder / SESSION_FILE
        content = file_bytes(path, Reading(SESSION_FILE))
        files[path] = content, _with_engines(content, kept.engines)
    if kept.weights_g:
        for table, content in weighed(folder, kept.weights_g):
            files[table.path] = table.content, content
    if kept.brought:
        maps = maps_of(folder)
        paths = own_files(folder, "guests", maps)
        path = paths[0] if paths else folder / "guests.csv"
        before, now = files.get(path, (None, None))
        if paths and now is None:
            before = now = file_bytes(path, Reading(path.name))
        files[path] = before, _with_guests(path, now, maps.get("guests", AS_OURS), kept.brought)
    return {path: both for path, both in files.items() if both[0] != both[1]}


def _trains(folder: Path) -> OwnersTable:
    source = trains_table(folder)
    if not {"train", "car"} <= {*source.table.header}:
        raise source.changed()
    return source


def _bottom(source: OwnersTable) -> int:
    """The last row of the file that has anything to be read, or its last of all where the table has no row."""
    if source.table.rows:
        return max(row.number for row in source.table.rows)
    text = source.table.text
    return (
        len(text.cells())
        if text
        else len(sheet_of(source.content, Reading(source.path.name), source.table.sheet).rows)
    )


# a row of the file to be: the row of the file as it stands that it is made of (None: a new one), and cells put in it
_Made = tuple[int | None, Mapping[str, str]]


def _with_trains(source: OwnersTable, trains: Mapping[str, Sequence[RowOfCar]]) -> bytes:
    rows: dict[str, list[int]] = {}
    row_of: dict[tuple[str, str], int] = {}
    for row in source.table.rows:
        train = one_of(row.cells["train"], list(trains)) if row.cells["train"] not in trains else row.cells["train"]
        rows.setdefault(train or row.cells["train"], []).append(row.number)
        row_of[train or row.cells["train"], row.cells["car"]] = row.number
    made: dict[int, _Made | None] = {}
    more: dict[int, list[_Made]] = {}
    last = _bottom(source)
    for train, standing in trains.items():
        places = rows.get(train, [])
        wanted = [_made(source, train, one, number, row_of) for number, one in enumerate(standing, start=1)]
        made |= dict(zip(places, [*wanted, *[None] * len(places)], strict=False))
        if len(wanted) > len(places):
            more.setdefault(places[-1] if places else last, []).extend(wanted[len(places) :])
    if source.table.text is None:
        return _workbook(source, made, more)
    return _csv(source, source.table.text, made, more)


def _made(source: OwnersTable, train: str, one: RowOfCar, spot: int, row_of: Mapping[tuple[str, str], int]) -> _Made:
    header = source.table.columns
    names = {car: number for (of, car), number in row_of.items() if of == one.was_in}
    known = one_of(one.car, list(names))
    number = None if known is None else names[known]
    cells = dict(one.cells)
    if number is None or one.was_in != train:
        cells["train"] = train
    if number is None:
        if len(source.how.columns.get("car", "x")) > 1:
            found = f"found the names of cars in several columns, where {one.car!r} cannot be set in"
            raise InputError.of(source.path.name, f"{found}; add its row yourself")
        cells["car"] = one.car
    if "spot" in header and _counts_spots(source, train):
        cells["spot"] = str(spot)
    lacking = [column for column, cell in cells.items() if column not in header and cell]
    if lacking:
        found = f"found no column {lacking[0]!r} to note {one.car!r} of {train!r} in; add it, then save again"
        raise InputError.of(source.path.name, found)
    return number, {column: cell for column, cell in cells.items() if column in header}


def _counts_spots(source: OwnersTable, train: str) -> bool:
    """Whether a train's spots are counted, and not left to the order of its rows."""
    spots = [row.cells.get("spot", "") for row in source.table.rows if tidy(row.cells["train"]) == train]
    return any(spots) or not spots


def _csv(
    source: OwnersTable, text: CsvText, made: Mapping[int, _Made | None], more: Mapping[int, Sequence[_Made]]
) -> bytes:
    records = records_of(text.text, text.delimiter)
    ends = [end for _, end in records if end]
    usual = ends[0] if ends else "\n"
    header = source.table.header

    def row(of: _Made) -> list[str]:
        number, cells = of
        raw = list(records[number - 1][0]) if number is not None else []
        raw += [""] * (len(header) - len(raw))
        for column, cell in cells.items():
            raw[header.index(column)] = _quoted(no_formula(cell) if column not in ("spot",) else cell, text.delimiter)
        return raw

    out: list[tuple[list[str], str]] = []
    for number, (cells, end) in enumerate(records, start=1):
        one = made.get(number, (number, {}))
        if number not in made:
            out.append((cells, end))
        elif one is not None:
            out.append((row(one), end))
        out += [(row(new), usual) for new in more.get(number, ())]
    ended = [(cells, end or usual) for cells, end in out[:-1]] + out[-1:]
    written = "".join(text.delimiter.join(cells) + end for cells, end in ended)
    return text.mark + written.encode(text.encoding, errors="strict")


def _quoted(cell: str, delimiter: str) -> str:
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, lineterminator="").writerow([cell])
    return out.getvalue() if cell else ""


def _workbook(source: OwnersTable, made: Mapping[int, _Made | None], more: Mapping[int, Sequence[_Made]]) -> bytes:
    columns = {column: number for number, column in enumerate(source.table.header, start=1) if column}
    bodies = {number: None if of is None else of[0] for number, of in made.items()}
    cells: dict[tuple[int, int], str | int] = {}
    bottom = _bottom(source)
    new = [one for many in more.values() for one in many]
    placed = [*((number, of) for number, of in made.items() if of), *enumerate(new, start=bottom + 1)]
    for number, of in placed:
        bodies[number] = of[0]
        for column, cell in of[1].items():
            cells[number, columns[column]] = int(cell) if column == "spot" else cell
    try:
        return rows_in_workbook(source.content, source.table.sheet, bodies, cells)
    except ValueError:
        told = "found merged cells in a row that is to move; unmerge them, then save again"
        raise InputError.of(source.path.name, told) from None


def _with_engines(content: bytes, engines: Mapping[str, tuple[Sequence[str], Sequence[str]]]) -> bytes:
    import tomlkit

    mark = BOM if content.startswith(BOM) else b""
    document: Any = tomlkit.parse(content[len(mark) :].decode("utf-8"))
    for entry in document.get("train", []):
        name = tidy(str(entry.get("name", "")))
        if name not in engines:
            continue
        for key, names in zip(("engines", "helpers"), engines[name], strict=True):
            if key in entry or names:
                entry[key] = list(names)
    return mark + tomlkit.dumps(document).encode("utf-8")


def _with_guests(path: Path, content: bytes | None, how: TableMap, brought: Iterable[Brought]) -> bytes:
    """The guests' table with a row more for each car."""
    if content is None:
        content = ",".join(GUESTS_HEADER).encode() + b"\n"
    kind = path.suffix.lower()
    if kind not in WRITTEN:
        told = "found a table of a kind that is read but not written; save it as .xlsx or .csv, then save again"
        raise InputError.of(path.name, told)
    source = OwnersTable(path, content, table_of(content, kind, Reading(path.name), how), how)
    header = [column for column in source.table.header if column]
    new = [(None, _guest_cells(source, header, car)) for car in brought]
    last = _bottom(source)
    if source.table.text is None:
        return _workbook(source, {}, {last: new})
    return _csv(source, source.table.text, {}, {last: new})


def _guest_cells(source: OwnersTable, header: Sequence[str], car: Brought) -> dict[str, str]:
    weights = {"weight_g": (1.0, 2), "weight_oz": (GRAMS_PER_OUNCE, 3)}
    lengths = {"body_length_mm": (1.0, 1), "body_length_in": (MM_PER_INCH, 3)}
    cells = {"car": car.car, "kind": car.kind, "owner": car.owner}
    for figure, columns, what in ((car.weight_g, weights, "weight"), (car.body_length_mm, lengths, "body_length")):
        column = next((name for name in columns if name in header), None)
        if figure is not None and column is None:
            found = f"found no column {' or '.join(columns)} for the {what.replace('_', ' ')} of {car.car!r}; add one"
            raise InputError.of(source.path.name, found)
        if figure is not None and column is not None:
            unit, places = columns[column]
            told = f"{figure / unit:.{places}f}".rstrip("0").rstrip(".")
            cells[column] = told.replace(".", ",") if source.table.decimal_comma else told
    return {column: cell for column, cell in cells.items() if column in header and cell}
