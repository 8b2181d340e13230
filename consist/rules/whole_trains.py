"""Rules about a train as a whole: its power, its slack, its length, and what its tables leave out or give twice."""

from __future__ import annotations

from collections import Counter
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import MOVES
from consist.mechanics.peaks import Peak
from consist.rules.case import Case, Finding, Level
from consist.tolerances import longer
from consist.track import other_way
from consist.trains import LegRun
from consist.wording import at, engines_words, percent

__all__ = ["assumed", "no_cars", "power_short", "slack", "too_long", "two_trains", "way_taken"]

FELT_SHARE = 0.002
"""A force below this share of the lighter neighbour's weight is too little to run a coupling in or out."""
MANY = 1.0 / 3.0
"""From this share of couplings on, slack in a light train is a matter of care. Common practice, no source."""


def no_cars(case: Case) -> list[Finding]:
    """Of care where no car rides in the train.

    Such a train is forgotten, or misnamed, more often than it is meant: common practice, no source.
    """
    say = "No car rides in this train; add its cars to the trains table, or take the train out of the session."
    return [] if case.cars else [Finding("no-cars", "care", say)]


def power_short(case: Case) -> list[Finding]:
    """A hold where the engines cannot pull the train somewhere, or cannot hold it; care where none are assigned yet.

    From the share that they must give of their usable pull, or of what they can hold back, at every position of the
    head; geared engines hold by the same grip as they pull by. `value` is that share, `limit` 1.
    """
    if case.prepared.stand_in is not None:
        name, number = case.prepared.stand_in
        say = f"No engine is assigned; the train was checked behind {number} of class {name}. Assign engines."
        return [Finding("power-short", "care", say)]
    if not case.trip.engines and not case.trip.helpers:
        return [Finding("power-short", "care", "No engine is assigned and none in the roster can move this train.")]
    alone = len((*case.trip.engines, *case.trip.helpers)) == 1
    who, are, have, they, their = (
        ("engine", "is", "has", "it", "its") if alone else ("engines", "are", "have", "they", "their")
    )
    pull, hold = (
        max(peaks, key=lambda peak: float(peak.value[0]))
        for peaks in zip(*((leg.peaks.power_use, leg.peaks.hold_use) for leg in case.trip.legs), strict=True)
    )
    pulls = f"The {who} {are} asked for {{}} of {their} usable pull", f"The {who} {have} no pull to spare"
    away = f"The train runs away downhill: its {who} {have} to hold"
    holds = f"{away} back {{}} of what {they} can", f"{away} it, and can hold nothing"
    return [*_beyond(case, pull, *pulls), *_beyond(case, hold, *holds)]


def _beyond(case: Case, peak: Peak, asked: str, spent: str) -> list[Finding]:
    """What is said of engines asked for more than they have: a share of it, or all where they have nothing."""
    use = float(peak.value[0])
    if use <= MOVES:
        return []
    head_mm = float(peak.head_mm[0])
    place, end = case.train.route.place_at(head_mm), case.train.route.leads_at(head_mm)
    enough = [
        engines_words(number, name, len(case.session.classes[name]))
        for name, number in case.prepared.needed.items()
        if number is not None
    ]
    cure = "no class of the roster can do it alone, so take cars off or add a helper"
    if enough:
        cure = f"take cars off, or run it behind {' or '.join(enough)}"
    say = f"{asked.format(percent(use)) if isfinite(use) else spent} with the {end} {at(place)}; {cure}."
    return [Finding("power-short", "hold", say, place=place, value=use if isfinite(use) else None, limit=1.0)]


def too_long(case: Case) -> list[Finding]:
    """Of care for each stop at which the train is longer than its `standing`; lengths in millimetres."""
    findings = []
    for number, stop in enumerate(case.train.route.stops):
        standing = case.session.layout.places[stop].standing_mm
        length = case.prepared.length_at(number)
        if standing is not None and longer(length, standing):
            own, room = case.lengths(length, standing)
            say = (
                f"The train is {own} long and {stop} has {room} of standing track; take off "
                f"{case.length(length - standing)}, or plan how it clears there."
            )
            findings.append(Finding("too-long", "care", say, place=stop, value=length, limit=standing))
    return findings


def slack(case: Case) -> list[Finding]:
    """One finding a train whose couplings stretch and bunch along the run; `value` counts them, `limit` is all.

    A coupling whose force changes sign runs in or out, and light cars feel it most: common practice, no source. A
    note, or of care where a third of the couplings or more do and the cars together are below their targets.
    """
    leg = max(case.trip.legs, key=lambda leg: int(_running(leg).sum()), default=None)
    running = np.zeros(0, bool) if leg is None else _running(leg)
    count = int(running.sum())
    if leg is None or count == 0:
        return []
    first = int(np.flatnonzero(running)[0])
    place = case.train.route.place_at(float(leg.peaks.buff.head_mm[first]), leg.leg.run)
    end = "rear" if leg.leg.backing else "head"
    light = sum(car.weight_g for car in leg.cars) < sum(car.car.target_g for car in leg.cars)
    level: Level = "care" if light and count >= MANY * len(running) else "note"
    advice = "the cars are light for their length, so bring them to the standard and " if light else ""
    say = (
        f"{count} of {len(running)} couplings stretch and bunch along the run, the first behind "
        f"{leg.names[first]} with the {end} {at(place)}; {advice}change speed gently there."
    )
    return [Finding("slack", level, say, place=place, value=float(count), limit=float(len(running)))]


def _running(leg: LegRun) -> NDArray[np.bool_]:
    """Which couplings are clearly stretched at one position of the head and clearly bunched at another."""
    weight = leg.vehicles.weight_g
    felt = FELT_SHARE * np.minimum(weight[:-1], weight[1:])
    running: NDArray[np.bool_] = (leg.peaks.tension.value > felt) & (leg.peaks.buff.value > felt)
    return running


def way_taken(case: Case) -> list[Finding]:
    """A note where a train could run by its stops another way that is hardly longer, and no end says which is meant.

    `value` is how long the other way is in millimetres, `limit` the one that was taken.
    """
    route = case.train.route
    other = other_way(case.session.layout, route)
    if other is None:
        return []
    by, length_mm = ("reaches" if other.stop == route.stops[-1] else "leaves"), route.length_mm
    say = (
        f"The train {by} {other.stop} by {other.taken}, a way of {case.length(length_mm)}; by {other.other} it is "
        f'{case.length(other.length_mm)}. Write "{other.stop}, {other.other}" in its route for that, or '
        f'"{other.stop}, {other.taken}" to keep to this one.'
    )
    return [Finding("way-taken", "note", say, place=other.stop, value=other.length_mm, limit=length_mm)]


def two_trains(case: Case) -> list[Finding]:
    """For each car that rides in another train too: a hold where by their fast-clock times both meet, else a note."""
    findings = []
    for other in (train for train in case.session.trains if train.name != case.train.name):
        theirs = {car.car.name for car in other.cars}
        level: Level = "note"
        too = f"rides in {other.name} too, at another time; see that it stands where it is picked up."
        if case.train.times is None or other.times is None:
            too = f"rides in {other.name} too; see that the one has set it out before the other picks it up."
        elif _overlap(case.train.times, other.times):
            level, too = "hold", f"rides in {other.name} at the same time; take it off one of the two trains."
        for car in (car for car in case.cars if car.car.name in theirs):
            name = car.car.name
            findings.append(Finding("two-trains", level, f"{name} {too}", name, car.spot, other=other.name))
    return findings


def _overlap(first: tuple[int, int], second: tuple[int, int]) -> bool:
    """Whether two spans of minutes, either of which may pass midnight, have a minute in common."""
    return any(first[0] < second[1] + day and second[0] + day < first[1] for day in (-1440, 0, 1440))


def assumed(case: Case) -> list[Finding]:
    """One note a train with the counts of what the files leave out; `value` is how many figures in all."""
    engines = {engine.name: engine for engine in (*case.trip.engines, *case.trip.helpers)}
    figures = [f"{figure} of cars" for car in case.cars for figure in car.car.assumed]
    figures += [f"{figure} of engines" for engine in engines.values() for figure in engine.assumed]
    listed = ", ".join(f"{figure} ({count})" for figure, count in sorted(Counter(figures).items()))
    say = f"Assumed by rule: {listed}; measure them for a surer answer."
    return [Finding("assumed", "note", say, value=float(len(figures)))] if figures else []
