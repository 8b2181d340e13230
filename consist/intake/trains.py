"""The trains of a session: each `[[train]]` of `session.toml` and each row of `trains.csv`, and their checks."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from typing import Any

from consist.intake.fields import declared
from consist.intake.files import Reading
from consist.intake.rows import Given, read_rows
from consist.intake.table_map import AS_OURS, TableMap
from consist.intake.toml import Keys
from consist.names import did_you_mean, one_of, quoted

__all__ = ["TrainEntry", "TrainRow", "check_engines", "check_train_rows", "read_entries", "read_train_rows"]

DAY_MINUTES = 24 * 60
MOST_TRAINS, MOST_STOPS = 1_000, 100
"""Of a session, and of a train's route: more than any evening has. Common practice, no source."""
HOLD, SPOT = (next(each for each in declared("trains") if each.name == name) for name in ("hold", "spot"))

Stops = tuple[str, ...]


@dataclass(frozen=True)
class TrainEntry:
    """One `[[train]]` as read, engines by name. `place` is where it stands; `stops` are None if its route is bad.

    `pushed` tells of each stop after the first whether the train backs to it, and is empty where it backs to none.
    `depart` and `arrive` are minutes of the fast clock after midnight; `arrive` may pass 1440.
    """

    place: str
    name: str
    stops: Stops | None
    engines: tuple[str, ...]
    helpers: tuple[str, ...]
    depart: int | None
    arrive: int | None
    pushed: tuple[bool, ...]


@dataclass(frozen=True)
class TrainRow:
    """One row of `trains.csv`: a car in a train. `hold` is `front`, `rear`, `stay`, `with CAR`, or None.

    `joins` and `leaves` are stops of the train's route, None where the cell is blank.
    """

    train: str
    spot: int
    car: str
    row: int
    loaded: bool = False
    block: str | None = None
    hold: str | None = None
    joins: str | None = None
    leaves: str | None = None


def read_entries(session: Keys, hardest: Sequence[str] | None = None) -> tuple[TrainEntry, ...] | None:
    """The trains of the session; None, with problems added, where some have no name to be known by.

    Over places of which only the `hardest` are known a train without a route runs over all of them.
    """
    tables = session.value("train")
    if tables is not None and len(tables) > MOST_TRAINS:
        told = f"found {len(tables)} trains, expected up to {MOST_TRAINS}"
        session.reading.refuse(f"{told}; part them into several sessions")
    entries = tuple(
        _entry(session.within(table, f"train {number}", "train"), hardest)
        for number, table in enumerate(tables or (), start=1)
    )
    first: dict[str, str] = {}
    for entry in entries:
        if entry.name and first.setdefault(entry.name, entry.place) != entry.place:
            told = f"found {quoted(entry.name)}, the name of {first[entry.name]} already"
            session.reading.problem(f"{entry.place}, name", f"{told}; expected each name once, rename one")
    readable = all(entry.name for entry in entries) and (tables is not None or "train" not in session.table)
    return entries if readable else None


def _entry(keys: Keys, hardest: Sequence[str] | None) -> TrainEntry:
    name, depart, arrive = (keys.value(key) for key in ("name", "depart", "arrive"))
    if depart is not None and arrive is not None:
        if arrive == depart:
            keys.problem("arrive", "found the time of depart, expected a later one; correct one of the two")
        elif arrive < depart:
            arrive += DAY_MINUTES
    stops, pushed = _route(keys) if hardest is None else (_over(keys, hardest), ())
    engines, helpers = (keys.value(key) or () for key in ("engines", "helpers"))
    return TrainEntry(keys.place, name or "", stops, engines, helpers, depart, arrive, pushed)


def _route(keys: Keys) -> tuple[Stops | None, tuple[bool, ...]]:
    """The stops, and of each after the first whether the train backs to it; nothing where it backs to none."""
    written: tuple[str | dict[str, Any], ...] | None = keys.value("route")
    if written is None:
        return None, ()
    stops = [_stop(keys, stop, number) for number, stop in enumerate(written, start=1)]
    if stops and stops[0][1]:
        told = "found true, and a train backs to no stop that it starts at; leave it out"
        keys.problem("route, stop 1, pushed", told)
    names = tuple(name for name, _ in stops)
    pushed = tuple(backs for _, backs in stops[1:])
    return _checked_route(keys, names) if all(names) else None, pushed if any(pushed) else ()


def _stop(keys: Keys, stop: str | dict[str, Any], number: int) -> tuple[str, bool]:
    if isinstance(stop, str):
        return stop, False
    own = keys.within(stop, f"route, stop {number}", "stop")
    return own.value("to") or "", bool(own.value("pushed"))


def _checked_route(keys: Keys, route: Stops) -> Stops | None:
    if len(route) > MOST_STOPS:
        keys.problem("route", f"found {len(route)} stops, expected up to {MOST_STOPS}; part the train into several")
        return None
    twice = next((one for one, other in pairwise(route) if one == other), None)
    if len(route) < 2:
        told = f"found a list of {len(route)}, expected a list of two or more place names; add the stops in order"
        keys.problem("route", told)
        return None
    if twice is not None:
        keys.problem("route", f"found {quoted(twice)} twice in a row, expected it once; remove one")
        return None
    return route


def _over(keys: Keys, hardest: Sequence[str]) -> Stops | None:
    """The hardest places that a train runs over: those that its route names, or all."""
    if keys.table.get("route") in (None, []):
        return tuple(hardest)
    route: Stops | None = keys.value("route")
    if any(not isinstance(stop, str) for stop in route or ()):
        keys.problem("route", "found a table in the list, and no place is known to back to; write the places alone")
        return None
    for stop in route or ():
        keys.reading.check_known(keys.at("route"), stop, hardest, "a place of the layout", "places")
    return None if route is None or not {*route} <= {*hardest} else route


def check_engines(entry: TrainEntry, known: Collection[str] | None, reading: Reading) -> None:
    """Add a problem for an engine that is not known, or that a train has twice; None is known where nothing is."""
    seen: set[str] = set()
    for key, names in (("engines", entry.engines), ("helpers", entry.helpers)):
        place = f"{entry.place}, {key}"
        for name in names:
            if name in seen:
                told = f"found the engine {quoted(name)} twice in the train, expected it once; remove one"
                reading.problem(place, told)
            elif known is not None:
                reading.check_known(place, name, known, "an engine of engines.csv", "engines")
            seen.add(name)


def read_train_rows(
    path: Path, reading: Reading, how: TableMap = AS_OURS, ratio: float | None = None
) -> tuple[TrainRow, ...]:
    """The rows of a table of trains that name a train and a car, problems going to `reading`.

    A train of which no row has a spot stands in the order of its rows. Refused where it is not such a table.
    """
    given = read_rows(path, reading, "trains", how=how, ratio=ratio)
    riding: dict[str, list[str]] = {}
    for row in given:
        riding.setdefault(row.name, []).append(row.values.get("car", ""))
    spots = _spots(given, reading)
    held = [(row, {**row.values, **spots[row.row], "hold": _hold(row, riding[row.name], reading)}) for row in given]
    return tuple(TrainRow(row.name, row=row.row, **values) for row, values in held if {"spot", "car"} <= {*values})


def _spots(given: Iterable[Given], reading: Reading) -> dict[int, dict[str, int]]:
    """By row the spot that its place among its train's rows gives; with a problem for one that alone has none."""
    of_train: dict[str, list[Given]] = {}
    for row in given:
        of_train.setdefault(row.name, []).append(row)
    found: dict[int, dict[str, int]] = {row.row: {} for rows in of_train.values() for row in rows}
    for rows in of_train.values():
        without = [row for row in rows if "spot" not in row.filled]
        if len(without) == len(rows):
            found |= {row.row: {"spot": spot} for spot, row in enumerate(rows, start=1)}
            continue
        for row in without:
            told = f"found nothing, {SPOT.fault}, as other rows of the train have; {SPOT.cure}, or clear all of them"
            reading.problem(f"row {row.row}, spot", told)
    return found


def _hold(row: Given, riding: Collection[str], reading: Reading) -> str | None:
    text: str = row.values.get("hold", "")
    if not text or text.casefold() in ("front", "rear", "stay"):
        return text.casefold() or None
    place = f"row {row.row}, hold"
    word, _, other = text.partition(" ")
    others = [car for car in riding if car and car != row.values.get("car")]
    if word.casefold() != "with" or not other:
        reading.problem(place, f"found {quoted(text)}, {HOLD.fault}; {HOLD.cure}")
    elif (meant := one_of(other, others)) is not None:
        return f"with {meant}"
    else:
        hint = did_you_mean(other, others, "other cars of the train")
        reading.problem(place, f"found {quoted(text)}, expected another car of the same train; {hint}")
    return text


def _check_once(rows: Iterable[TrainRow], reading: Reading) -> None:
    first: dict[tuple[str, int | str], int] = {}
    for row in rows:
        place, train = f"row {row.row}", quoted(row.train)
        taken = first.setdefault((row.train, row.spot), row.row)
        if taken != row.row:
            told = f"found spot {row.spot} of {train}, which row {taken} takes already"
            reading.problem(f"{place}, spot", f"{told}; expected each spot once, renumber one of the two rows")
        has = first.setdefault((row.train, row.car), row.row)
        if has != row.row:
            told = f"found {quoted(row.car)} a second time in {train}, row {has} has it already"
            reading.problem(f"{place}, car", f"{told}; expected each car once in a train, remove one of the two rows")


def check_train_rows(
    rows: Collection[TrainRow],
    cars: Collection[str] | None,
    routes: Mapping[str, Stops | None] | None,
    reading: Reading,
) -> tuple[TrainRow, ...]:
    """The rows, checked against the known cars and the trains' routes, stops spelled as the routes have them.

    `cars`, `routes` or a train's route is None where it could not be read, and is not checked against then.
    """
    checked = []
    meant = {} if cars is None else {row.car: one_of(row.car, cars) or row.car for row in rows}
    rows = [_as_named(row, meant) for row in rows]
    _check_once(rows, reading)
    for row in rows:
        if cars is not None:
            reading.check_known(f"row {row.row}, car", row.car, cars, "a car of cars.csv or guests.csv", "cars")
        if routes is not None:
            reading.check_known(f"row {row.row}, train", row.train, routes, "a train of session.toml", "trains")
        route = (routes or {}).get(row.train)
        checked.append(row if route is None else _stops_checked(row, route, reading))
    return tuple(checked)


def _as_named(row: TrainRow, meant: Mapping[str, str]) -> TrainRow:
    """The row with its car, and the car it stays beside, named as their own tables name them."""
    word, _, other = (row.hold or "").partition(" ")
    return replace(
        row, car=meant.get(row.car, row.car), hold=f"{word} {meant.get(other, other)}" if other else row.hold
    )


def _stops_checked(row: TrainRow, route: Stops, reading: Reading) -> TrainRow:
    known = {stop.casefold(): stop for stop in route}
    given = (("joins", row.joins), ("leaves", row.leaves))
    stops = {column: known.get(stop.casefold(), stop) for column, stop in given if stop}
    for column, stop in stops.items():
        reading.check_known(f"row {row.row}, {column}", stop, route, "a stop of the train's route", "stops")
    if {*stops.values()} <= {*route}:
        _check_way_round(row.row, stops, route, reading)
    return replace(row, joins=stops.get("joins"), leaves=stops.get("leaves"))


def _check_way_round(number: int, stops: Mapping[str, str], route: Stops, reading: Reading) -> None:
    joins, leaves = stops.get("joins", route[0]), stops.get("leaves", route[-1])
    if route.index(joins) < len(route) - 1 - route[::-1].index(leaves):
        return
    if len(stops) == 1:
        [(column, stop)] = stops.items()
        told = f"found {quoted(stop)}, where the train {'ends' if column == 'joins' else 'starts'}"
    elif joins == leaves:
        told = f"found {quoted(joins)} for both"
    else:
        told = f"found {quoted(joins)} and then {quoted(leaves)}, which comes before it"
    told = f"{told}; expected a car to leave at a later stop than it joins, correct the stops"
    reading.problem(f"row {number}, {' and '.join(stops)}", told)
