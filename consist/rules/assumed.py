"""What was assumed because the files leave it out."""

from __future__ import annotations

from collections import Counter

from consist.rules.case import Case
from consist.rules.finding import Finding

__all__ = ["assumed"]


def assumed(case: Case) -> list[Finding]:
    """One note a train with the counts of what was assumed; `value` is how many figures in all."""
    counts: Counter[str] = Counter()
    for car in case.cars:
        counts.update(f"{figure} of cars" for figure in car.car.assumed)
    for engine in {engine.name: engine for engine in (*case.trip.engines, *case.trip.helpers)}.values():
        counts.update(f"{figure} of engines" for figure in engine.assumed)
    if not counts:
        return []
    listed = ", ".join(f"{figure} ({count})" for figure, count in sorted(counts.items()))
    return [
        Finding(
            code="assumed",
            level="note",
            say=f"Assumed by rule: {listed}; measure them for a surer answer.",
            value=float(sum(counts.values())),
        )
    ]
