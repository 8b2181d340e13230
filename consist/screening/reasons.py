"""What speaks against a guest car, and the answer that each reason alone would give.

- Wheels out of gauge, or a coupler at the wrong height: bench first. So is a car that nobody looked at where the
  house asks for it. Common practice, no source.
- Not weighed: bench first, since it is the scale that is wanted.
- More under the standard than the house's `under_percent`: welcome with care; more than its `bench_under_percent`:
  bench first.
- Rolls only on a grade over the house's `rolls_at_percent`: bench first. 2 % is a common acceptance grade.
- No train of tonight can take it: not tonight, or bench first where one can once the car weighs its target. Kept out
  of some by what the car is itself, or standing where it may not: welcome with care. A train's own want, such as
  engines with no pull to spare, is no fault of the car.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from consist.house import GuestPractice
from consist.screening.results import ANSWERS, Answer, Reason, ReasonCode, TrainRide
from consist.session import Session
from consist.stock import Car
from consist.wording import in_words, weight_words

__all__ = ["missing_g", "reasons_against"]

TRAINS_OWN = ("others", "power")
"""Refusals that are the train's want and not the car's."""
WHERE = "low and over the trucks"


def missing_g(car: Car, weight_g: float, practice: GuestPractice) -> float:
    """What a car of that weight lacks to its target, in grams; 0 where it is near enough for the house."""
    return 0.0 if practice.weight_level(weight_g, car.target_g) == "go" else car.target_g - weight_g


def reasons_against(session: Session, car: Car, weight_g: float, rides: Sequence[TrainRide]) -> tuple[Reason, ...]:
    """Every reason against a car, the gravest first. `weight_g` is what it weighs as it would run tonight."""
    practice = session.house.guests
    found = [
        *_looked_at(car, practice),
        *_weight(session, car, weight_g, practice),
        *_rolling(car, practice),
        *_riding(session, car, weight_g, rides),
    ]
    return tuple(sorted(found, key=lambda reason: -ANSWERS.index(reason.answer)))


def _looked_at(car: Car, practice: GuestPractice) -> Iterator[Reason]:
    """What a gauge tells of its wheels and couplers, or that nobody held one to them where the house asks for it."""
    wheels = (
        f"{car.name} has wheels out of gauge.", "Set its wheels to the gauge.",
        f"The wheels of {car.name} have not been tried in a gauge, which this house asks for.",
        "Try its wheels in the gauge.",
    )  # fmt: skip
    couplers = (
        f"{car.name} has a coupler at the wrong height.", "Set its couplers to the height gauge.",
        f"The couplers of {car.name} have not been held to a height gauge, which this house asks for.",
        "Hold its couplers to the height gauge.",
    )  # fmt: skip
    checks: tuple[tuple[ReasonCode, bool | None, bool, tuple[str, ...]], ...] = (
        ("wheels", car.wheels_in_gauge, practice.needs_gauge_check, wheels),
        ("coupler-height", car.coupler_height_ok, practice.needs_coupler_check, couplers),
    )
    for code, right, wanted, (wrong, cure, unseen, look) in checks:
        if right is False:
            yield Reason(code, "bench first", wrong, cure)
        elif right is None and wanted:
            yield Reason(code, "bench first", unseen, look)


def _weight(session: Session, car: Car, weight_g: float, practice: GuestPractice) -> Iterator[Reason]:
    standard = session.standard
    weight, target = (weight_words(grams, session.layout.unit) for grams in (weight_g, car.target_g))
    if not car.weighed:
        say = f"{car.name} has not been weighed and was taken at its target of {target}."
        yield Reason("not-weighed", "bench first", say, "Weigh it with everything on the scale.")
    elif lacks := missing_g(car, weight_g, practice):
        missing = weight_words(lacks, session.layout.unit)
        under = f"{missing} under the {target} of {standard.title} for its {standard.length_words}"
        far = practice.weight_level(weight_g, car.target_g) == "hold"
        answer: Answer = "bench first" if far else "welcome with care"
        say = f"{car.name} weighs {weight}, {under}."
        yield Reason("underweight", answer, say, f"Add {missing}, {WHERE}.", adds_weight=True)


def _rolling(car: Car, practice: GuestPractice) -> Iterator[Reason]:
    rolls_at = 100.0 * car.rolling
    if "rolling" not in car.assumed and practice.rolling_level(rolls_at) != "go":
        asked = f"guests are to roll on {practice.rolls_at_percent:g} %"
        say = f"{car.name} rolls only on a grade of {rolls_at:.3g} %, and {asked}."
        yield Reason("rolls-stiffly", "bench first", say, "Clean and oil its axles, or change its wheels.")


def _riding(session: Session, car: Car, weight_g: float, rides: Sequence[TrainRide]) -> Iterator[Reason]:
    """That no train can take it, or else where it stands badly and which trains it is kept out of.

    Each with what its target weight would do for that, where it would.
    """
    target, missing = (weight_words(grams, session.layout.unit) for grams in (car.target_g, car.target_g - weight_g))

    def reason(code: ReasonCode, answer: Answer, say: str, do: str, may: str) -> Reason:
        at_target = f"; at its target of {target} it may{may}" if may else ""
        return Reason(code, answer, f"{say.removesuffix('.')}{at_target}.", do, adds_weight=bool(may))

    helped = in_words([ride.train for ride in rides if ride.at_target and not ride.stands])
    rides_in = f" ride in {helped}" if helped else ""
    if rides and not any(ride.may_ride for ride in rides):
        first = min(rides, key=lambda ride: ride.in_train is None)
        say = f"None of tonight's trains can take {car.name}: {_clause(first.why_not or '')}"
        if helped:
            yield reason("no-train", "bench first", say, f"Add {missing}, {WHERE}.", rides_in)
        else:
            yield reason("no-train", "not tonight", say, "Keep it for another evening.", "")
        return
    for ride in rides:
        if ride.stands_well is False:
            stands = f"{car.name} is in spot {ride.in_train} of {ride.train} and may not ride there"
            say = f"{stands}: {_clause(ride.standing_fault or '')}"
            to = "Take it out" if ride.spot is None else f"Move it to spot {ride.spot}"
            may = " stay there" if ride.in_train in ride.at_target else ""
            add = f", or add {missing}, {WHERE}" if may else ""
            yield reason("stands-badly", "welcome with care", say, f"{to} of {ride.train}{add}.", may)
    barred = [ride for ride in rides if ride.refusal not in (None, *TRAINS_OWN) and ride.stands_well is not False]
    if barred:
        names = in_words([ride.train for ride in barred])
        say = f"{car.name} may not ride in {names}: {_clause(barred[0].why_not or '')}"
        add = f", or add {missing}, {WHERE}" if all(ride.at_target for ride in barred) else ""
        yield reason("some-trains", "welcome with care", say, f"Keep it out of {names}{add}.", rides_in)


def _clause(sentence: str) -> str:
    """A sentence of a refusal as it reads after a colon; names keep their capitals.

    >>> _clause("The engines of Milk could not pull TST 1 as well."), _clause("TST 1 needs 24 in radius.")
    ('the engines of Milk could not pull TST 1 as well.', 'TST 1 needs 24 in radius.')
    """
    first, _, rest = sentence.partition(" ")
    return f"{first.lower()} {rest}" if first in ("In", "The", "With") else sentence
