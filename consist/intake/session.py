"""A session's folder: `session.toml`, its tables, and the layout it names."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, fields, replace
from functools import partial
from itertools import pairwise
from pathlib import Path
from typing import Generic, TypeVar

from consist.errors import InputError
from consist.house import GuestPractice, House, OwnStandard, Spread
from consist.intake.files import Reading, raise_problems, unless_refused
from consist.intake.hardest import HardestPlaces, hardest_layout, longest_train_mm, read_hardest, route_over
from consist.intake.layout import read_layout_into
from consist.intake.rows import Given, read_rows, table_file
from consist.intake.stock import cars_of, check_bodies, engines_of, read_car_rows
from consist.intake.table_map import AS_OURS, SESSION_FILE, TableMap, maps_in
from consist.intake.toml import Keys, end_of, read_toml
from consist.intake.trains import TrainEntry, TrainRow, check_engines, check_train_rows, read_entries, read_train_rows
from consist.names import listed, plain, quoted
from consist.scales import GRAMS_PER_OUNCE, HO_RATIO, MM_PER_INCH
from consist.stock import Car, Engine, StandardError, WeightStandard, weight_standard
from consist.track import Layout, Route, RouteError, find_route

__all__ = ["SessionRead", "TrainRead", "own_standard", "read_layout_and_engines", "read_session"]

A_ROW_A_CAR = "a row for each car of the trains in session.toml"

OWN_UNITS = (
    ("base_g", "base_oz", GRAMS_PER_OUNCE),
    ("per_mm_g", "per_in_oz", GRAMS_PER_OUNCE / MM_PER_INCH),
)
"""Of an own standard, its figures in grams and millimetres, in ounces and inches, and one of these in those."""
Practice = TypeVar("Practice", House, GuestPractice, Spread)
Row = TypeVar("Row")
Found = TypeVar("Found")


@dataclass(frozen=True)
class TrainRead(TrainEntry):
    """A train as its session's files have it, with its cars in spot order."""

    route: Route
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


class _Table(Generic[Row]):
    """A table of a folder, as CSV or workbook: its reading, its rows, and whether it is there and can be read."""

    def __init__(
        self, folder: Path, name: str, how: TableMap, ratio: float, read: Callable[..., tuple[Row, ...]], *tables: str
    ) -> None:
        path, self.reading = table_file(folder, name, how)
        read = partial(read, how=how, ratio=ratio)
        rows = None if path is None else unless_refused(read, path, self.reading, *tables)
        self.rows = rows or ()
        self.there = path is not None or bool(self.reading.problems)
        self.unreadable = self.there and rows is None


def read_session(folder: Path) -> SessionRead:
    """The session kept in `folder`, which may also be the path of its `session.toml`.

    Raises `InputError` with every problem of every file of the session; where all can be read, for a weight standard
    that does not fit and for routes that no train can run.
    """
    folder = _session_folder(folder)
    head = Reading(SESSION_FILE)
    table = unless_refused(read_toml, folder / SESSION_FILE, head)
    session = None if table is None else Keys(table, ("session",), "", head)
    maps = {} if session is None else maps_in(session)
    of_layout = Reading("layout")
    known = None if session is None else _hardest(session)
    layout = None if session is None else _layout(folder, session, of_layout)
    if known is not None:
        layout = hardest_layout(known, 1.0)
    # where there is no layout nothing is worked out, and every scale will do
    ratio = HO_RATIO if layout is None else layout.scale.ratio

    def table_of(name: str, read: Callable[..., tuple[Row, ...]], *tables: str) -> _Table[Row]:
        return _Table(folder, name, maps.get(name, AS_OURS), ratio, read, *tables)

    cars = table_of("cars", read_car_rows, "cars")
    guests = table_of("guests", read_car_rows, "cars", "guests")
    engines = table_of("engines", read_rows, "engines")
    trains = table_of("trains", read_train_rows)
    readings = [each.reading for each in (cars, guests, engines, trains)]
    by_row = _car_rows(cars, guests)
    if session is None:
        check_train_rows(trains.rows, by_row, None, trains.reading)
        raise_problems(head, *readings)
    assert session is not None
    title = session.value("title") or folder.resolve().name
    house = _house(session)
    entries = read_entries(session, [hard.name for hard in known.places] if known else None)
    for entry in entries or ():
        check_engines(entry, None if engines.unreadable else [row.name for row in engines.rows], head)
    if known is None and layout is not None and entries is not None:
        ends = [_ends_named(entry, layout, head) for entry in entries]
        entries = tuple(replace(entry, stops=stops) for entry, (stops, _) in zip(entries, ends, strict=True))
    if layout is not None:
        if not layout.apart:
            _check_places(layout, entries or (), engines, head)
        for each in (cars, guests):
            check_bodies(each.rows, layout.scale, each.reading)
    rows = _train_rows(trains, by_row, entries)
    if known is not None:
        _check_rides(trains)
    raise_problems(head, of_layout, *readings)
    assert layout is not None
    assert entries is not None
    scale = layout.scale
    wanted = house.weight_standard if "weight_standard" in session.table.get("house", {}) else None
    standard = _fitting(head, "[house], weight_standard", weight_standard, wanted, scale)
    routes: list[Route | None] = [None for _ in entries]
    if known is None:
        routes = [
            _fitting(head, f"train '{each.name}', route", find_route, layout, each.stops, named, each.pushed)
            for each, (_, named) in zip(entries, ends, strict=True)
        ]
    raise_problems(head)
    assert standard is not None
    stock = (
        *cars_of(cars.rows, scale, standard, house.rolling_percent),
        *cars_of(guests.rows, scale, standard, house.rolling_percent, guest=True),
    )
    pool = engines_of(engines.rows, scale)
    if known is not None:
        layout = hardest_layout(known, longest_train_mm(scale, stock, pool, [row.train for row in rows]))
        routes = [route_over(layout, known, each.stops or ()) for each in entries]
        # no place is known where an engine could be at home
        pool = tuple(replace(engine, home="") for engine in pool)
    return SessionRead(
        title=title,
        house=house,
        standard=standard,
        layout=layout,
        cars=stock,
        engines=pool,
        trains=tuple(
            TrainRead(**vars(entry), route=route, rows=tuple(row for row in rows if row.train == entry.name))
            for entry, route in zip(entries, routes, strict=True)
            if route is not None
        ),
        notes=(
            *(note for reading in (head, *readings, of_layout) for note in reading.notes),
            *filter(None, (standard.note,)),
        ),
    )


def _layout(folder: Path, session: Keys, of_layout: Reading) -> Layout | None:
    """The layout that the session names; None, with problems added, where there is none to be read."""
    written = None if _is_hardest(session) else session.value("layout")
    if written is None:
        return None
    of_layout.file = plain(written)
    return unless_refused(read_layout_into, folder / session.table["layout"].strip(), of_layout)


def read_layout_and_engines(layout: Path, engines: Path) -> tuple[Layout, tuple[Engine, ...], tuple[str, ...]]:
    """A layout's file and a table of engines, at least one, without a session; and what is odd in them.

    Raises `InputError` with every problem of both files.
    """
    of_layout, of_engines = (Reading(plain(path.name or str(path))) for path in (layout, engines))
    track = unless_refused(read_layout_into, layout, of_layout)
    rows = unless_refused(read_rows, engines, of_engines, "engines")
    if rows == () and not of_engines.problems:
        of_engines.problem("", "found no engine, expected at least one row; add an engine to the table")
    raise_problems(of_layout, of_engines)
    assert track is not None
    return track, engines_of(rows or (), track.scale), (*of_engines.notes, *of_layout.notes)


def _session_folder(path: Path) -> Path:
    fault = ""
    try:
        if path.is_file() and path.name == SESSION_FILE:
            return path.parent
        if not path.exists():
            fault = "the folder is missing; check the name, or make a session with 'consist new'"
        elif not path.is_dir():
            fault = f"found a file, expected a session's folder or its {SESSION_FILE}; name the folder"
        elif not (path / SESSION_FILE).exists():
            alike = [other.name for other in path.iterdir() if other.name.casefold().startswith(SESSION_FILE)]
            fault = (
                f"the folder holds {listed(sorted(alike))}, expected {SESSION_FILE}; rename the file"
                if alike
                else f"the folder holds no {SESSION_FILE}; make a session with 'consist new'"
            )
    except (OSError, ValueError):
        fault = "the folder cannot be looked into; check its name and permissions"
    if fault:
        raise InputError.of("".join(c if c.isprintable() else "?" for c in str(path)), fault)
    return path


def _house(session: Keys) -> House:
    """The house's practice, with the default for every key left out or, with a problem added, bad."""
    keys = session.within(session.value("house") or {}, "house", "house")
    house = _practice(House(), keys)
    guests = _practice(GuestPractice(), keys.within(keys.value("guests") or {}, "guests", "guest_practice"))
    spread = _practice(Spread(), keys.within(keys.value("spread") or {}, "spread", "spread"))
    standard = _standard_asked(keys) or house.weight_standard
    return replace(house, guests=guests, spread=spread, weight_standard=standard)


def _practice(default: Practice, keys: Keys) -> Practice:
    """The default with what the keys say in its place."""
    before = len(keys.reading.problems)
    practice = replace(default, **keys.values())
    if len(keys.reading.problems) == before:
        # A flange no steeper than the angle of friction climbs under any side pull: no train could run.
        friction = getattr(practice, "flange_friction", 0.0)
        keys.check({**vars(practice), "least_flange_angle": math.degrees(math.atan(friction))})
    return practice


def own_standard(written: str, where: str) -> OwnStandard:
    """A standard written as in a session's file, such as `base_oz = 1, per_in_oz = 0.5`, in braces or not.

    Without a name it is `own`.

    Raises `InputError` with every problem of it.
    """
    reading = Reading(where)
    try:
        bare = written.strip().removeprefix("{").removesuffix("}")
        table = tomllib.loads(f"own = {{ {bare} }}")["own"]
    except tomllib.TOMLDecodeError:
        reading.refuse(f"found {quoted(written)}, expected a standard; write it like 'base_oz = 1, per_in_oz = 0.5'")
    own = _own_standard(Keys({"name": "own", **table}, ("own_standard",), "", reading))
    raise_problems(reading)
    assert own is not None
    return own


def _own_standard(keys: Keys) -> OwnStandard | None:
    """A standard of a table of its own; None, with problems added, where it is none."""
    read, before = keys.values(), len(keys.reading.problems)
    for given, other, size in OWN_UNITS:
        if (given in keys.table) == (other in keys.table):
            found = f"both {given} and {other}" if given in keys.table else f"neither {given} nor {other}"
            keys.problem(given, f"found {found}, expected one of them; give it in the one unit or the other")
        elif other in read:
            read[given] = size * read.pop(other)
    if read.get("base_g") == read.get("per_mm_g") == 0:
        keys.problem("", "found 0 for every car and 0 for its length, expected one of them over 0; correct one")
    whole = len(keys.reading.problems) == before and len(read) == len(fields(OwnStandard))
    return OwnStandard(**read) if whole else None


def _standard_asked(house: Keys) -> str | OwnStandard | None:
    value = house.table.get("weight_standard")
    if isinstance(value, dict):
        return _own_standard(house.within(value, "weight_standard", "own_standard"))
    if value is not None and not isinstance(value, str):
        house.problem(
            "weight_standard",
            f"found {house.found('weight_standard')}, expected the name of a standard or a table; "
            'write "nmra-rp-20.1" or { name = "...", base_g = 0.0, per_mm_g = 0.0 }',
        )
    elif value is not None:
        named: str | None = house.value("weight_standard")
        return named
    return None


def _car_rows(cars: _Table[Given], guests: _Table[Given]) -> dict[str, int] | None:
    """The rows of all cars by name, None where a table that is there could not be read."""
    if cars.unreadable or guests.unreadable:
        return None
    rows = {car.name: car.row for car in cars.rows}
    for guest in guests.rows:
        if guest.name in rows:
            told = f"found {quoted(guest.name)}, which row {rows[guest.name]} of {cars.reading.file} names already"
            told = f"{told}; expected a name of its own, rename the guest or remove one"
            guests.reading.problem(f"row {guest.row}, car", told)
    return rows | {guest.name: guest.row for guest in guests.rows}


def _is_hardest(session: Keys) -> bool:
    return isinstance(session.table.get("layout"), dict)


def _hardest(session: Keys) -> HardestPlaces | None:
    """The hardest places that stand for a layout; None where there are none or, with problems added, bad ones."""
    if not _is_hardest(session):
        return None
    return read_hardest(session.within(session.table["layout"], "layout", "known_places"))


def _check_rides(trains: _Table[TrainRow]) -> None:
    """Add a problem for each car that joins or leaves on the way, where there is no way but hardest places."""
    for row in trains.rows:
        if row.joins or row.leaves:
            told = (
                "found a stop, but of this railroad only its hardest places are known, where every car rides all the"
            )
            trains.reading.problem(
                f"row {row.row}, {'joins' if row.joins else 'leaves'}", f"{told} way; clear the cell"
            )


def _ends_named(
    entry: TrainEntry, layout: Layout, head: Reading
) -> tuple[tuple[str, ...] | None, tuple[str | None, ...]]:
    """A train's stops as places, and the end that each names; a place whose own name holds a comma is that place."""
    if entry.stops is None:
        return None, ()
    stops = [(stop, None) if stop in layout.places else end_of(stop) or (stop, None) for stop in entry.stops]
    at, places = f"{entry.place}, route", []
    for written, (place, end) in zip(entry.stops, stops, strict=True):
        known = place in layout.places
        places.append(place if known else written)
        if known and end is not None:
            head.check_known(at, end, layout.ends(place), f"an end of {quoted(place)}", "ends")
    twice = next((one for one, other in pairwise(places) if one == other), None)
    if twice is not None:
        head.problem(at, f"found {quoted(twice)} twice in a row, expected it once; remove one")
    return tuple(places), tuple(end for _, end in stops)


def _check_places(layout: Layout, entries: Iterable[TrainEntry], engines: _Table[Given], head: Reading) -> None:
    """Add a problem for each stop of a route, and each home of an engine, that is no place of the layout."""
    for entry in entries:
        for stop in dict.fromkeys(entry.stops or ()):
            head.check_known(f"{entry.place}, route", stop, layout.places, "a place of the layout", "places")
    for row in engines.rows:
        if "home" in row.values:
            place, expected = f"row {row.row}, home", "a place of the layout or an empty cell"
            engines.reading.check_known(place, row.values["home"], layout.places, expected, "places")


def _train_rows(
    trains: _Table[TrainRow], known: Collection[str] | None, entries: tuple[TrainEntry, ...] | None
) -> list[TrainRow]:
    """The checked rows in spot order."""
    reading = trains.reading
    if entries and not trains.there:
        told = f"the file is missing, expected {A_ROW_A_CAR}; make it with the columns train, spot and car"
        reading.problem("", told)
    elif entries and not trains.rows and not reading.problems:
        reading.problem("", f"found no row, expected {A_ROW_A_CAR}; add the cars of at least one train")
    # Where a name is given twice, which is a problem already, rows are held against the first of the name.
    routes = None if entries is None else {entry.name: entry.stops for entry in reversed(entries)}
    return sorted(check_train_rows(trains.rows, known, routes, reading), key=lambda row: row.spot)


def _fitting(head: Reading, place: str, find: Callable[..., Found], *given: object) -> Found | None:
    """What fits the layout; None, with a problem added, where nothing does."""
    try:
        return find(*given)
    except (RouteError, StandardError) as error:
        head.problem(place, str(error))
        return None
