"""A session's folder: `session.toml`, its tables, and the layout it names."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, TypeVar

from consist.errors import InputError, Problem
from consist.intake.cars import CarsRead, check_bodies, read_cars_into
from consist.intake.engines import EnginesRead, check_homes, read_engines_into
from consist.intake.house import read_house
from consist.intake.layout import read_layout_into
from consist.intake.names import plain, quoted
from consist.intake.reading import Reading, raise_problems
from consist.intake.records import CarRecord, LayoutRecord, SessionRecord, TrainRecord, TrainRow
from consist.intake.schedule import TrainEntry, check_engines, check_route, places_of, read_entries
from consist.intake.toml import check_keys, read_toml, text_at
from consist.intake.trains import TrainsRead, check_train_rows, read_trains_into, rows_of

__all__ = ["SESSION_FILE", "read_session"]

SESSION_FILE = "session.toml"
KEYS = ("title", "layout", "house", "train")
A_ROW_A_CAR = "a row for each car of the trains in session.toml"

Read = TypeVar("Read")


def read_session(folder: Path) -> SessionRecord:
    """The session kept in `folder`, which may also be the path of its `session.toml`.

    Raises `InputError` with every problem of every file of the session.
    """
    folder = _session_folder(folder)
    head = Reading(SESSION_FILE)
    session = read_toml(folder / SESSION_FILE, head)
    cars = _read_table(folder, "cars", read_cars_into)
    guests = _read_table(folder, "guests", lambda path, reading: read_cars_into(path, reading, guest=True))
    engines = _read_table(folder, "engines", read_engines_into)
    trains = _read_table(folder, "trains", read_trains_into)
    readings = [head, cars[0], guests[0], engines[0], trains[0]]
    car_names = _car_names(cars, guests)
    if session is None:
        if trains[1] is not None:
            check_train_rows(trains[1], car_names, None, trains[0])
        raise_problems(readings)
        raise AssertionError("a session that cannot be read leaves a problem")
    check_keys(session, KEYS, "", head)
    title = text_at(session, "title", "", head) or folder.resolve().name
    layout_reading, layout = _layout(session, folder, head)
    house = read_house(session, head)
    entries = read_entries(session, head)
    for entry in entries or ():
        check_engines(entry, _engine_names(engines), head)
        if layout is not None:
            check_route(entry, layout, head)
    for reading, read, _ in (cars, guests):
        if layout is not None and read is not None:
            check_bodies(read, layout.scale, reading)
    if layout is not None and engines[1] is not None:
        check_homes(engines[1], places_of(layout), engines[0])
    rows = _train_rows(trains, car_names, entries)
    raise_problems([head, layout_reading, *readings[1:]])
    assert layout is not None
    return SessionRecord(
        folder=folder,
        title=title,
        layout=layout,
        house=house,
        cars=_records(cars[1]) + _records(guests[1]),
        engines=engines[1].records if engines[1] else (),
        trains=tuple(_train(entry, rows) for entry in entries or ()),
        notes=tuple(note for reading in (*readings, layout_reading) for note in reading.notes),
    )


def _session_folder(path: Path) -> Path:
    try:
        if path.is_file() and path.name == SESSION_FILE:
            return path.parent
        fault = _folder_fault(path)
    except (OSError, ValueError):
        fault = "the folder cannot be looked into; check its name and permissions"
    if fault:
        raise InputError([Problem(_shown(path), "", fault)])
    return path


def _shown(path: Path) -> str:
    return "".join(c if c.isprintable() else "?" for c in str(path))


def _folder_fault(path: Path) -> str | None:
    if not path.exists():
        return "the folder is missing; check the name, or make a session with 'consist new'"
    if not path.is_dir():
        return f"found a file, expected a session's folder or its {SESSION_FILE}; name the folder"
    if not (path / SESSION_FILE).exists():
        return f"the folder holds no {SESSION_FILE}; make a session with 'consist new'"
    return None


def _read_table(
    folder: Path, name: str, read: Callable[[Path, Reading], Read | None]
) -> tuple[Reading, Read | None, bool]:
    """The reading of a table, what was read, and whether the table is there at all."""
    there = [path for path in (folder / f"{name}.csv", folder / f"{name}.xlsx") if path.exists()]
    reading = Reading(there[0].name if there else f"{name}.csv")
    if not there:
        return reading, None, False
    if len(there) > 1:
        reading.problem("", f"found {name}.csv and {name}.xlsx, expected one of them; remove or rename the other")
        return reading, None, True
    return reading, read(there[0], reading), True


def _car_names(
    cars: tuple[Reading, CarsRead | None, bool], guests: tuple[Reading, CarsRead | None, bool]
) -> Mapping[str, None] | None:
    """The names of all cars, None where a table that is there could not be read."""
    names: dict[str, None] = {}
    for _, read, there in (cars, guests):
        if there and read is None:
            return None
        names.update(read.names if read else {})
    if cars[1] is not None and guests[1] is not None:
        rows = {car.car: car.row for car in cars[1].records}
        for guest in guests[1].records:
            if guest.car in rows:
                guests[0].problem(
                    f"row {guest.row}, car",
                    f"found {quoted(guest.car)}, which row {rows[guest.car]} of {cars[0].file} names already; "
                    "expected a name of its own, rename the guest or remove one",
                )
    return names


def _engine_names(engines: tuple[Reading, EnginesRead | None, bool]) -> Mapping[str, None] | None:
    _, read, there = engines
    if read is None:
        return None if there else {}
    return read.names


def _records(read: CarsRead | None) -> tuple[CarRecord, ...]:
    return read.records if read else ()


def _layout(session: dict[str, Any], folder: Path, head: Reading) -> tuple[Reading, LayoutRecord | None]:
    written = text_at(session, "layout", "", head, "the path of a layout's file from this folder")
    reading = Reading(plain(written) if written else "layout")
    if written is None:
        return reading, None
    return reading, read_layout_into(folder / written, reading)


def _train_rows(
    trains: tuple[Reading, TrainsRead | None, bool],
    car_names: Mapping[str, None] | None,
    entries: tuple[TrainEntry, ...] | None,
) -> tuple[TrainRow, ...]:
    reading, read, there = trains
    if entries and not there:
        reading.problem(
            "", f"the file is missing, expected {A_ROW_A_CAR}; make it with the columns train, spot and car"
        )
    if read is None:
        return ()
    if entries and not read.rows and not reading.problems:
        reading.problem("", f"found no row, expected {A_ROW_A_CAR}; add the cars of at least one train")
    # Where a name is given twice, which is a problem already, rows are held against the first of the name.
    routes = None if entries is None else {entry.name: entry.route for entry in reversed(entries)}
    return check_train_rows(read, car_names, routes, reading)


def _train(entry: TrainEntry, rows: tuple[TrainRow, ...]) -> TrainRecord:
    return TrainRecord(
        name=entry.name,
        route=entry.route or (),
        engines=entry.engines,
        helpers=entry.helpers,
        depart=entry.depart,
        arrive=entry.arrive,
        rows=rows_of(entry.name, rows),
    )
