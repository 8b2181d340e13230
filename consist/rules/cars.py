"""Rules about a car in its place in the train.

Side pull is held against the two limits of the mechanics, tipping about a rail and a flange climbing (Nadal), with
the house's margins; coupler angle and radius against the car's own figures; weight against the session's standard.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import asin, degrees, inf
from typing import TYPE_CHECKING

from consist.house import radius_level
from consist.mechanics import CAN, MOST_SWING_DEG, PLAY
from consist.rules.case import Case, Finding, FindingCode, Level
from consist.session import CarInTrain
from consist.stock import FAR_UNDER, NEAR_ENOUGH, OVER_ENOUGH, Car, Engine
from consist.tolerances import heavier, lighter
from consist.track import Line
from consist.wording import at

if TYPE_CHECKING:
    from consist.trailing import TooMany

__all__ = ["car_weight", "coupler_angle", "light_ahead", "radius", "side_pull"]

PAIRS = 3
CLEARLY_LIGHTER = 0.8
"""A car is light against another below this share of its weight per length. Common practice, no source."""
HALF_WAY = 0.5
"""Pairs are named only for a car past this share of the use at which the house takes care."""


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
        code: FindingCode = "buff-push" if pushed else "side-pull"
        doing = "pushed out of" if pushed else "pulled to the inside of"
        place = case.trip.place_of(leg, vehicle, float(leg.peaks.use.head_mm[vehicle]))
        say = f"is {doing} the curve {at(place)} with {case.percent(use)} of what it can bear; {_cure(case, pushed)}."
        findings.append(case.about(car, code, level, say, place, 1.0 / use, house.margin_of(level)))
    return findings


def _cure(case: Case, pushed: bool) -> str:
    if not pushed:
        return "move it toward the rear end, add weight to it, or take cars off behind it"
    toward = "away from the helper, toward the head end" if case.trip.helpers else "toward the rear end"
    return f"move it {toward}, or add weight to it"


def coupler_angle(case: Case) -> list[Finding]:
    """A hold for each car one of whose couplers must swing past its limit; `value` and `limit` in degrees.

    And one for each coupling that swings or reaches further than any can: then `value` and `limit` are in degrees,
    or the distance of its pivots and its bound, in millimetres. No figure of such a place is used.
    """
    findings = []
    for car in case.cars:
        limit = car.car.max_swing_deg
        if limit is None:
            continue
        swings = [
            (degrees(asin(min(swing.sine, 1.0))), case.trip.place_of(leg, vehicle, swing.head_mm))
            for leg in case.trip.legs
            for vehicle, other in enumerate(leg.cars, start=leg.first_car)
            if other is car
            for swing in leg.swings_of(vehicle)
        ]
        swing, place = max(swings, key=lambda swing: swing[0], default=(0.0, ""))
        if swing > limit:
            say = (
                f"A coupler of {car.car.name} in spot {car.spot} must swing {swing:.1f} degrees {at(place)} and "
                f"has {limit:.1f}; set it in next to a car of like length, or leave it out of this train."
            )
            findings.append(Finding("coupler-angle", "hold", say, car.car.name, car.spot, place, swing, limit))
    return [*findings, *_beyond_reach(case)]


def _beyond_reach(case: Case) -> Iterator[Finding]:
    told = set()
    for leg in case.trip.legs:
        cars = dict(enumerate(leg.cars, start=leg.first_car))
        for coupling in leg.cannot_stand:
            names = leg.names[coupling], leg.names[coupling + 1]
            asked, head_mm = leg.strained(coupling)
            if names in told or asked.trucks > CAN:
                continue  # of trucks on too sharp a curve `radius` tells
            told.add(names)
            car = cars.get(coupling + 1, cars.get(coupling))
            place = case.trip.place_of(leg, coupling, head_mm)
            if asked.angle > CAN:
                value, limit = asked.angle * MOST_SWING_DEG, MOST_SWING_DEG
                does = f"must swing {value:.0f} degrees {at(place)}, and none swings past {limit:.0f}"
            else:
                value, limit = (
                    asked.gap_mm,
                    PLAY.passed_by(asked.gap_mm / asked.straight_gap_mm) * asked.straight_gap_mm,
                )
                there, usual = case.lengths(value, asked.straight_gap_mm)
                does = f"would have its pivots {there} apart {at(place)}, and has {usual} on straight track"
            say = (
                f"The coupling between {names[0]} and {names[1]} {does}; correct the curve or their lengths if they "
                "are wrong, or part the two."
            )
            name, spot = (None, None) if car is None else (car.car.name, car.spot)
            yield Finding("coupler-angle", "hold", say, name, spot, place, value, limit)


def radius(case: Case) -> list[Finding]:
    """A hold for each car whose least radius the route undercuts, or half of whose truck spacing it does, which no
    engine can stand on either; of care or a note where a curve is sharp for its length.

    `value` is the route's least radius where the car rides, `limit` what the car wants, in millimetres.
    """
    findings = []
    for car in case.cars:
        own = car.car
        radius_mm, where = _sharpest(case.train.lines_ridden(car))
        level, wanted = radius_level(radius_mm, own.min_radius_mm, own.coupled_length_mm, own.truck_centers_mm)
        if level == "go":
            continue
        if radius_mm < 0.5 * own.truck_centers_mm:
            say = _no_room(case, own, radius_mm, where)
        elif level == "hold":
            there, needed = case.lengths(radius_mm, wanted)
            say = f"needs {needed} radius and meets the {there} curve {at(where)}; leave it out of this train."
        else:
            say = (
                f"is {case.length(own.coupled_length_mm)} long for the {case.length(radius_mm)} curve {at(where)}; "
                "try it there by hand, and give it neighbours of like length."
            )
        findings.append(case.about(car, "radius", level, say, where, radius_mm, wanted))
    radius_mm, where = _sharpest(case.train.route.lines)
    for name, engine in {each.name: each for each in (*case.trip.engines, *case.trip.helpers)}.items():
        wanted = 0.5 * engine.truck_centers_mm
        if radius_mm < wanted:
            say = f"Engine {name} {_no_room(case, engine, radius_mm, where)}"
            findings.append(Finding("radius", "hold", say, place=where, value=radius_mm, limit=wanted))
    return findings


def _sharpest(lines: Iterable[Line]) -> tuple[float, str]:
    """The least radius on some lines, and where it is."""
    met = ((piece.radius_mm, line.where) for line in lines for piece in line.pieces if piece.radius_mm is not None)
    return min(met, key=lambda curve: curve[0], default=(inf, ""))


def _no_room(case: Case, stock: Car | Engine, radius_mm: float, where: str) -> str:
    apart, there = case.length(stock.truck_centers_mm), case.length(radius_mm)
    return (
        f"has its trucks {apart} apart and cannot stand on the {there} curve {at(where)}; correct the one that is "
        "wrong, or leave it out of this train."
    )


def light_ahead(case: Case) -> list[Finding]:
    """Up to three pairs of a light car ahead of a heavy one, those first in which the light car is worst off.

    The drawbar pull through a car is what all behind it takes, so a light car is better off behind a heavy one:
    common practice, no source. `value` is the light car's weight per length over the heavy one's. Of care where the
    light car's own margin is below the house's, and then with what may trail behind it; else a note.
    """
    house = case.session.house
    pairs = []
    for light in case.cars:
        use = case.side_use(light)
        leg, vehicle = case.worst_run[light.car.name]
        # a car that is pushed at its worst is none the better for standing behind a heavy one
        if use * house.care_margin < HALF_WAY or leg.peaks.in_buff[vehicle] or leg.leg.backing:
            continue
        behind = [car for car in leg.cars if car.spot > light.spot]
        heavy = min(behind, key=lambda car: (-_density(car), car.spot), default=light)
        if _density(light) < CLEARLY_LIGHTER * _density(heavy):
            pairs.append((use, light, heavy))
    pairs.sort(key=lambda pair: (-pair[0], pair[1].spot))
    findings = []
    for (use, light, heavy), passed in zip(pairs[:PAIRS], _passed(case, pairs[:PAIRS]), strict=True):
        say = (
            f"{light.car.name} ({case.weight(light.weight_g)}) in spot {light.spot} runs ahead of "
            f"{heavy.car.name} ({case.weight(heavy.weight_g)}) in spot {heavy.spot} and uses "
            f"{case.percent(use)} of what it can bear aside{passed}; set the lighter car in behind the heavier one."
        )
        level: Level = "note" if house.level_of(use) == "go" else "care"
        share = _density(light) / _density(heavy)
        findings.append(
            Finding("light-ahead", level, say, light.car.name, light.spot, value=share, limit=CLEARLY_LIGHTER)
        )
    return findings


def _passed(case: Case, pairs: Sequence[tuple[float, CarInTrain, CarInTrain]]) -> list[str]:
    """Of each light car that wants care and is pulled all the way, what may trail behind it where more does."""
    last, level_of = len(case.train.route.stops) - 1, case.session.house.level_of
    asked = {
        light.spot: (light, [car for car in case.worst_run[light.car.name][0].cars if car.spot > light.spot])
        for use, light, _ in pairs
        if level_of(use) != "go" and (light.joins, light.leaves) == (0, last) and not case.trip.helpers
    }
    if not asked:
        return [""] * len(pairs)
    from consist.trailing import too_many_behind

    found = too_many_behind(case.session, case.train, asked.values())
    told = {spot: _behind_words(over) for spot, over in zip(asked, found, strict=True) if over is not None}
    return [told.get(light.spot, "") for _, light, _ in pairs]


def _behind_words(over: TooMany) -> str:
    usual = f"no more than {over.most} usual car{'' if over.most == 1 else 's'}" if over.most else "no usual car"
    there = f"{over.cars} stand{'s' if over.cars == 1 else ''} there"
    heavy = "" if over.cars > over.most else f", as heavy as {over.as_heavy_as}"
    return f"; {usual} behind it on this route; {there}{heavy}"


def _density(car: CarInTrain) -> float:
    """Weight per length."""
    return car.weight_g / car.car.coupled_length_mm


def car_weight(case: Case) -> list[Finding]:
    """`not-weighed`, `underweight` or `overweight` for each car it is true of.

    Too light as a car runs in this train, since a load makes up for what it lacks empty; too heavy as it stands
    empty. On the target or a little over beats under it, about a tenth under is near enough (common practice, no
    source), and up to 30 % over is within NEM 302. `value` is the weight in grams judged, `limit` the target.
    """
    standard, findings = case.session.standard, []
    for car in case.cars:
        target, empty, running = car.car.target_g, car.car.weight_g, car.weight_g
        asked = f"the {case.weight(target)} of {standard.title} for its {standard.length_words}"
        if not car.car.weighed:
            say = (
                f"has no weight in the roster and was taken at its target of {case.weight(target)}; "
                "weigh it with everything on the scale."
            )
            findings.append(case.about(car, "not-weighed", "care", say, limit=target))
        elif lighter(running, (1.0 - NEAR_ENOUGH) * target):
            missing = case.weight(target - running)
            say = f"weighs {case.weight(running)}, {missing} under {asked}; add {missing}."
            level: Level = "care" if lighter(running, (1.0 - FAR_UNDER) * target) else "note"
            findings.append(case.about(car, "underweight", level, say, value=running, limit=target))
        elif heavier(empty, (1.0 + OVER_ENOUGH) * target):
            say = (
                f"weighs {case.weight(empty)} empty, {case.weight(empty - target)} over {asked}; "
                "stand it near the head end, or lighten it."
            )
            findings.append(case.about(car, "overweight", "note", say, value=empty, limit=target))
    return findings
