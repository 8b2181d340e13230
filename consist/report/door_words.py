"""What the door list and the slips both say of a guest car."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from consist.report.units import Units
from consist.report.words import at, clean, listing, unbroken
from consist.screening import GuestResult, KeepOut, TrainRide
from consist.screening.results import KeepOutCode

__all__ = ["NO_OWNER", "answer_word", "keep_out_words", "owner_of", "to_add", "train_words"]

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
    """Which of tonight's trains the car may ride and how far forward; where it stands, and if that will do."""
    anywhere = [unbroken(ride.train) for ride in car.trains if ride.spot is not None and ride.spot <= 1]
    told = []
    if anywhere and len(anywhere) == len(car.trains):
        told.append("as far forward as the head end in all of tonight's")
    elif anywhere:
        told.append(f"as far forward as the head end in {listing(anywhere)}")
    told += [
        f"as far forward as spot {ride.spot} of {ride.spots} in {unbroken(ride.train)}"
        for ride in car.trains
        if ride.spot is not None and ride.spot > 1
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
