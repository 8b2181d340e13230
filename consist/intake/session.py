"""A session's folder: `session.toml`, its tables, and the layout it names."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Generic, TypeVar

from consist.errors import InputError, Problem
from consist.house import House
from consist.intake.fields import declared
from consist.intake.files import Reading, raise_problems
from consist.intake.house import read_house
from consist.intake.layout import read_layout_into
from consist.intake.rows import Given, table_file
from consist.intake.schedule import TrainEntry, check_engines, check_route, read_entries
from consist.intake.stock import (
    GUESTS,
    cars_of,
    check_bodies,
    check_homes,
    engines_of,
    read_cars_into,
    read_engines_into,
)
from consist.intake.toml import Keys, read_toml
from consist.intake.trains import TrainRow, check_train_rows, read_trains_into, rows_of
from consist.names import plain, quoted
from consist.stock import Car, Engine, StandardError, WeightStandard, weight_standard
from consist.track import Layout, Route, RouteError, find_route

__all__ = ["SESSION", "SESSION_FILE", "SessionRead", "TrainRead", "read_layout_and_engines", "read_session"]

SESSION_FILE = "session.toml"
SESSION = declared("session")
A_ROW_A_CAR = "a row for each car of the trains in session.toml"

Rows = TypeVar("Rows", bound=Sequence[Any])


@dataclass(frozen=True)
class TrainRead:
    """A train as its session's files have it, with its cars in spot order, engines and cars by name."""

    name: str
    route: Route
    engines: tuple[str, ...]
    helpers: tuple[str, ...]
    depart: int | None
    arrive: int | None
    rows: tuple[TrainRow, ...]


@dataclass(frozen=True)
class SessionRead:
    """A session's folder as read: house, layout, stock and trains, with what the files leave out assumed by rule.

    `notes` are oddities that stop nothing, one sentence each, such as a column that is not known.
    """

    title: str
    house: House
    standard: WeightStandard
    layout: Layout
    cars: tuple[Car, ...]
    engines: tuple[Engine, ...]
    trains: tuple[TrainRead, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class _TableRead(Generic[Rows]):
    """The reading of a table, its rows, None where they cannot be read, and whether the table is there at all."""

    reading: Reading
    rows: Rows | None
    there: bool

    @classmethod
    def of(cls, folder: Path, name: str, read: Callable[[Path, Reading], Rows | None]) -> _TableRead[Rows]:
        """The table of that name in a folder, as CSV or workbook."""
        path, reading = table_file(folder, name)
        there = path is not None or bool(reading.problems)
        return cls(reading, None if path is None else read(path, reading), there)


def read_session(folder: Path) -> SessionRead:
    """The session kept in `folder`, which may also be the path of its `session.toml`.

    Raises `InputError` with every problem of every file of the session; where all can be read, for a weight standard
    that does not fit and for routes that no train can run.
    """
    folder = _session_folder(folder)
    head = Reading(SESSION_FILE)
    table = read_toml(folder / SESSION_FILE, head)
    cars = _TableRead.of(folder, "cars", read_cars_into)
    guests = _TableRead.of(folder, "guests", lambda path, reading: read_cars_into(path, reading, GUESTS))
    engines = _TableRead.of(folder, "engines", read_engines_into)
    trains = _TableRead.of(folder, "trains", read_trains_into)
    tables = [each.reading for each in (cars, guests, engines, trains)]
    car_names = _car_names(cars, guests)
    if table is None:
        check_train_rows(trains.rows or (), car_names, None, trains.reading)
        raise_problems(head, *tables)
        raise AssertionError("a session that cannot be read leaves a problem")
    session = Keys(table, SESSION, "", head)
    title = session.text("title") or folder.resolve().name
    of_layout, layout = _layout(session, folder)
    house = read_house(session)
    entries = read_entries(session)
    engine_names = [row.name for row in engines.rows or ()] if engines.rows is not None or not engines.there else None
    for entry in entries or ():
        check_engines(entry, engine_names, head)
        if layout is not None:
            check_route(entry, layout.places, head)
    if layout is not None:
        for each in (cars, guests):
            check_bodies(each.rows or (), layout.scale, each.reading)
        check_homes(engines.rows or (), layout.places, engines.reading)
    rows = _train_rows(trains, car_names, entries)
    raise_problems(head, of_layout, *tables)
    assert layout is not None
    standard = _standard(house, layout, head)
    routes = [_route(entry, layout, head) for entry in entries or ()]
    raise_problems(head)
    assert standard is not None
    stock = (
        *cars_of(cars.rows or (), layout.scale, standard, house.rolling_percent),
        *cars_of(guests.rows or (), layout.scale, standard, house.rolling_percent, guest=True),
    )
    running = tuple(
        TrainRead(each.name, route, each.engines, each.helpers, each.depart, each.arrive, rows_of(each.name, rows))
        for each, route in zip(entries or (), routes, strict=True)
        if route is not None
    )
    notes = tuple(note for reading in (head, *tables, of_layout) for note in reading.notes)
    return SessionRead(
        title, house, standard, layout, stock, engines_of(engines.rows or (), layout.scale), running, notes
    )


def read_layout_and_engines(layout: Path, engines: Path) -> tuple[Layout, tuple[Engine, ...], tuple[str, ...]]:
    """A layout's file and a table of engines, at least one, without a session; and what is odd in them.

    Raises `InputError` with every problem of both files.
    """
    of_layout, of_engines = (Reading(plain(path.name or str(path))) for path in (layout, engines))
    track = read_layout_into(layout, of_layout)
    rows = read_engines_into(engines, of_engines)
    if rows == () and not of_engines.problems:
        of_engines.problem("", "found no engine, expected at least one row; add an engine to the table")
    raise_problems(of_layout, of_engines)
    assert track is not None
    return track, engines_of(rows or (), track.scale), (*of_engines.notes, *of_layout.notes)


def _session_folder(path: Path) -> Path:
    try:
        if path.is_file() and path.name == SESSION_FILE:
            return path.parent
        fault = _folder_fault(path)
    except (OSError, ValueError):
        fault = "the folder cannot be looked into; check its name and permissions"
    if fault:
        shown = "".join(c if c.isprintable() else "?" for c in str(path))
        raise InputError([Problem(shown, "", fault)])
    return path


def _folder_fault(path: Path) -> str | None:
    if not path.exists():
        return "the folder is missing; check the name, or make a session with 'consist new'"
    if not path.is_dir():
        return f"found a file, expected a session's folder or its {SESSION_FILE}; name the folder"
    if not (path / SESSION_FILE).exists():
        return f"the folder holds no {SESSION_FILE}; make a session with 'consist new'"
    return None


def _car_names(cars: _TableRead[tuple[Given, ...]], guests: _TableRead[tuple[Given, ...]]) -> dict[str, int] | None:
    """The rows of all cars by name, None where a table that is there could not be read."""
    if any(table.there and table.rows is None for table in (cars, guests)):
        return None
    names = {car.name: car.row for car in cars.rows or ()}
    for guest in guests.rows or ():
        if guest.name in names:
            guests.reading.problem(
                f"row {guest.row}, car",
                f"found {quoted(guest.name)}, which row {names[guest.name]} of {cars.reading.file} names already; "
                "expected a name of its own, rename the guest or remove one",
            )
    return names | {guest.name: guest.row for guest in guests.rows or ()}


def _layout(session: Keys, folder: Path) -> tuple[Reading, Layout | None]:
    written = session.text("layout")
    reading = Reading(plain(written) if written else "layout")
    return reading, None if written is None else read_layout_into(folder / written, reading)


def _train_rows(
    trains: _TableRead[tuple[TrainRow, ...]],
    car_names: dict[str, int] | None,
    entries: tuple[TrainEntry, ...] | None,
) -> tuple[TrainRow, ...]:
    reading, read = trains.reading, trains.rows
    if entries and not trains.there:
        reading.problem(
            "", f"the file is missing, expected {A_ROW_A_CAR}; make it with the columns train, spot and car"
        )
    if read is None:
        return ()
    if entries and not read and not reading.problems:
        reading.problem("", f"found no row, expected {A_ROW_A_CAR}; add the cars of at least one train")
    # Where a name is given twice, which is a problem already, rows are held against the first of the name.
    routes = None if entries is None else {entry.name: entry.stops for entry in reversed(entries)}
    return check_train_rows(read, car_names, routes, reading)


def _standard(house: House, layout: Layout, head: Reading) -> WeightStandard | None:
    try:
        return weight_standard(house.weight_standard, layout.scale)
    except StandardError as error:
        head.problem("[house], weight_standard", str(error))
        return None


def _route(entry: TrainEntry, layout: Layout, head: Reading) -> Route | None:
    try:
        return find_route(layout, entry.stops or ())
    except RouteError as error:
        head.problem(f"train '{entry.name}', route", str(error))
        return None
