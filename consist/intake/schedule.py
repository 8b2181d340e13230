"""The `[[train]]` tables of `session.toml`: name, route, power and times."""

from __future__ import annotations

import datetime
import re
from collections.abc import Collection
from dataclasses import dataclass
from itertools import pairwise

from consist.intake.fields import Field, declared
from consist.intake.files import Reading
from consist.intake.toml import Keys
from consist.names import did_you_mean, quoted

__all__ = ["DAY_MINUTES", "TRAIN", "TrainEntry", "check_engines", "check_route", "minutes_of", "read_entries"]

DAY_MINUTES = 24 * 60

TRAIN = declared("train")
_, ROUTE, _, _, DEPART, ARRIVE = TRAIN


@dataclass(frozen=True)
class TrainEntry:
    """One `[[train]]` as read. `place` is where it stands; `stops` is None where its route could not be read.

    `depart` and `arrive` are minutes of the fast clock after midnight; `arrive` may pass 1440.
    """

    place: str
    name: str
    stops: tuple[str, ...] | None
    engines: tuple[str, ...]
    helpers: tuple[str, ...]
    depart: int | None
    arrive: int | None


def read_entries(session: Keys) -> tuple[TrainEntry, ...] | None:
    """The trains of the session; None, with problems added, where some have no name to be known by."""
    tables = session.tables("train")
    entries = [
        _entry(Keys(table, TRAIN, f"train {number}", session.reading)) for number, table in enumerate(tables, start=1)
    ]
    named = [entry for entry in entries if entry.name]
    first: dict[str, str] = {}
    for entry in named:
        if first.setdefault(entry.name, entry.place) != entry.place:
            told = f"found {quoted(entry.name)}, the name of {first[entry.name]} already"
            session.reading.problem(f"{entry.place}, name", f"{told}; expected each name once, rename one")
    if len(named) < len(entries) or not isinstance(session.table.get("train", []), list):
        return None
    return tuple(named)


def _entry(keys: Keys) -> TrainEntry:
    name = keys.text("name")
    depart, arrive = (_time(keys, each) for each in (DEPART, ARRIVE))
    if depart is not None and arrive is not None:
        if arrive == depart:
            keys.problem("arrive", "found the time of depart, expected a later one; correct one of the two")
        elif arrive < depart:
            arrive += DAY_MINUTES
    stops = _route(keys)
    engines, helpers = (keys.names(key) or () for key in ("engines", "helpers"))
    return TrainEntry(keys.place, name or "", stops, engines, helpers, depart, arrive)


def _route(keys: Keys) -> tuple[str, ...] | None:
    if "route" not in keys.table:
        keys.problem("route", f'found nothing, expected {ROUTE.needed}; add route = ["...", "..."]')
        return None
    route = keys.names("route")
    if route is None:
        return None
    if len(route) < 2:
        keys.problem("route", f"found a list of {len(route)}, expected {ROUTE.needed}; add the stops in order")
        return None
    for one, other in pairwise(route):
        if one == other:
            keys.problem("route", f"found {quoted(one)} twice in a row, expected it once; remove one")
            return None
    return route


def _time(keys: Keys, each: Field) -> int | None:
    if each.name not in keys.table:
        return None
    minutes = minutes_of(keys.table[each.name])
    if minutes is None:
        keys.problem(each.name, f"found {keys.found(each.name)}, {each.fault}; {each.cure}")
    return minutes


def minutes_of(value: object) -> int | None:
    """Minutes after midnight of a time as written, None where it is not one.

    >>> minutes_of("10:40"), minutes_of("24:00")
    (640, None)
    """
    if isinstance(value, datetime.time) and value.second == value.microsecond == 0:
        return value.hour * 60 + value.minute
    match = re.fullmatch(r"([0-9]{1,2}):([0-5][0-9])", value.strip()) if isinstance(value, str) else None
    if match is None or int(match[1]) > 23:
        return None
    return int(match[1]) * 60 + int(match[2])


def check_engines(entry: TrainEntry, known: Collection[str] | None, reading: Reading) -> None:
    """Add a problem for an engine that is not known, or that a train has twice."""
    seen: set[str] = set()
    for key, names in (("engines", entry.engines), ("helpers", entry.helpers)):
        place = f"{entry.place}, {key}"
        for name in names:
            if name in seen:
                reading.problem(
                    place, f"found the engine {quoted(name)} twice in the train, expected it once; remove one"
                )
            elif known is not None and name not in known:
                hint = did_you_mean(name, known, "engines")
                reading.problem(place, f"found {quoted(name)}, expected an engine of engines.csv; {hint}")
            seen.add(name)


def check_route(entry: TrainEntry, places: Collection[str], reading: Reading) -> None:
    """Add a problem for each stop that is not a place of the layout."""
    for stop in dict.fromkeys(entry.stops or ()):
        if stop not in places:
            hint = did_you_mean(stop, places, "places")
            told = f"found {quoted(stop)}, expected a place of the layout; {hint}"
            reading.problem(f"{entry.place}, route", told)
