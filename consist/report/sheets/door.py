"""The door's sheet: guests' cars by owner, each with its answer, the one thing to do, and where it may ride."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import groupby

from consist.report.document import Cell, Column, Item, Para, Sheet, Table
from consist.report.sheets.cells import figures, table, words
from consist.report.sheets.parts import ADDING_WEIGHT, items, section, sheet
from consist.report.words import clean, counted, in_words, named, unbroken
from consist.rules.case import Level
from consist.screening import ANSWERS, Answer, GuestResult, Screening, spots_words
from consist.screening.results import KeepOutCode
from consist.wording import Units, at

__all__ = ["LEVELS_OF", "NO_OWNER", "door_sheet", "mind_words", "owner_of", "to_add", "trains_words"]

NO_OWNER = "no owner given"
LEVELS_OF: Mapping[Answer, Level] = {"welcome with care": "care", "bench first": "care", "not tonight": "hold"}
"""The level that an answer is marked with, as grave; none for a car that is simply welcome."""
IN_THE_WAY: Mapping[KeepOutCode, str] = {
    "radius": "the curve is too sharp for it",
    "sharp": "the curve is sharp for its length",
    "standing": "the track is too short",
    "height": "it is too high",
    "width": "it is too wide",
}


def door_sheet(door: Screening, units: Units) -> Sheet:
    """What `consist screen` tells."""
    owners = (
        section(owner, items(_item(car, units) for car in cars)) for owner, cars in groupby(door.cars, owner_of)
    )
    return sheet(
        "door",
        f"At the door, {door.session}",
        section("", Para(_in_short(door)), _answers(door, units) if door.cars else None),
        *owners,
        section("To mind on the line", items(_told_once(door, units))),
        section("", ADDING_WEIGHT if any(car.adds_weight for car in door.cars) else None),
    )


def _told_once(door: Screening, units: Units) -> Iterator[Item]:
    """What is to be minded where, each once for all cars of which it is so."""
    alike: dict[str, list[str]] = {}
    for car in door.cars:
        for told in mind_words(car, units):
            alike.setdefault(told, []).append(car.car)
    for told, cars in alike.items():
        yield Item(told, label=named(cars))


def _answers(door: Screening, units: Units) -> Table:
    return table(
        "Guests' cars and their answers",
        door.cars,
        words("car", lambda car: car.car, wide=True, strong=True),
        words("owner", owner_of),
        (Column("answer"), lambda car: Cell(car.answer.upper(), level=LEVELS_OF.get(car.answer, "go"), strong=True)),
        figures(f"weighs, {units.name}", lambda car: car.weight_g, units.weight_figure),
        figures("target", lambda car: car.target_g, units.weight_figure, lesser=True),
        figures("add", lambda car: car.add_g, lambda grams: units.weight_figure(grams) if grams else "0"),
        findable=True,
    )


def _item(car: GuestResult, units: Units) -> Item:
    kind = f" ({car.kind})" if car.kind.strip() else ""
    do = f": {car.do}" if car.do.strip() else ""
    return Item(f"{car.answer.upper()}{do}", label=f"{car.car}{kind}", more=tuple(_behind_answer(car, units)))


def owner_of(car: GuestResult) -> str:
    """The owner as the file has it, or that there is none."""
    return clean(car.owner) or NO_OWNER


def to_add(car: GuestResult, units: Units) -> str:
    """The weight that is missing, as words; empty where none is."""
    return f"add {unbroken(units.weight(car.add_g))}" if car.add_g else ""


def mind_words(car: GuestResult, units: Units) -> Iterator[str]:
    """Where the car must not go, where to try it by hand first, and which trains become too long with it."""
    for label, barred in (("Keep out", True), ("Try first", False)):
        by_code: dict[KeepOutCode, dict[str, None]] = {}
        for place in car.keep_out:
            if place.barred == barred:
                by_code.setdefault(place.code, {})[at(place.where)] = None
        told = (f"{IN_THE_WAY[code]} {'; '.join(where)}." for code, where in by_code.items())
        if by_code:
            yield f"{label}: {' '.join(told)}"
    longer = []
    for ride in car.trains:
        over = in_words([f"at {stop.place} by {units.length(stop.over_mm)}" for stop in ride.too_long])
        longer += [f"{unbroken(ride.train)} {over}"] if over and (ride.may_ride or ride.in_train) else []
    if longer:
        yield f"Too long with it: {'; '.join(longer)}; take as much off, or plan how it clears there."


def trains_words(car: GuestResult, units: Units) -> Iterator[str]:
    """In which spots of which trains the car may ride and where it stands; then what it may at its target."""
    anywhere = [ride.train for ride in car.trains if len(ride.stands) == ride.spots]
    of = "all of tonight's" if len(anywhere) == len(car.trains) else named(anywhere)
    told = [f"any spot of {of}"] if anywhere else [] if car.may_ride else ["none of tonight's"]
    for ride in car.may_ride:
        if ride.train not in anywhere:
            told.append(f"{spots_words(ride.stands, ride.spots)} of {unbroken(ride.train)}")
    for ride in car.trains:
        if ride.in_train is not None:
            stands = "stands" if ride.may_ride and ride.stands_well is not False else "may not stay"
            told.append(f"it {stands} in spot {ride.in_train} of {unbroken(ride.train)}")
    yield f"Trains: {'; '.join(told)}."
    then = [
        f"{spots_words(ride.at_target, ride.spots)} of {unbroken(ride.train)}"
        for ride in car.trains
        if ride.at_target
    ]
    if then:
        yield f"At its target of {units.weight(car.target_g)}: {'; '.join(then)}."


def _behind_answer(car: GuestResult, units: Units) -> Iterator[str]:
    """What is behind a car's answer: reasons, weight, trains, places."""
    if car.answer != "welcome" or car.grounds:
        yield from car.reasons
    told_of_weight = any(reason.code == "underweight" for reason in car.grounds)
    if to_add(car, units) and car.weight_g is not None and not told_of_weight:
        now, target = units.weight(car.weight_g), units.weight(car.target_g)
        yield f"Weight: {now} now, {target} is its target; {to_add(car, units)}."
    yield from trains_words(car, units)


def _in_short(door: Screening) -> str:
    if not door.cars:
        return "No guest's car is in this session; put them into guests.csv."
    counts = [f"{len(door.of(answer))} {answer.upper()}" for answer in ANSWERS if door.of(answer)]
    return f"Layout {door.layout}. {counted(len(door.cars), 'car')} of guests: {', '.join(counts)}."
