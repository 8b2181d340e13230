"""Trains with too little power, or with none assigned.

Basis: the cars' resistance against the engines' usable pull at every head position.
"""

from __future__ import annotations

import numpy as np

from consist.rules.case import Case
from consist.rules.finding import Finding
from consist.wording import at, percent

__all__ = ["power_short", "power_use_of"]


def power_use_of(case: Case) -> tuple[float, str] | None:
    """The greatest resistance over usable pull on the trip and the place of the head there; None for no engine."""
    if not case.trip.engines and not case.trip.helpers:
        return None
    leg = max(case.trip.legs, key=lambda leg: float(leg.peaks.power_use.value[0]))
    peak = leg.peaks.power_use
    return float(peak.value[0]), case.train.route.place_at(float(peak.head_mm[0]))


def power_short(case: Case) -> list[Finding]:
    """A hold where the engines cannot move the train somewhere; care where none are assigned yet.

    `value` is the use of the engines' pull, `limit` 1.
    """
    if case.stand_in is not None:
        name, number = case.stand_in
        return [
            Finding(
                code="power-short",
                level="care",
                say=f"No engine is assigned; the train was checked behind {number} of class {name}. Assign engines.",
            )
        ]
    found = power_use_of(case)
    if found is None:
        return [Finding("power-short", "care", "No engine is assigned and none in the roster can move this train.")]
    use, place = found
    if use <= 1.0:
        return []
    how = "have no pull to spare" if np.isinf(use) else f"are asked for {percent(use)} of their usable pull"
    return [
        Finding(
            code="power-short",
            level="hold",
            say=f"The engines {how} with the head {at(place)}; {_cure(case)}.",
            place=place,
            value=use if np.isfinite(use) else None,
            limit=1.0,
        )
    ]


def _cure(case: Case) -> str:
    enough = [f"{number} {name}" for name, number in case.needed.items() if number is not None]
    if not enough:
        return "no class of the roster can do it alone, so take cars off or add a helper"
    return f"take cars off, or run it behind {' or '.join(enough)}"
