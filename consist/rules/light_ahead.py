"""Light cars ahead of heavy ones, the pairs that matter most.

Basis: the drawbar pull through a car is what all behind it takes, so a light car is better off behind a heavy one.
Common practice, no source.
"""

from __future__ import annotations

from consist.rules.case import Case
from consist.rules.finding import Finding
from consist.session import CarInTrain

__all__ = ["light_ahead"]

PAIRS = 3
CLEARLY_LIGHTER = 0.8
"""A car is light against another below this share of its weight per length. Common practice, no source."""
HALF_WAY = 0.5
"""Pairs are named only for a car past this share of the use at which the house takes care."""


def light_ahead(case: Case) -> list[Finding]:
    """Up to three pairs of a light car ahead of a heavy one, those first in which the light car is worst off.

    `value` is the light car's weight per length over the heavy one's. Of care where the light car's own margin is
    below the house's, else a note.
    """
    care_use = 1.0 / case.session.house.care_margin
    pairs = []
    for car in case.cars:
        use = case.side_use(car)
        leg, vehicle = case.worst_run[car.car.name]
        # a car that is pushed at its worst is none the better for standing behind a heavy one
        if use < HALF_WAY * care_use or leg.peaks.in_buff[vehicle]:
            continue
        heavy = _heaviest_behind(case, car)
        if heavy is not None:
            pairs.append((use, car, heavy))
    pairs.sort(key=lambda pair: (-pair[0], pair[1].spot))
    return [
        Finding(
            code="light-ahead",
            level="note" if case.session.house.level_of(use) == "go" else "care",
            say=(
                f"{light.car.name} ({case.weight(light.weight_g)}) in spot {light.spot} runs ahead of "
                f"{heavy.car.name} ({case.weight(heavy.weight_g)}) in spot {heavy.spot} and uses "
                f"{case.percent(use)} of what it can bear aside; set the lighter car in behind the heavier one."
            ),
            car=light.car.name,
            spot=light.spot,
            value=_density(light) / _density(heavy),
            limit=CLEARLY_LIGHTER,
        )
        for use, light, heavy in pairs[:PAIRS]
    ]


def _heaviest_behind(case: Case, car: CarInTrain) -> CarInTrain | None:
    """The heaviest car for its length behind this one that rides with it, where it is clearly heavier."""
    leg, _ = case.worst_run[car.car.name]
    behind = [other for other in leg.cars if other.spot > car.spot]
    heavier = [other for other in behind if _density(car) < CLEARLY_LIGHTER * _density(other)]
    return max(heavier, key=lambda other: (_density(other), -other.spot), default=None)


def _density(car: CarInTrain) -> float:
    return car.weight_g / car.car.coupled_length_mm
