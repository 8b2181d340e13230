"""Places and lines that a car must not go to, or where it wants watching.

Basis: the car's own `min_radius_*`, `height_*` and `width_*`, its coupled length, and the clearances and standing
lengths in the layout's file. A radius under three times a car's coupled length is sharp for one without a least
radius of its own: common practice, from memory.
"""

from __future__ import annotations

from collections.abc import Sequence

from consist.lengths import longer, shorter
from consist.screening.results import KeepOut, KeepOutCode
from consist.screening.words import stretch
from consist.stock import Car
from consist.track import Layout, Line, Place
from consist.wording import length_words, lengths_apart

__all__ = ["keep_out", "keep_out_of_lines", "keep_out_of_places"]

SHARP_FOR_A_CAR = 3.0
AWAY = "keep it away from there"


def keep_out(car: Car, layout: Layout) -> tuple[KeepOut, ...]:
    """Where on the layout a car must not go, then where it wants watching, each in the order of the layout's file."""
    found = [
        *keep_out_of_places(car, tuple(layout.places.values()), layout.unit),
        *keep_out_of_lines(car, layout.lines, layout.unit),
    ]
    known = {(each.code, each.where): each for each in reversed(found)}
    kept = [each for each in found if known[each.code, each.where] is each]
    return tuple(sorted(kept, key=lambda each: not each.barred))


def keep_out_of_places(car: Car, places: Sequence[Place], unit: str) -> list[KeepOut]:
    """The places a car must not go to: too low or narrow for it, or with standing track shorter than it is."""
    found = []
    for place in places:
        found.extend(_clearances(car, place, f"at {place.name}", place.name, unit))
        standing, own = place.standing_mm, car.coupled_length_mm
        if standing is not None and longer(own, standing):
            its, there = lengths_apart(own, standing, unit)
            fact = f"{car.name} is {its} over couplers and {place.name} has {there} of standing track"
            found.append(KeepOut("standing", place.name, fact, "do not leave it there", True, standing, own))
    return found


def keep_out_of_lines(car: Car, lines: Sequence[Line], unit: str) -> list[KeepOut]:
    """The lines a car must not go over: too sharp, too low or too narrow for it; and those that are only sharp."""
    found = []
    for line in lines:
        where = stretch(line.start[0], line.finish[0])
        found.extend(_clearances(car, line, where, where, unit))
        found.extend(_curves(car, line, where, unit))
    return found


def _clearances(car: Car, at: Place | Line, told: str, where: str, unit: str) -> list[KeepOut]:
    sides: tuple[tuple[KeepOutCode, str, float | None, float | None], ...] = (
        ("height", "high", car.height_mm, at.clearance_height_mm),
        ("width", "wide", car.width_mm, at.clearance_width_mm),
    )
    found = []
    for code, word, own, clear in sides:
        if clear is None:
            continue
        there = f"the clearance {told} is"
        if own is None:
            fact = f"{car.name} has no {code} in its table and {there} {length_words(clear, unit)}"
            found.append(KeepOut(code, where, fact, "measure it before it goes there", False, clear, None))
        elif longer(own, clear):
            its, room = lengths_apart(own, clear, unit)
            fact = f"{car.name} is {its} {word} and {there} {room}"
            found.append(KeepOut(code, where, fact, AWAY, True, clear, own))
    return found


def _curves(car: Car, line: Line, where: str, unit: str) -> list[KeepOut]:
    sharpest = min((piece.radius_mm for piece in line.pieces if piece.radius_mm is not None), default=None)
    if sharpest is None:
        return []
    curve = f"the sharpest curve {where} is"
    least = car.min_radius_mm
    kind = SHARP_FOR_A_CAR * car.coupled_length_mm
    if least is not None and shorter(sharpest, least):
        met, needed = lengths_apart(sharpest, least, unit)
        fact = f"{car.name} needs {needed} radius and {curve} {met}"
        return [KeepOut("radius", where, fact, AWAY, True, sharpest, least)]
    if least is None and shorter(sharpest, kind):
        its, met = (length_words(length, unit) for length in (car.coupled_length_mm, sharpest))
        fact = f"{car.name} is {its} long and {curve} {met}"
        return [KeepOut("sharp", where, fact, "try it there by hand first", False, sharpest, kind)]
    return []
