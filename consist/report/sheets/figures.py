"""A train's figures in words, each with its name, why it has its verdict, and what was found, gravest first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from consist.checking.results import TrainCheck
from consist.house import House
from consist.power.words import clock
from consist.report.document import Cell, Item
from consist.report.sheets.cells import Limits, figure
from consist.report.words import clean, counted, listing, margin, score, unbroken
from consist.rules.finding import LEVELS, Finding
from consist.session import Train
from consist.wording import NONE, Units, at, limit_percent, percent

__all__ = [
    "ADVISING_WEIGHT",
    "advises_weight",
    "facts_of",
    "makeup",
    "past_words",
    "reason",
    "time",
    "times_words",
    "told_findings",
]

SHOWN_OF_A_KIND = 3
ADVISING_WEIGHT = frozenset({"side-pull", "buff-push", "underweight"})
"""Codes whose advice may be to put weight into a car."""


def facts_of(train: Train, result: TrainCheck, units: Units) -> Iterator[tuple[str, Cell]]:
    """The figures with their names, in the order in which they are told."""
    peak, power, worst = result.peak_drawbar, result.power, result.worst
    told = f"{NONE}, no side pull."
    if worst is not None and result.margin is not None:
        told = (
            f"{margin(result.margin)} at {worst.car} in spot {worst.spot}, {_toward(train, worst.car_mm, units)}, "
            f"the head end {past_words(train, worst.head_mm, units)}."
        )
    yield "Margin", figure(told, result.margin)
    told = f"{NONE}, no coupling."
    if peak is not None:
        told = (
            f"{units.weight(peak.g)} at most, behind {peak.behind} {at(peak.place)}, the head end "
            f"{past_words(train, peak.head_mm, units)}."
        )
    yield "Drawbar", figure(told, None if peak is None else peak.g)
    yield "Power", figure(f"{_power(result)}.", power.use)
    yield from _order(result)
    yield "Train", makeup(result, units)
    times = f", {times_words(train)}" if train.times is not None else ""
    told = f"{', '.join(train.route.stops)}; {units.distance(result.route_mm)}{times}."
    yield "Route", figure(told, result.route_mm)


def _power(result: TrainCheck) -> str:
    """Engines on the train, how much of their pull and holding it takes, and how many of each class would do."""
    power = result.power
    said = ["no engine assigned"]
    if power.assigned:
        said = [f"{counted(len(power.assigned), 'engine')} assigned: {listing(power.assigned)}"]
    if power.use is not None:
        said.append(f"{percent(power.use)} of usable pull used at the hardest place")
    elif power.assigned:
        said.append("no pull left at the hardest place")
    if power.hold_use:
        can = "it can" if len(power.assigned) == 1 else "they can"
        said.append(f"{percent(power.hold_use)} of what {can} hold back used down grade")
    elif power.hold_use is None and power.assigned:
        said.append("nothing left to hold back with down grade")
    if power.by_class:
        needed = (f"{'no number of' if number is None else number} {one}" for one, number in power.by_class.items())
        said.append(f"would do at the head end alone: {' or '.join(needed)}")
    return "; ".join(said)


def _order(result: TrainCheck) -> Iterator[tuple[str, Cell]]:
    told = NONE
    if result.order_score is not None:
        told = f"{score(result.order_score)} of 100, where 100 is the best its blocks and holds allow"
    yield "Order", figure(f"{told}.", result.order_score)
    if result.heavy_forward is not None:
        told = f"{score(result.heavy_forward)} %, where 100 % is heavy to light from the head end"
        yield "Heavy forward", figure(f"{told}.", result.heavy_forward)


def makeup(result: TrainCheck, units: Units) -> Cell:
    """How many cars a train has, what they weigh and how long it is."""
    where = " on the leg with the worst margin" if len(result.legs) > 1 else ""
    told = f"{units.train_weight(result.weight_g)} of cars, {units.distance(result.length_mm)} long{where}"
    return figure(f"{counted(len(result.cars), 'car')}; {told}.", result.weight_g)


def time(minutes: int | None) -> str:
    """A time of the fast clock, or a dash."""
    return NONE if minutes is None else clock(minutes)


def times_words(train: Train) -> str:
    """When the train departs and arrives, as far as that is given."""
    if train.times is not None:
        return f"{clock(train.times[0])} to {clock(train.times[1])}"
    told = [f"departs {time(train.depart)}"] if train.depart is not None else []
    told += [f"arrives {time(train.arrive)}"] if train.arrive is not None else []
    return ", ".join(told) or "not given"


def past_words(train: Train, distance_mm: float, units: Units) -> str:
    """Where a distance along the route lies: at a place, or how far past the last one."""
    before, beyond = train.route.past(distance_mm)
    if round(beyond) <= 0:
        return f"at {clean(before)}"
    return f"{units.distance(beyond)} past {clean(before)}"


def _toward(train: Train, distance_mm: float, units: Units) -> str:
    """The same, with the place ahead."""
    where = past_words(train, distance_mm, units)
    ahead = [name for name, place_mm in train.route.places if place_mm > distance_mm]
    return f"{where} toward {ahead[0]}" if ahead and not where.startswith("at ") else where


def reason(result: TrainCheck, house: House) -> str:
    """The first cause of the verdict: the worst car's side pull, or the gravest findings, or that all is well."""
    worst, causes = result.worst, [finding for finding in result.findings if finding.level == result.verdict]
    if result.verdict != "go":
        holds = result.verdict == "hold"
        threshold = house.hold_margin if holds else house.care_margin
        if worst is not None and result.margin is not None and result.margin < threshold:
            limit = limit_percent(1.0 / threshold, result.side_use)
            return (
                f"{worst.car} in spot {worst.spot} uses {Limits.of(house).percent(result.side_use)} of the side pull "
                f"it can bear {at(worst.place)}; the house {'holds a train' if holds else 'takes care'} past {limit}."
            )
        if causes:
            others = len(causes) - 1
            kind = "that hold it" if holds else "of care"
            return causes[0].say + (f" {counted(others, 'more finding')} {kind} below." if others else "")
    if not result.cars:
        return "No car rides in this train."
    if worst is None:
        return "No car feels any side pull on this route."
    return (
        f"No car uses more than {Limits.of(house).percent(result.side_use)} of the side pull it can bear; "
        f"{worst.car} in spot {worst.spot} comes nearest."
    )


def told_findings(findings: Sequence[Finding]) -> Iterator[Item]:
    """Each finding, gravest first; after the third of a code and level the rest are only named."""
    for level in LEVELS:
        at_level = [finding for finding in findings if finding.level == level]
        for code in dict.fromkeys(finding.code for finding in at_level):
            of_kind = [finding for finding in at_level if finding.code == code]
            for finding in of_kind[:SHOWN_OF_A_KIND]:
                yield Item(finding.say, label=code, level=level)
            if len(of_kind) > SHOWN_OF_A_KIND:
                yield Item(_rest(of_kind[SHOWN_OF_A_KIND:]), label=code, level=level)


def _rest(findings: Sequence[Finding]) -> str:
    cars = list(dict.fromkeys(unbroken(finding.car) for finding in findings if finding.car is not None))
    if len(cars) < len(findings):
        return f"and {len(findings)} more."
    return f"and {counted(len(cars), 'more car', 'more cars')}: {', '.join(cars)}."


def advises_weight(findings: Sequence[Finding]) -> bool:
    """Whether one of them may lead somebody to add weight."""
    return any(finding.code in ADVISING_WEIGHT for finding in findings)
