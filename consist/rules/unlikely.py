"""Figures of a train's cars and of the track it runs over that are possible but hardly meant."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from consist.rules.case import Case, Finding
from consist.session import CarInTrain
from consist.unlikely import MM_PER_FOOT, asked, bounds, car_lengths, likely_length, likely_weight, said_of_all
from consist.wording import between

__all__ = ["unlikely"]


def unlikely(case: Case) -> list[Finding]:
    """Of care for each figure out of the bounds of `consist/unlikely.toml`.

    `value` and `limit` are in the unit that the sentence names, lengths in millimetres and weights in grams; one slip
    of a whole column or of the layout's file is told once, with those of its first figure.
    """
    return [*_cars(case), *_track(case)]


class _Odd(NamedTuple):
    """A car with a figure that is hardly meant, in a sentence's rest, and the unit it was likely meant in, if any."""

    car: CarInTrain
    say: str
    value: float
    limit: float
    meant: str


def _cars(case: Case) -> list[Finding]:
    lengths, weights = _lengths(case), _weights(case)
    return [
        *_told(case, lengths, lambda least, most: f"are {between(least, most)} long", case.length),
        *_told(case, weights, lambda least, most: f"weigh {between(least, most)} empty", case.weight),
    ]


def _lengths(case: Case) -> list[_Odd]:
    scale, odd = case.session.layout.scale, []
    a_foot_mm, lengths = MM_PER_FOOT / scale.ratio, car_lengths(scale)
    for car in case.cars:
        long_mm = car.car.coupled_length_mm
        if not lengths.hold(long_mm):
            meant = likely_length(long_mm, lengths)
            asks = asked(meant, "is the figure wrong, or the scale?")
            say = f"is {case.length(long_mm)} long, {long_mm / a_foot_mm:.0f} ft at full size; {asks}"
            odd.append(_Odd(car, say, long_mm, lengths.passed_by(long_mm), meant))
    return odd


def _weights(case: Case) -> list[_Odd]:
    odd = []
    for car in case.cars:
        own = car.car
        weights = bounds("weight").times(own.target_g)
        if not weights.hold(own.weight_g):
            meant = likely_weight(own.weight_g, weights)
            asks = asked(meant, "weigh it again.")
            of = f"{own.weight_g / own.target_g:.2g} times the {case.weight(own.target_g)}"
            say = f"weighs {case.weight(own.weight_g)} empty, {of} of {case.session.standard.title}; {asks}"
            odd.append(_Odd(car, say, own.weight_g, weights.passed_by(own.weight_g), meant))
    return odd


def _told(
    case: Case, odd: Sequence[_Odd], all_are: Callable[[str, str], str], words: Callable[[float], str]
) -> Iterator[Finding]:
    """A finding a car; one for all those whose figures are likely meant in one unit, where most cars are."""
    shared = set()
    for unit, alike in Counter(one.meant for one in odd if one.meant).items():
        if said_of_all(alike, len(case.cars)):
            shared.add(unit)
            mine = [one for one in odd if one.meant == unit]
            least, most = (words(end(one.value for one in mine)) for end in (min, max))
            count = f"All {alike}" if alike == len(case.cars) else f"{alike} of the {len(case.cars)}"
            say = f"{count} cars of the train {all_are(least, most)}; is their column in {unit}?"
            yield Finding("unlikely", "care", say, value=mine[0].value, limit=mine[0].limit)
    for one in odd:
        if one.meant not in shared:
            yield case.about(one.car, "unlikely", "care", one.say, value=one.value, limit=one.limit)


def _track(case: Case) -> Iterator[Finding]:
    """The slips of the whole file, and of the lines that the train runs over."""
    layout = case.session.layout
    ridden = {frozenset((line.start, line.finish)) for line in case.train.route.lines}
    for one in layout.findings:
        line = None if one.line is None else layout.lines[one.line - 1]
        if line is None or frozenset((line.start, line.finish)) in ridden:
            yield Finding("unlikely", one.level, one.say, value=one.value, limit=one.limit)
