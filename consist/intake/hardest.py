"""A railroad of which only the hardest places are known: each a run of its own, with nothing between them.

A run is straight track of a whole train's length on its grade, its curve, and as much straight again, so that all of
a train is on the grade while any of it is in the curve.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from consist.intake.layout import check_curve, scale_of
from consist.intake.toml import Keys
from consist.names import quoted
from consist.scales import MM_PER_INCH, Scale
from consist.stock import Car, Engine, engine_by_rule
from consist.track import Layout, Line, Piece, Place, Route

__all__ = ["Hard", "HardestPlaces", "hardest_layout", "longest_train_mm", "read_hardest", "route_over"]

FOOT, TOP = "foot", "top"
"""The ends of a hardest place."""
TURN_DEG = 180.0
MOST_PLACES = 200
MORE_CARS, ENGINES = 4, 6
"""So many cars more than it has, and so many engines, are taken to make up the longest train."""


@dataclass(frozen=True)
class Hard:
    """A hardest place: its curve without the straights before and after, and whether trains come down it too."""

    name: str
    curve: Piece
    both: bool = False


@dataclass(frozen=True)
class HardestPlaces:
    """All that is known of a railroad: its scale, the unit its owner measures in, and its hardest places."""

    name: str
    scale: Scale
    unit: str
    places: tuple[Hard, ...]


def read_hardest(keys: Keys) -> HardestPlaces | None:
    """The hardest places in the keys of a table; None, with problems added, where they cannot be used."""
    before = len(keys.reading.problems)
    scale, tables = scale_of(keys), keys.value("hardest") or []
    if "hardest" in keys.table and keys.table["hardest"] == []:
        keys.problem(
            "hardest", "found an empty list, expected one place or more; add { name = ..., radius_in = ... }"
        )
    if len(tables) > MOST_PLACES:
        keys.problem("hardest", f"found {len(tables)} places, expected up to {MOST_PLACES}; keep the hardest of them")
    places = [_hard(keys, number, table, scale) for number, table in enumerate(tables[:MOST_PLACES], start=1)]
    first: dict[str, int] = {}
    for number, hard in enumerate(places, start=1):
        if hard is not None and first.setdefault(hard.name, number) != number:
            told = f"found {quoted(hard.name)}, the name of place {first[hard.name]} already"
            keys.problem(f"hardest {number}, name", f"{told}; expected each name once, rename one")
    name = keys.value("name") or "hardest places"
    if scale is None or len(keys.reading.problems) > before:
        return None
    unit = "in" if any("radius_in" in table or "easement_in" in table for table in tables) else "mm"
    return HardestPlaces(name, scale, unit, tuple(filter(None, places)))


def _hard(layout: Keys, number: int, table: dict[str, object], scale: Scale | None) -> Hard | None:
    keys = layout.within(table, f"hardest {number}", "hardest")
    before = len(keys.reading.problems)
    keys.check({})
    name, read = keys.value("name"), keys.values()
    radius_mm, easement_mm = (_length(read, key) for key in ("radius", "easement"))
    grade = read.get("grade_percent", 0.0) / 100.0
    if len(keys.reading.problems) > before or not name:
        return None
    if radius_mm is None:
        return Hard(name, Piece(grade=grade), read.get("both", False))
    turn = math.radians(read.get("turn_deg", TURN_DEG))
    curve = Piece(grade=grade, radius_mm=radius_mm, turn=1, angle=turn, easement_mm=easement_mm or 0.0)
    inches = "radius_in" in read
    keys.unit_mm = MM_PER_INCH if inches else 1.0
    check_curve(keys, curve, radius_mm, scale.gauge_mm / 2.0 if scale else 0.0)
    return None if len(keys.reading.problems) > before else Hard(name, curve, read.get("both", False))


def _length(read: dict[str, float], key: str) -> float | None:
    """A length that may be given in either unit, in mm."""
    inches = read.get(f"{key}_in")
    return read.get(f"{key}_mm") if inches is None else MM_PER_INCH * inches


def hardest_layout(known: HardestPlaces, longest_mm: float) -> Layout:
    """The places as track for trains up to so long: a line each, which nothing joins to another."""
    lines = tuple(_line(hard, longest_mm) for hard in known.places)
    names = (name for hard in known.places for name in (hard.name, *([_down(hard.name)] if hard.both else [])))
    return Layout(known.name, known.scale, known.unit, {name: Place(name) for name in names}, lines, apart=True)


def _down(name: str) -> str:
    """What a place is called on the way down it."""
    return f"{name}, down"


def longest_train_mm(scale: Scale, cars: Iterable[Car], engines: Iterable[Engine], riding: Iterable[str]) -> float:
    """More than any train of a session comes to be, whatever engines are put on it, or cars set in: `riding` has the
    train of each row of the trains table."""
    longest_car = max((car.coupled_length_mm for car in cars), default=0.0)
    stand_in = engine_by_rule("stand-in", scale, weight_g=1.0).coupled_length_mm
    engine = max((engine.coupled_length_mm for engine in engines), default=stand_in)
    most = max(Counter(riding).values(), default=0)
    return (most + MORE_CARS) * max(longest_car, 1.0) + ENGINES * max(engine, stand_in)


def _line(hard: Hard, longest_mm: float) -> Line:
    straight = Piece(grade=hard.curve.grade, straight_mm=longest_mm)
    track = (straight, straight) if hard.curve.radius_mm is None else (straight, hard.curve, straight)
    return Line((hard.name, FOOT), (hard.name, TOP), track)


def route_over(layout: Layout, known: HardestPlaces, names: Sequence[str]) -> Route:
    """A train's way up some of the places, one after another, and down those where trains come down too."""
    both = {hard.name: hard.both for hard in known.places}
    by_name = {line.start[0]: line for line in layout.lines}
    lines: list[Line] = []
    stops: list[str] = []
    stops_mm: list[float] = []
    along = 0.0
    for name in names:
        for line in _runs(by_name[name], both=both[name]):
            stops.append(line.start[0])
            stops_mm.append(along)
            lines.append(line)
            along += line.length_mm
    return Route((*stops, stops[-1]), tuple(lines), (*stops_mm, along))


def _runs(line: Line, *, both: bool) -> Iterable[Line]:
    yield line
    if both:
        down = _down(line.start[0])
        yield replace(line.reversed(), start=(down, FOOT), finish=(down, TOP))
