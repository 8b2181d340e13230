"""The door's sheet: guests' cars by owner, each with its answer, the one thing to do, and where it may ride."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby

from consist.cautions import WEIGHTS
from consist.report.document import Caution, Cell, Column, Item, Items, Para, Section, Sheet, Table
from consist.report.sheets.cells import figure, name, table, weight
from consist.report.sheets.moves import ADDING
from consist.report.words import clean, counted, listing, unbroken
from consist.rules.finding import Level
from consist.screening import ANSWERS, GuestResult, KeepOut, Screening, TrainRide, spots_words
from consist.screening.results import KeepOutCode
from consist.wording import Units, at

__all__ = [
    "NO_OWNER",
    "answer_word",
    "door_level",
    "door_sheet",
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


def door_sheet(door: Screening, units: Units) -> Sheet:
    """What `consist screen` tells."""
    sections = [Section("", (Para(_in_short(door)), *([_answers(door, units)] if door.cars else [])))]
    for owner, cars in groupby(door.cars, owner_of):
        sections.append(Section(owner, (Items(tuple(_item(car, units) for car in cars)),)))
    if any(car.add_g for car in door.cars):
        sections.append(Section(ADDING, (Caution(ADDING, WEIGHTS),)))
    return Sheet("door", "door", f"At the door, {door.session}", tuple(sections))


def _answers(door: Screening, units: Units) -> Table:
    return table(
        "Guests' cars and their answers",
        door.cars,
        (Column("car", wide=True), lambda car: name(car.car, strong=True)),
        (Column("owner"), lambda car: Cell(owner_of(car))),
        (
            Column("answer"),
            lambda car: Cell(answer_word(car.answer), level=door_level(car.answer) or "go", strong=True),
        ),
        (Column(f"weighs, {units.name}", figures=True), lambda car: weight(car.weight_g, units)),
        (Column("target", figures=True, lesser=True), lambda car: weight(car.target_g, units)),
        (Column("add", figures=True), lambda car: figure("0", 0) if car.add_g == 0 else weight(car.add_g, units)),
        findable=True,
    )


def _item(car: GuestResult, units: Units) -> Item:
    kind = f" ({car.kind})" if car.kind.strip() else ""
    more = tuple(f"{label} {words}".strip() for label, words in _behind_answer(car, units))
    answer = answer_word(car.answer)
    say = f"{answer}: {car.do}" if car.do.strip() else answer
    return Item(say, label=f"{car.car}{kind}", more=more)


def door_level(answer: str) -> Level | None:
    """The level that an answer is marked with; None for a car that is simply welcome."""
    return None if answer == "welcome" else "hold" if answer == "not tonight" else "care"


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
        where = list(dict.fromkeys(place.where for place in places if place.code == code))
        told.append(f"{IN_THE_WAY[code]} {'; '.join(at(name) for name in where)}")
    return f"{'. '.join(told)}." if told else ""


def to_add(car: GuestResult, units: Units) -> str:
    """The weight that is missing, as words; empty where none is."""
    return f"add {unbroken(units.weight(car.add_g))}" if car.add_g else ""


def _behind_answer(car: GuestResult, units: Units) -> Iterator[tuple[str, str]]:
    """What is behind a car's answer, each sentence with a label or none: reasons, weight, trains, places."""
    if car.answer != "welcome" or car.grounds:
        for say in car.reasons:
            yield "", say
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


def _in_short(door: Screening) -> str:
    """How many cars there are, by answer."""
    if not door.cars:
        return "No guest's car is in this session; put them into guests.csv."
    counts = [f"{len(door.of(answer))} {answer_word(answer)}" for answer in ANSWERS if door.of(answer)]
    return f"Layout {door.layout}. {counted(len(door.cars), 'car')} of guests: {', '.join(counts)}."
