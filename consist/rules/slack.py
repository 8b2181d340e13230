"""Couplings that stretch and bunch along the run.

Basis: a coupling whose force changes sign runs in or out; light cars feel it most. Common practice, no source.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from consist.rules.case import Case
from consist.rules.finding import Finding
from consist.trains import LegRun
from consist.wording import at

__all__ = ["slack"]

FELT_SHARE = 0.002
"""A force below this share of the lighter neighbour's weight is too little to run a coupling in or out."""
MANY = 1.0 / 3.0
"""From this share of couplings on, slack in a light train is a matter of care. Common practice, no source."""


def slack(case: Case) -> list[Finding]:
    """One finding a train whose couplings run in and out; `value` counts them, `limit` is the couplings there are.

    A note, or of care where a third of the couplings or more do and the cars together are below their targets.
    """
    leg = max(case.trip.legs, key=lambda leg: int(_running(leg).sum()), default=None)
    if leg is None:
        return []
    running = _running(leg)
    count = int(running.sum())
    if count == 0:
        return []
    first = int(np.flatnonzero(running)[0])
    place = case.train.route.place_at(float(leg.peaks.buff.head_mm[first]))
    light = sum(car.weight_g for car in leg.cars) < sum(car.car.target_g for car in leg.cars)
    level = "care" if light and count >= MANY * len(running) else "note"
    advice = (
        "the cars are light for their length, so bring them to the standard and change speed gently there"
        if light
        else "change speed gently there"
    )
    return [
        Finding(
            code="slack",
            level="care" if level == "care" else "note",
            say=(
                f"{count} of {len(running)} couplings stretch and bunch along the run, the first behind "
                f"{leg.names[first]} with the head {at(place)}; {advice}."
            ),
            place=place,
            value=float(count),
            limit=float(len(running)),
        )
    ]


def _running(leg: LegRun) -> NDArray[np.bool_]:
    """Which couplings are clearly stretched at one position of the head and clearly bunched at another."""
    weight = leg.vehicles.weight_g
    felt = FELT_SHARE * np.minimum(weight[:-1], weight[1:])
    running: NDArray[np.bool_] = (leg.peaks.tension.value > felt) & (leg.peaks.buff.value > felt)
    return running
