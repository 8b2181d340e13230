"""What the keys of `session.toml` say: the house's own practice in `[house]`, and each `[[train]]`."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass, fields, replace
from itertools import pairwise
from typing import TypeVar

from consist.house import GuestPractice, House, OwnStandard
from consist.intake.files import Reading
from consist.intake.toml import Keys
from consist.names import quoted

__all__ = ["TrainEntry", "check_engines", "read_entries", "read_house"]

DAY_MINUTES = 24 * 60

Practice = TypeVar("Practice", House, GuestPractice)


def read_house(session: Keys) -> House:
    """The house's practice, with the default for every key left out or, with a problem added, bad."""
    keys = Keys(session.value("house") or {}, ("house",), "house", session.reading)
    house = _practice(House(), keys)
    asked = Keys(keys.value("guests") or {}, ("guest_practice",), "house, guests", keys.reading)
    guests = _practice(GuestPractice(), asked)
    return replace(house, guests=guests, weight_standard=_standard(keys) or house.weight_standard)


def _practice(default: Practice, keys: Keys) -> Practice:
    """The default with what the keys say in its place."""
    before = len(keys.reading.problems)
    practice = replace(default, **keys.values())
    if len(keys.reading.problems) == before:
        # A flange no steeper than the angle of friction climbs under any side pull: no train could run.
        friction = getattr(practice, "flange_friction", 0.0)
        keys.check({**vars(practice), "least_flange_angle": math.degrees(math.atan(friction))})
    return practice


def _standard(house: Keys) -> str | OwnStandard | None:
    value = house.table.get("weight_standard")
    standard: str | OwnStandard | None = None
    if isinstance(value, dict):
        standard = _own_standard(Keys(value, ("own_standard",), "house, weight_standard", house.reading))
    elif isinstance(value, str):
        standard = house.value("weight_standard")
    elif value is not None:
        house.problem(
            "weight_standard",
            f"found {house.found('weight_standard')}, expected the name of a standard or a table; "
            'write "nmra-rp-20.1" or { name = "...", base_g = 0.0, per_mm_g = 0.0 }',
        )
    return standard


def _own_standard(keys: Keys) -> OwnStandard | None:
    read = keys.values()
    if read.get("base_g") == read.get("per_mm_g") == 0:
        keys.problem("", "found base_g and per_mm_g both 0, expected one of them over 0; correct one")
        return None
    return OwnStandard(**read) if len(read) == len(fields(OwnStandard)) else None


@dataclass(frozen=True)
class TrainEntry:
    """One `[[train]]` as read, engines by name. `place` is where it stands; `stops` are None if its route is bad.

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
    tables = session.value("train")
    entries = [
        _entry(Keys(table, ("train",), f"train {number}", session.reading))
        for number, table in enumerate(tables or (), start=1)
    ]
    first: dict[str, str] = {}
    for entry in entries:
        if entry.name and first.setdefault(entry.name, entry.place) != entry.place:
            told = f"found {quoted(entry.name)}, the name of {first[entry.name]} already"
            session.reading.problem(f"{entry.place}, name", f"{told}; expected each name once, rename one")
    readable = all(entry.name for entry in entries) and (tables is not None or "train" not in session.table)
    return tuple(entries) if readable else None


def _entry(keys: Keys) -> TrainEntry:
    name = keys.value("name") or ""
    depart, arrive = (keys.value(key) for key in ("depart", "arrive"))
    if depart is not None and arrive is not None:
        if arrive == depart:
            keys.problem("arrive", "found the time of depart, expected a later one; correct one of the two")
        elif arrive < depart:
            arrive += DAY_MINUTES
    stops = _route(keys)
    engines, helpers = (keys.value(key) or () for key in ("engines", "helpers"))
    return TrainEntry(keys.place, name, stops, engines, helpers, depart, arrive)


def _route(keys: Keys) -> tuple[str, ...] | None:
    route: tuple[str, ...] | None = keys.value("route")
    if route is None:
        return None
    twice = next((one for one, other in pairwise(route) if one == other), None)
    if len(route) < 2:
        told = f"found a list of {len(route)}, expected a list of two or more place names; add the stops in order"
        keys.problem("route", told)
    elif twice is not None:
        keys.problem("route", f"found {quoted(twice)} twice in a row, expected it once; remove one")
    return route if len(route) > 1 and twice is None else None


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
