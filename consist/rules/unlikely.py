"""Figures of a train's cars and of the track it runs over that are possible but hardly meant."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from typing import NamedTuple

from consist.rules.case import Case, Finding
from consist.session import CarInTrain
from consist.track import TrackFinding
from consist.unlikely import MM_PER_FOOT, asked, bounds, car_lengths, likely_length, likely_weight, of_most
from consist.wording import between, length_words, weight_words

__all__ = ["slip_of_most", "unlikely"]


WRITTEN_IN = {"inches": "mm", "ounces": "mm", "millimetres": "in", "grams": "in"}
"""The unit of a figure that was likely meant in another, as the words for lengths and weights take it."""


class _Odd(NamedTuple):
    """A car with a figure that is hardly meant, in a sentence's rest, and the unit it was likely meant in, if any."""

    car: CarInTrain
    say: str
    value: float
    limit: float
    meant: str


def _lengths(case: Case) -> list[_Odd]:
    scale, odd = case.session.layout.scale, []
    a_foot_mm, lengths = MM_PER_FOOT / scale.ratio, car_lengths(scale)
    for car in case.cars:
        long_mm = car.car.coupled_length_mm
        if not lengths.hold(long_mm):
            meant = likely_length(long_mm, lengths)
            asks = asked(meant, "is the figure wrong, or the scale?")
            said = length_words(long_mm, WRITTEN_IN.get(meant, case.session.layout.unit))
            say = f"is {said} long, {long_mm / a_foot_mm:.0f} ft at full size; {asks}"
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
            said, target = (
                weight_words(grams, WRITTEN_IN.get(meant, case.session.layout.unit))
                for grams in (own.weight_g, own.target_g)
            )
            of = f"{own.weight_g / own.target_g:.2g} times the {target}"
            say = f"weighs {said} empty, {of} of {case.session.standard.title}; {asks}"
            odd.append(_Odd(car, say, own.weight_g, weights.passed_by(own.weight_g), meant))
    return odd


KINDS: tuple[tuple[Callable[[Case], list[_Odd]], str, Callable[[float, str], str]], ...] = (
    (_lengths, "are {} long", length_words),
    (_weights, "weigh {} empty", weight_words),
)


def slip_of_most(case: Case) -> list[Finding]:
    """Of care for what most cars of a train, or most figures of the layout, have out of bounds in one way.

    `value` and `limit` are those of the first such figure, as `unlikely` has them.
    """
    found = []
    for odd_in, are, words in KINDS:
        odd = odd_in(case)
        if unit := _meant_by_most(odd, case):
            mine = [one for one in odd if one.meant == unit]
            least, most = (words(end(one.value for one in mine), WRITTEN_IN[unit]) for end in (min, max))
            count, names = of_most(len(mine), len(case.cars)), tuple(one.car.car.name for one in mine)
            say = f"{count} cars of the train {are.format(between(least, most))}; is their column in {unit}?"
            found.append(Finding("unlikely", "care", say, value=mine[0].value, limit=mine[0].limit, cars=names))
    return [*found, *(_of_track(one) for one in case.session.layout.findings if one.line is None)]


def unlikely(case: Case) -> list[Finding]:
    """Of care for each other figure out of the bounds of `consist/unlikely.toml`.

    `value` and `limit` are in millimetres and grams, or in what else the sentence names.
    """
    found = []
    for odd_in, *_ in KINDS:
        odd = odd_in(case)
        told = _meant_by_most(odd, case)
        own = [one for one in odd if not one.meant or one.meant != told]
        found += [case.about(one.car, "unlikely", "care", one.say, value=one.value, limit=one.limit) for one in own]
    layout = case.session.layout
    ridden = {frozenset((line.start, line.finish)) for line in case.train.route.lines}
    of_lines = [(one, layout.lines[one.line - 1]) for one in layout.findings if one.line is not None]
    return [*found, *(_of_track(one) for one, line in of_lines if frozenset((line.start, line.finish)) in ridden)]


def _meant_by_most(odd: Sequence[_Odd], case: Case) -> str:
    """The unit that most cars' figures were likely meant in; empty where there is none."""
    units = Counter(one.meant for one in odd if one.meant)
    return next((unit for unit, alike in units.items() if of_most(alike, len(case.cars))), "")


def _of_track(one: TrackFinding) -> Finding:
    return Finding("unlikely", one.level, one.say, value=one.value, limit=one.limit)
