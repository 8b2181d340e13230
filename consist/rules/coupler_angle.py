"""Couplers that would have to swing farther than they can.

Basis: the angle between a coupling and the car's axis, from the geometry of the route, against the car's own
`max_swing_deg`.
"""

from __future__ import annotations

from math import asin, degrees

from consist.rules.case import Case
from consist.rules.finding import Finding
from consist.session import CarInTrain
from consist.trains import LegRun
from consist.wording import at

__all__ = ["coupler_angle"]


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
        findings.append(
            Finding(
                code="coupler-angle",
                level="hold",
                say=(
                    f"A coupler of {car.car.name} in spot {car.spot} must swing {swing:.1f} degrees {at(place)} and "
                    f"has {limit:.1f}; set it in next to a car of like length, or leave it out of this train."
                ),
                car=car.car.name,
                spot=car.spot,
                place=place,
                value=swing,
                limit=limit,
            )
        )
    return findings


def _widest(case: Case, car: CarInTrain) -> tuple[float, LegRun, int, float]:
    """The widest swing at either end of a car in degrees, with the leg, vehicle number and head where."""
    swings = []
    for leg in case.trip.legs:
        if car not in leg.cars:
            continue
        vehicle = leg.first_car + leg.cars.index(car)
        for swing in leg.swings_of(vehicle):
            swings.append((degrees(asin(min(swing.sine, 1.0))), leg, vehicle, swing.head_mm))
    leg, vehicle = case.worst_run[car.car.name]
    return max(swings, key=lambda found: found[0], default=(0.0, leg, vehicle, leg.from_mm))
