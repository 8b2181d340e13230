"""Rules about a car in its place in the train.

Side pull is held against the two limits of the mechanics, tipping about a rail and a flange climbing (Nadal), with
the house's margins; coupler angle and radius against the car's own figures; weight against the session's standard.
"""

from __future__ import annotations

from math import asin, degrees

from consist.lengths import shorter
from consist.rules.case import Case
from consist.rules.finding import Finding, Level
from consist.session import CarInTrain
from consist.stock import NEAR_ENOUGH, OVER_ENOUGH
from consist.track import Line
from consist.trains import LegRun
from consist.weights import heavier, lighter
from consist.wording import at

__all__ = ["car_weight", "coupler_angle", "light_ahead", "radius", "side_pull"]

PAIRS = 3
CLEARLY_LIGHTER = 0.8
"""A car is light against another below this share of its weight per length. Common practice, no source."""
HALF_WAY = 0.5
"""Pairs are named only for a car past this share of the use at which the house takes care."""
SHARP_FOR_A_CAR = 3.0
"""A radius under so many coupled lengths is sharp for a car: common practice, from memory."""
FAR_UNDER = 0.30
"""A car this share under its target is a matter of care, not a note. Common practice, no source."""


def side_pull(case: Case) -> list[Finding]:
    """`side-pull` in tension, `buff-push` in buff, for each car whose margin is below the house's.

    `value` is the car's margin, `limit` the house's margin it falls short of.
    """
    house = case.session.house
    findings = []
    for car in case.cars:
        use = case.side_use(car)
        level = house.level_of(use)
        if level == "go":
            continue
        leg, vehicle = case.worst_run[car.car.name]
        pushed = bool(leg.peaks.in_buff[vehicle])
        code, doing = ("buff-push", "pushed out of") if pushed else ("side-pull", "pulled to the inside of")
        place = case.trip.place_of(leg, vehicle, float(leg.peaks.use.head_mm[vehicle]))
        say = f"is {doing} the curve {at(place)} with {case.percent(use)} of what it can bear; {_cure(case, pushed)}."
        figures = {"value": 1.0 / use, "limit": house.margin_of(level)}
        findings.append(case.about(car, code, level, say, place, **figures))
    return findings


def _cure(case: Case, pushed: bool) -> str:
    if not pushed:
        return "move it toward the rear end, add weight to it, or take cars off behind it"
    if case.trip.helpers:
        return "move it away from the helper, toward the head end, or add weight to it"
    return "move it toward the rear end, or add weight to it"


def coupler_angle(case: Case) -> list[Finding]:
    """A hold for each car one of whose couplers must swing past its limit; `value` and `limit` in degrees."""
    findings = []
    for car in case.cars:
        limit = car.car.max_swing_deg
        if limit is None:
            continue
        swing, leg, vehicle, head_mm = _widest(case, car)
        if swing <= limit:
            continue
        place = case.trip.place_of(leg, vehicle, head_mm)
        say = (
            f"A coupler of {car.car.name} in spot {car.spot} must swing {swing:.1f} degrees {at(place)} and "
            f"has {limit:.1f}; set it in next to a car of like length, or leave it out of this train."
        )
        findings.append(Finding("coupler-angle", "hold", say, car.car.name, car.spot, place, swing, limit))
    return findings


def _widest(case: Case, car: CarInTrain) -> tuple[float, LegRun, int, float]:
    """The widest swing at either end of a car in degrees, with the leg, vehicle number and head where."""
    leg, vehicle = case.worst_run[car.car.name]
    swings = [(0.0, leg, vehicle, leg.from_mm)]
    for leg in (leg for leg in case.trip.legs if car in leg.cars):
        vehicle = leg.first_car + leg.cars.index(car)
        for swing in leg.swings_of(vehicle):
            swings.append((degrees(asin(min(swing.sine, 1.0))), leg, vehicle, swing.head_mm))
    return max(swings, key=lambda found: found[0])


def radius(case: Case) -> list[Finding]:
    """A hold for each car whose least radius the route undercuts, a note where a curve is sharp for its length.

    `value` is the route's least radius where the car rides, `limit` what the car wants, in millimetres.
    """
    findings = []
    for car in case.cars:
        radius_mm, line = _sharpest(case, car)
        if line is None:
            continue
        least, long = car.car.min_radius_mm, car.car.coupled_length_mm
        where = f"between {line.start[0]} and {line.finish[0]}"
        kind = SHARP_FOR_A_CAR * long
        if least is not None and shorter(radius_mm, least):
            met, needed = case.lengths(radius_mm, least)
            say = f"needs {needed} radius and meets the {met} curve {where}; leave it out of this train."
            findings.append(case.about(car, "radius", "hold", say, where, radius_mm, least))
        elif least is None and shorter(radius_mm, kind):
            say = (
                f"is {case.length(long)} long for the {case.length(radius_mm)} curve {where}; try it there by hand, "
                "and give it neighbours of like length."
            )
            findings.append(case.about(car, "radius", "note", say, where, radius_mm, kind))
    return findings


def _sharpest(case: Case, car: CarInTrain) -> tuple[float, Line | None]:
    """The least radius on the lines a car rides over, and the first line it is on."""
    route = case.train.route
    first, last = route.stops_mm[car.joins], route.stops_mm[car.leaves]
    radii: list[tuple[float, Line | None]] = [
        (piece.radius_mm, line)
        for (_, start), line in zip(route.places[:-1], route.lines, strict=True)
        if start < last and start + line.length_mm > first
        for piece in line.pieces
        if piece.radius_mm is not None
    ]
    return min(radii, key=lambda met: met[0], default=(0.0, None))


def light_ahead(case: Case) -> list[Finding]:
    """Up to three pairs of a light car ahead of a heavy one, those first in which the light car is worst off.

    The drawbar pull through a car is what all behind it takes, so a light car is better off behind a heavy one:
    common practice, no source. `value` is the light car's weight per length over the heavy one's. Of care where the
    light car's own margin is below the house's, else a note.
    """
    house = case.session.house
    pairs = []
    for car in case.cars:
        use = case.side_use(car)
        leg, vehicle = case.worst_run[car.car.name]
        # a car that is pushed at its worst is none the better for standing behind a heavy one
        if use * house.care_margin >= HALF_WAY and not leg.peaks.in_buff[vehicle]:
            pairs += [(use, car, heavy) for heavy in _heaviest_behind(leg, car)]
    pairs.sort(key=lambda pair: (-pair[0], pair[1].spot))
    return [
        Finding(
            code="light-ahead",
            level="note" if house.level_of(use) == "go" else "care",
            say=(
                f"{light.car.name} ({case.weight(light.weight_g)}) in spot {light.spot} runs ahead of "
                f"{heavy.car.name} ({case.weight(heavy.weight_g)}) in spot {heavy.spot} and uses "
                f"{case.percent(use)} of what it can bear aside; set the lighter car in behind the heavier one."
            ),
            car=light.car.name,
            spot=light.spot,
            value=_density(light) / _density(heavy),
            limit=CLEARLY_LIGHTER,
        )
        for use, light, heavy in pairs[:PAIRS]
    ]


def _heaviest_behind(leg: LegRun, car: CarInTrain) -> list[CarInTrain]:
    """The heaviest car for its length behind this one that rides with it, where one is clearly heavier."""
    behind = [other for other in leg.cars if other.spot > car.spot]
    heavier = [other for other in behind if _density(car) < CLEARLY_LIGHTER * _density(other)]
    return sorted(heavier, key=lambda other: (-_density(other), other.spot))[:1]


def _density(car: CarInTrain) -> float:
    return car.weight_g / car.car.coupled_length_mm


def car_weight(case: Case) -> list[Finding]:
    """`not-weighed`, `underweight` or `overweight` for each car it is true of.

    Too light as a car runs in this train, since a load makes up for what it lacks empty; too heavy as it stands
    empty. On the target or a little over beats under it, about a tenth under is near enough (common practice, no
    source), and up to 30 % over is within NEM 302. `value` is the weight in grams judged, `limit` the target.
    """
    return [finding for car in case.cars if (finding := _of_weight(case, car)) is not None]


def _of_weight(case: Case, car: CarInTrain) -> Finding | None:
    target, empty, running = car.car.target_g, car.car.weight_g, car.weight_g
    standard = case.session.standard
    asked = f"the {case.weight(target)} of {standard.title} for its {standard.length_words}"
    finding = None
    if not car.car.weighed:
        say = (
            f"has no weight in the roster and was taken at its target of {case.weight(target)}; "
            "weigh it with everything on the scale."
        )
        finding = case.about(car, "not-weighed", "care", say, limit=target)
    elif lighter(running, (1.0 - NEAR_ENOUGH) * target):
        missing = case.weight(target - running)
        say = f"weighs {case.weight(running)}, {missing} under {asked}; add {missing}."
        level: Level = "care" if lighter(running, (1.0 - FAR_UNDER) * target) else "note"
        finding = case.about(car, "underweight", level, say, value=running, limit=target)
    elif heavier(empty, (1.0 + OVER_ENOUGH) * target):
        say = (
            f"weighs {case.weight(empty)} empty, {case.weight(empty - target)} over {asked}; "
            "stand it near the head end, or lighten it."
        )
        finding = case.about(car, "overweight", "note", say, value=empty, limit=target)
    return finding
