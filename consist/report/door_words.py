"""What the door list, its sheet and the slips say of a guest car."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from consist.report.units import Units
from consist.report.words import at, clean, counted, listing, unbroken
from consist.screening import ANSWERS, GuestResult, KeepOut, Screening, TrainRide, spots_words
from consist.screening.results import KeepOutCode

__all__ = [
    "NO_OWNER",
    "answer_word",
    "behind_answer",
    "in_short",
    "keep_out_words",
    "owner_of",
    "to_add",
    "train_words",
]

NO_OWNER = "no owner given"
IN_THE_WAY: Mapping[KeepOutCode, str] = {
    "radius": "the curve is too sharp for it",
    "sharp": "the curve is sharp for its length",
    "standing": "the track is too short",
    "height": "it is too high",
    "width": "it is too wide",
}


def answer_word(answer: str) -> str:
    """The answer in capitals.

    >>> answer_word("bench first")
    'BENCH FIRST'
    """
    return answer.upper()


def owner_of(car: GuestResult) -> str:
    """The owner as the file has it, or that there is none."""
    return clean(car.owner) or NO_OWNER


def train_words(car: GuestResult) -> str:
    """Which of tonight's trains the car may ride and in which spots; where it stands, and if that will do."""
    anywhere = [unbroken(ride.train) for ride in car.trains if len(ride.stands) == ride.spots]
    told = []
    if anywhere and len(anywhere) == len(car.trains):
        told.append("any spot of all of tonight's")
    elif anywhere:
        told.append(f"any spot of {listing(anywhere)}")
    told += [
        f"{spots_words(ride.stands, ride.spots)} of {unbroken(ride.train)}"
        for ride in car.trains
        if ride.stands and len(ride.stands) < ride.spots
    ]
    if not told:
        told.append("none of tonight's")
    told += [_tonight(ride) for ride in car.trains if ride.in_train is not None]
    return f"{'; '.join(told)}."


def _tonight(ride: TrainRide) -> str:
    stands = f"spot {ride.in_train} of {unbroken(ride.train)}"
    well = ride.may_ride and ride.stands_well is not False
    return f"it stands in {stands}" if well else f"it may not stay in {stands}"


def keep_out_words(car: GuestResult) -> tuple[str, str]:
    """Where the car must not go, and where to try it by hand first; empty where there is nothing to say."""
    return _places([place for place in car.keep_out if place.barred]), _places(
        [place for place in car.keep_out if not place.barred]
    )


def _places(places: Sequence[KeepOut]) -> str:
    """Places by what is in the way there."""
    told = []
    for code in dict.fromkeys(place.code for place in places):
        where = list(dict.fromkeys(clean(place.where) for place in places if place.code == code))
        told.append(f"{IN_THE_WAY[code]} {'; '.join(at(name) for name in where)}")
    return f"{'. '.join(told)}." if told else ""


def to_add(car: GuestResult, units: Units) -> str:
    """The weight that is missing, as words; empty where none is."""
    return f"add {unbroken(units.weight(car.add_g))}" if car.add_g else ""


def behind_answer(car: GuestResult, units: Units) -> Iterator[tuple[str, str]]:
    """What is behind a car's answer, each sentence with a label or none: reasons, weight, trains, places."""
    if car.answer != "welcome" or car.grounds:
        for say in car.reasons:
            yield "", clean(say)
    if to_add(car, units) and car.weight_g is not None and not _told_of_weight(car):
        now, target = units.weight(car.weight_g), units.weight(car.target_g)
        yield "Weight:", f"{now} now, {target} is its target; {to_add(car, units)}."
    yield "Trains:", train_words(car)
    barred, watched = keep_out_words(car)
    if barred:
        yield "Keep out:", barred
    if watched:
        yield "Try first:", watched


def _told_of_weight(car: GuestResult) -> bool:
    return any(reason.code == "underweight" for reason in car.grounds)


def in_short(door: Screening) -> str:
    """How many cars there are, by answer."""
    if not door.cars:
        return "No guest's car is in this session; put them into guests.csv."
    counts = [f"{len(door.of(answer))} {answer_word(answer)}" for answer in ANSWERS if door.of(answer)]
    return f"Layout {clean(door.layout)}. {counted(len(door.cars), 'car')} of guests: {', '.join(counts)}."
