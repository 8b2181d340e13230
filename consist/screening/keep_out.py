"""Places and lines that a car must not go to, or where it wants watching.

Basis: the car's own `min_radius_*`, `height_*` and `width_*`, its coupled length, and the clearances and standing
lengths in the layout's file. A radius under three times a car's coupled length is sharp for one without a least
radius of its own (common practice, from memory), and none stands on one under half the spacing of its trucks.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import inf

from consist.house import radius_level
from consist.screening.results import KeepOut, KeepOutCode
from consist.stock import Car
from consist.tolerances import longer
from consist.track import Layout, Line, Place
from consist.wording import at, length_words, lengths_apart

__all__ = ["keep_out", "keep_out_of"]

AWAY = "keep it away from there"


def keep_out(car: Car, layout: Layout) -> tuple[KeepOut, ...]:
    """Where on the layout a car must not go, then where it wants watching, each in the order of the layout's file."""
    found: dict[tuple[str, str], KeepOut] = {}
    for each in keep_out_of(car, (*layout.places.values(), *layout.lines), layout.unit):
        found.setdefault((each.code, each.where), each)
    return tuple(sorted(found.values(), key=lambda each: not each.barred))


def keep_out_of(car: Car, track: Iterable[Place | Line], unit: str) -> list[KeepOut]:
    """Those of some places and lines: too low or narrow for the car, too sharp, or with too little standing track."""
    found = []
    for each in track:
        if isinstance(each, Place):
            found += [*_clearances(car, each, each.name, unit), *_standing(car, each, unit)]
        else:
            found += [*_clearances(car, each, each.where, unit), *_curves(car, each, each.where, unit)]
    return found


def _standing(car: Car, place: Place, unit: str) -> list[KeepOut]:
    standing, own = place.standing_mm, car.coupled_length_mm
    if standing is None or not longer(own, standing):
        return []
    its, there = lengths_apart(own, standing, unit)
    fact = f"{car.name} is {its} over couplers and {place.name} has {there} of standing track"
    return [KeepOut("standing", place.name, fact, "do not leave it there", True, standing, own)]


def _clearances(car: Car, track: Place | Line, where: str, unit: str) -> list[KeepOut]:
    sides: tuple[tuple[KeepOutCode, str, float | None, float | None], ...] = (
        ("height", "high", car.height_mm, track.clearance_height_mm),
        ("width", "wide", car.width_mm, track.clearance_width_mm),
    )
    found = []
    for code, word, own, clear in sides:
        if clear is None:
            continue
        there = f"the clearance {at(where)} is"
        if own is None:
            fact = f"{car.name} has no {code} in its table and {there} {length_words(clear, unit)}"
            found.append(KeepOut(code, where, fact, "measure it before it goes there", False, clear, None))
        elif longer(own, clear):
            its, room = lengths_apart(own, clear, unit)
            fact = f"{car.name} is {its} {word} and {there} {room}"
            found.append(KeepOut(code, where, fact, AWAY, True, clear, own))
    return found


def _curves(car: Car, line: Line, where: str, unit: str) -> list[KeepOut]:
    sharpest = min((piece.radius_mm for piece in line.pieces if piece.radius_mm is not None), default=inf)
    level, wanted = radius_level(sharpest, car.min_radius_mm, car.coupled_length_mm, car.truck_centers_mm)
    curve = f"the sharpest curve {where} is"
    if level == "hold":
        met, needed = lengths_apart(sharpest, wanted, unit)
        fact = f"{car.name} needs {needed} radius and {curve} {met}"
        return [KeepOut("radius", where, fact, AWAY, True, sharpest, wanted)]
    if level != "go":
        its, met = (length_words(length, unit) for length in (car.coupled_length_mm, sharpest))
        fact = f"{car.name} is {its} long and {curve} {met}"
        return [KeepOut("sharp", where, fact, "try it there by hand first", False, sharpest, wanted)]
    return []
