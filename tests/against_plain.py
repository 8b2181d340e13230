"""A train's full run held against the plain model, leg by leg and figure by figure."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

import plain
from many_sessions import Drawn, PlainLeg

from consist.mechanics import Peaks
from consist.mechanics.peaks import Peak
from consist.trains import LegRun, prepared

__all__ = ["FIGURES", "Difference", "differences"]

LEAST_USE, LEAST_G = 1e-4, 1e-3
"""Below a hundredth of a per cent, or a milligram, a difference is told as a share of that."""
ROUNDING_MM = 1e-5


class _Figure(NamedTuple):
    """A figure of a run: its peaks by the package and by the plain model, and what the plain model has at a place."""

    found: Callable[[Peaks], Peak]
    expected: Callable[[plain.Peaks], Sequence[plain.Peak]]
    at: Callable[[plain.Figures], Sequence[float]]
    least: float


FIGURES = {
    "side use": _Figure(lambda run: run.use, lambda seen: seen.use, lambda at: at.use, LEAST_USE),
    "tension": _Figure(lambda run: run.tension, lambda seen: seen.tension, lambda at: at.tension, LEAST_G),
    "buff": _Figure(lambda run: run.buff, lambda seen: seen.buff, lambda at: [-one for one in at.tension], LEAST_G),
    "power use": _Figure(
        lambda run: run.power_use, lambda seen: [seen.power_use], lambda at: [at.power_use], LEAST_USE
    ),
    "hold use": _Figure(lambda run: run.hold_use, lambda seen: [seen.hold_use], lambda at: [at.hold_use], LEAST_USE),
}


class Difference(NamedTuple):
    """How far a peak is off, as a share, and where: the session's seed, the leg, the vehicle or coupling.

    `share` is the greater of what it lacks of the peak that the plain model saw anywhere, and of how far it is from
    what the plain model has with the head where it is said to be.
    """

    share: float
    figure: str
    seed: int
    leg: int
    number: int
    found: float
    expected: float


def differences(drawn: Drawn, step_mm: float = 1.0) -> list[Difference]:
    """Every peak of every leg of a session's train, the plain model looking at every `step_mm` and at each joint."""
    trip = prepared(drawn.session, drawn.train).run()
    found = []
    for number, (leg, run) in enumerate(zip(drawn.legs, trip.legs, strict=True)):
        seen = leg.peaks(step_mm)
        for name in FIGURES:
            if run.powered or name not in ("power use", "hold use"):
                found += [Difference(one[0], name, drawn.seed, number, *one[1:]) for one in _of(name, leg, run, seen)]
    return found


def _of(name: str, leg: PlainLeg, run: LegRun, seen: plain.Peaks) -> list[tuple[float, int, float, float]]:
    """Share off, number, value found and value expected of each peak; one below 0 is none, and taken as 0."""
    figure = FIGURES[name]
    peaks = figure.found(run.peaks)
    differences = []
    for number, expected in enumerate(figure.expected(seen)):
        value, head = max(float(peaks.value[number]), 0.0), float(peaks.head_mm[number])
        assert leg.from_mm - ROUNDING_MM <= head <= leg.to_mm + ROUNDING_MM, f"{name} is told at {head}, off its leg"
        there = max(figure.at(leg.at(head))[number], 0.0)
        most = max(expected.value, 0.0)
        differences.append((_share(value, there, most, figure.least), number, value, most))
    return differences


def _share(value: float, there: float, most: float, least: float) -> float:
    if math.isinf(value) or math.isinf(most):
        return 0.0 if value == there == most else math.inf
    return max((most - value) / max(most, least), abs(value - there) / max(value, least))
