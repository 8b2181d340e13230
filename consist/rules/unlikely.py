"""Figures of a train's cars and of the track it runs over that are possible but hardly meant."""

from __future__ import annotations

from consist.rules.case import Case, Finding
from consist.unlikely import Bounds, bounds, full_size_ft, likely_length, likely_weight

__all__ = ["unlikely"]


def unlikely(case: Case) -> list[Finding]:
    """Of care for each figure out of the bounds of `consist/unlikely.toml`.

    `value` and `limit` are in the unit that the sentence names, lengths in millimetres and weights in grams.
    """
    return [*_cars(case), *_track(case)]


def _cars(case: Case) -> list[Finding]:
    scale, findings = case.session.layout.scale, []
    for car in case.cars:
        own = car.car
        by_ft = bounds("car")
        mm_a_ft = own.coupled_length_mm / full_size_ft(own.coupled_length_mm, scale)
        lengths = Bounds(by_ft.least * mm_a_ft, by_ft.most * mm_a_ft)
        if not lengths.hold(own.coupled_length_mm):
            long = case.length(own.coupled_length_mm)
            meant = likely_length(own.coupled_length_mm, lengths) or "is the figure wrong, or the scale?"
            feet = full_size_ft(own.coupled_length_mm, scale)
            say = f"is {long} long, {feet:.0f} ft at full size; {meant}"
            limit = lengths.least if own.coupled_length_mm < lengths.least else lengths.most
            findings.append(case.about(car, "unlikely", "care", say, value=own.coupled_length_mm, limit=limit))
        by = bounds("weight")
        weights = Bounds(by.least * own.target_g, by.most * own.target_g)
        if not weights.hold(own.weight_g):
            asked = f"the {case.weight(own.target_g)} of {case.session.standard.title}"
            meant = likely_weight(own.weight_g, weights) or "weigh it again."
            say = (
                f"weighs {case.weight(own.weight_g)} empty, {own.weight_g / own.target_g:.2g} times {asked}; {meant}"
            )
            limit = weights.least if own.weight_g < weights.least else weights.most
            findings.append(case.about(car, "unlikely", "care", say, value=own.weight_g, limit=limit))
    return findings


def _track(case: Case) -> list[Finding]:
    layout = case.session.layout
    ridden = {frozenset((line.start, line.finish)) for line in case.train.route.lines} if layout.findings else set()
    return [
        Finding("unlikely", one.level, one.say, value=one.value, limit=one.limit)
        for one in layout.findings
        if frozenset((layout.lines[one.line - 1].start, layout.lines[one.line - 1].finish)) in ridden
    ]
