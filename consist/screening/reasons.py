"""What speaks against a guest car, and the answer that each reason alone would give.

- Wheels out of gauge, or a coupler at the wrong height: bench first. So is a car that nobody looked at where the
  house asks for it. Common practice, no source.
- Not weighed: bench first, since it is the scale that is wanted.
- More under the standard than the house's `under_percent`: welcome with care; more than its `bench_under_percent`:
  bench first.
- Rolls only on a grade over the house's `rolls_at_percent`: bench first. 2 % is a common acceptance grade.
- No train of tonight can take it: not tonight. Kept out of some by what the car is itself, or standing where it
  may not: welcome with care. A train's own want, such as engines with no pull to spare, is no fault of the car.
"""

from __future__ import annotations

from collections.abc import Sequence

from consist.house import GuestPractice
from consist.screening.results import ANSWERS, Reason, TrainRide
from consist.screening.words import clause
from consist.session import Session
from consist.stock import Car
from consist.wording import in_words, weight_words

__all__ = ["missing_g", "reasons_against"]

Reasons = list[Reason]
TRAINS_OWN = ("others", "power")
"""Refusals that are the train's want and not the car's."""


def missing_g(car: Car, weight_g: float, practice: GuestPractice) -> float:
    """What a car of that weight lacks to its target, in grams; 0 where it is near enough for the house."""
    return 0.0 if practice.weight_level(weight_g, car.target_g) == "go" else car.target_g - weight_g


def reasons_against(session: Session, car: Car, weight_g: float, rides: Sequence[TrainRide]) -> tuple[Reason, ...]:
    """Every reason against a car, the gravest first. `weight_g` is what it weighs as it would run tonight."""
    practice = session.house.guests
    found = [
        *_no_train(car, rides),
        *_wheels(car, practice),
        *_coupler(car, practice),
        *_weight(session, car, weight_g, practice),
        *_rolling(car, practice),
        *_stands_badly(car, rides),
        *_some_trains(car, rides),
    ]
    return tuple(sorted(found, key=lambda reason: -ANSWERS.index(reason.answer)))


def _wheels(car: Car, practice: GuestPractice) -> Reasons:
    if car.wheels_in_gauge is False:
        say = f"{car.name} has wheels out of gauge."
        return [Reason("wheels", "bench first", say, "Set its wheels to the gauge.")]
    if car.wheels_in_gauge is None and practice.needs_gauge_check:
        say = f"The wheels of {car.name} have not been tried in a gauge, which this house asks for."
        return [Reason("wheels", "bench first", say, "Try its wheels in the gauge.")]
    return []


def _coupler(car: Car, practice: GuestPractice) -> Reasons:
    if car.coupler_height_ok is False:
        say = f"{car.name} has a coupler at the wrong height."
        return [Reason("coupler-height", "bench first", say, "Set its couplers to the height gauge.")]
    if car.coupler_height_ok is None and practice.needs_coupler_check:
        say = f"The couplers of {car.name} have not been held to a height gauge, which this house asks for."
        return [Reason("coupler-height", "bench first", say, "Hold its couplers to the height gauge.")]
    return []


def _weight(session: Session, car: Car, weight_g: float, practice: GuestPractice) -> Reasons:
    unit, standard = session.layout.unit, session.standard
    target = weight_words(car.target_g, unit)
    if not car.weighed:
        say = f"{car.name} has not been weighed and was taken at its target of {target}."
        return [Reason("not-weighed", "bench first", say, "Weigh it with everything on the scale.")]
    missing = missing_g(car, weight_g, practice)
    if not missing:
        return []
    say = (
        f"{car.name} weighs {weight_words(weight_g, unit)}, {weight_words(missing, unit)} under the {target} of "
        f"{standard.title} for its {standard.length_words}."
    )
    far = practice.weight_level(weight_g, car.target_g) == "hold"
    do = f"Add {weight_words(missing, unit)}, low and over the trucks."
    return [Reason("underweight", "bench first" if far else "welcome with care", say, do)]


def _rolling(car: Car, practice: GuestPractice) -> Reasons:
    rolls_at = 100.0 * car.rolling
    if "rolling" in car.assumed or practice.rolling_level(rolls_at) == "go":
        return []
    say = (
        f"{car.name} rolls only on a grade of {rolls_at:.3g} %, and guests are to roll on "
        f"{practice.rolls_at_percent:g} %."
    )
    return [Reason("rolls-stiffly", "bench first", say, "Clean and oil its axles, or change its wheels.")]


def _no_train(car: Car, rides: Sequence[TrainRide]) -> Reasons:
    if not rides or any(ride.may_ride for ride in rides):
        return []
    first = next((ride for ride in rides if ride.in_train is not None), rides[0])
    say = f"None of tonight's trains can take {car.name}: {clause(first.why_not or '')}"
    return [Reason("no-train", "not tonight", say, "Keep it for another evening.")]


def _stands_badly(car: Car, rides: Sequence[TrainRide]) -> Reasons:
    if not any(ride.may_ride for ride in rides):
        return []
    found = []
    for ride in rides:
        if ride.stands_well is not False:
            continue
        stands = f"{car.name} is in spot {ride.in_train} of {ride.train} and may not ride there"
        say = f"{stands}: {clause(ride.standing_fault or '')}"
        do = f"Take it out of {ride.train}." if ride.spot is None else f"Move it to spot {ride.spot} of {ride.train}."
        found.append(Reason("stands-badly", "welcome with care", say, do))
    return found


def _some_trains(car: Car, rides: Sequence[TrainRide]) -> Reasons:
    barred = [
        ride
        for ride in rides
        if ride.refusal is not None and ride.refusal not in TRAINS_OWN and ride.stands_well is not False
    ]
    if not barred or not any(ride.may_ride for ride in rides):
        return []
    names = in_words([ride.train for ride in barred])
    say = f"{car.name} may not ride in {names}: {clause(barred[0].why_not or '')}"
    return [Reason("some-trains", "welcome with care", say, f"Keep it out of {names}.")]
