"""Trains with too little power, or with none assigned; trains that would run away.

Basis: the share that engines must give of their usable pull, or of what they can hold back, at every position of the
head. Geared engines hold by the same grip as they pull by.
"""

from __future__ import annotations

from math import isfinite

from consist.mechanics import MOVES
from consist.rules.case import Case
from consist.rules.finding import Finding
from consist.wording import at, engines_words, percent

__all__ = ["power_short"]


def power_short(case: Case) -> list[Finding]:
    """A hold where the engines cannot pull the train somewhere, or cannot hold it; care where none are assigned yet.

    `value` is the use of what the engines can give, `limit` 1.
    """
    if case.prepared.stand_in is not None:
        name, number = case.prepared.stand_in
        return [
            Finding(
                code="power-short",
                level="care",
                say=f"No engine is assigned; the train was checked behind {number} of class {name}. Assign engines.",
            )
        ]
    if not case.trip.engines and not case.trip.helpers:
        return [Finding("power-short", "care", "No engine is assigned and none in the roster can move this train.")]
    return [*_pulling(case), *_holding(case)]


def _pulling(case: Case) -> list[Finding]:
    leg = max(case.trip.legs, key=lambda leg: float(leg.peaks.power_use.value[0]))
    peak = leg.peaks.power_use
    use = float(peak.value[0])
    how = f"are asked for {percent(use)} of their usable pull" if isfinite(use) else "have no pull to spare"
    return _finding(case, use, float(peak.head_mm[0]), f"The engines {how}")


def _holding(case: Case) -> list[Finding]:
    leg = max(case.trip.legs, key=lambda leg: float(leg.peaks.hold_use.value[0]))
    peak = leg.peaks.hold_use
    use = float(peak.value[0])
    how = f"to hold back {percent(use)} of what they can" if isfinite(use) else "to hold it, and can hold nothing"
    return _finding(case, use, float(peak.head_mm[0]), f"The train runs away downhill: its engines have {how}")


def _finding(case: Case, use: float, head_mm: float, how: str) -> list[Finding]:
    if use <= MOVES:
        return []
    place = case.train.route.place_at(head_mm)
    return [
        Finding(
            code="power-short",
            level="hold",
            say=f"{how} with the head {at(place)}; {_cure(case)}.",
            place=place,
            value=use if isfinite(use) else None,
            limit=1.0,
        )
    ]


def _cure(case: Case) -> str:
    enough = [
        engines_words(number, name, len(case.session.classes[name]))
        for name, number in case.prepared.needed.items()
        if number is not None
    ]
    if not enough:
        return "no class of the roster can do it alone, so take cars off or add a helper"
    return f"take cars off, or run it behind {' or '.join(enough)}"
