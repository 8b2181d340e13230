"""Figures of a train's cars and of the track it runs over that are possible but hardly meant."""

from __future__ import annotations

from consist.rules.case import Case, Finding
from consist.unlikely import MM_PER_FOOT, bounds, car_lengths, likely_length, likely_weight

__all__ = ["unlikely"]


def unlikely(case: Case) -> list[Finding]:
    """Of care for each figure out of the bounds of `consist/unlikely.toml`.

    `value` and `limit` are in the unit that the sentence names, lengths in millimetres and weights in grams.
    """
    return [*_cars(case), *_track(case)]


def _cars(case: Case) -> list[Finding]:
    a_foot_mm = MM_PER_FOOT / case.session.layout.scale.ratio
    lengths, findings = car_lengths(case.session.layout.scale), []
    for car in case.cars:
        own = car.car
        long_mm, weights = own.coupled_length_mm, bounds("weight").times(own.target_g)
        if not lengths.hold(long_mm):
            meant = likely_length(long_mm, lengths) or "is the figure wrong, or the scale?"
            say = f"is {case.length(long_mm)} long, {long_mm / a_foot_mm:.0f} ft at full size; {meant}"
            findings.append(case.about(car, "unlikely", "care", say, value=long_mm, limit=lengths.passed_by(long_mm)))
        if not weights.hold(own.weight_g):
            meant = likely_weight(own.weight_g, weights) or "weigh it again."
            asked = f"the {case.weight(own.target_g)} of {case.session.standard.title}"
            times = f"{own.weight_g / own.target_g:.2g} times {asked}"
            say, limit = (
                f"weighs {case.weight(own.weight_g)} empty, {times}; {meant}",
                weights.passed_by(own.weight_g),
            )
            findings.append(case.about(car, "unlikely", "care", say, value=own.weight_g, limit=limit))
    return findings


def _track(case: Case) -> list[Finding]:
    layout = case.session.layout
    ridden = {frozenset((line.start, line.finish)) for line in case.train.route.lines}
    found = ((one, layout.lines[one.line - 1]) for one in layout.findings)
    return [
        Finding("unlikely", one.level, one.say, value=one.value, limit=one.limit)
        for one, line in found
        if frozenset((line.start, line.finish)) in ridden
    ]
