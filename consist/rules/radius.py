"""Curves tighter than a car can take, or tighter than is kind to it.

Basis: the car's own `min_radius_*`. A radius under three times a car's coupled length is sharp for it: common
practice, from memory.
"""

from __future__ import annotations

import itertools

from consist.lengths import shorter
from consist.rules.case import Case
from consist.rules.finding import Finding
from consist.session import CarInTrain
from consist.track import Line

__all__ = ["radius"]

SHARP_FOR_A_CAR = 3.0


def radius(case: Case) -> list[Finding]:
    """A hold for each car whose least radius the route undercuts, a note where a curve is sharp for its length.

    `value` is the route's least radius where the car rides, `limit` what the car wants, in millimetres.
    """
    return [finding for car in case.cars if (finding := _finding(case, car)) is not None]


def _finding(case: Case, car: CarInTrain) -> Finding | None:
    sharpest = _sharpest(case, car)
    if sharpest is None:
        return None
    radius_mm, line = sharpest
    least = car.car.min_radius_mm
    kind = SHARP_FOR_A_CAR * car.car.coupled_length_mm
    who = f"{car.car.name} in spot {car.spot}"
    where = f"between {line.start[0]} and {line.finish[0]}"
    if least is not None and shorter(radius_mm, least):
        level, limit = "hold", least
        met, needed = case.lengths(radius_mm, least)
        say = f"{who} needs {needed} radius and meets the {met} curve {where}; leave it out of this train."
    elif least is None and shorter(radius_mm, kind):
        level, limit = "note", kind
        say = (
            f"{who} is {case.length(car.car.coupled_length_mm)} long for the {case.length(radius_mm)} curve {where}; "
            "try it there by hand, and give it neighbours of like length."
        )
    else:
        return None
    return Finding(
        code="radius",
        level="hold" if level == "hold" else "note",
        say=say,
        car=car.car.name,
        spot=car.spot,
        place=where,
        value=radius_mm,
        limit=limit,
    )


def _sharpest(case: Case, car: CarInTrain) -> tuple[float, Line] | None:
    """The least radius on the lines a car rides over, and the first line it is on."""
    route = case.train.route
    first, last = route.stops_mm[car.joins], route.stops_mm[car.leaves]
    found: tuple[float, Line] | None = None
    for (_, start), line in zip(itertools.islice(route.places, len(route.lines)), route.lines, strict=True):
        if start >= last or start + line.length_mm <= first:
            continue
        for piece in line.pieces:
            if piece.radius_mm is not None and (found is None or piece.radius_mm < found[0]):
                found = (piece.radius_mm, line)
    return found
