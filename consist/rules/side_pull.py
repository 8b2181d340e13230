"""Cars that are pulled, or pushed, too hard aside on a curve.

Basis: the two limits of the mechanics, tipping about a rail and a flange climbing (Nadal), with the house's
margins.
"""

from __future__ import annotations

from consist.rules.case import Case
from consist.rules.finding import Finding, Level
from consist.session import CarInTrain
from consist.wording import at

__all__ = ["side_pull"]


def side_pull(case: Case) -> list[Finding]:
    """One finding a car whose margin is below the house's: `side-pull` in tension, `buff-push` in buff.

    `value` is the car's margin, `limit` the house's margin it falls short of.
    """
    house = case.session.house
    findings = []
    for car in case.cars:
        use = case.side_use(car)
        level = house.level_of(use)
        if level != "go":
            findings.append(_finding(case, car, level, 1.0 / use, house.margin_of(level)))
    return findings


def _finding(case: Case, car: CarInTrain, level: Level, margin: float, limit: float) -> Finding:
    leg, vehicle = case.worst_run[car.car.name]
    pushed = bool(leg.peaks.in_buff[vehicle])
    place = case.trip.place_of(leg, vehicle, float(leg.peaks.use.head_mm[vehicle]))
    doing = "pushed out of the curve" if pushed else "pulled to the inside of the curve"
    return Finding(
        code="buff-push" if pushed else "side-pull",
        level=level,
        say=(
            f"{car.car.name} in spot {car.spot} is {doing} {at(place)} with {case.percent(1.0 / margin)} of what "
            f"it can bear; {_cure(case, pushed)}."
        ),
        car=car.car.name,
        spot=car.spot,
        place=place,
        value=margin,
        limit=limit,
    )


def _cure(case: Case, pushed: bool) -> str:
    if not pushed:
        return "move it toward the rear end, add weight to it, or take cars off behind it"
    if case.trip.helpers:
        return "move it away from the helper, toward the head end, or add weight to it"
    return "move it toward the rear end, or add weight to it"
