"""Trains without a car.

Basis: a train that no row of the trains table belongs to is forgotten, or misnamed, more often than it is meant.
Common practice, no source.
"""

from __future__ import annotations

from consist.rules.case import Case
from consist.rules.finding import Finding

__all__ = ["no_cars"]


def no_cars(case: Case) -> list[Finding]:
    """Of care where no car rides in the train."""
    if case.cars:
        return []
    say = "No car rides in this train; add its cars to the trains table, or take the train out of the session."
    return [Finding("no-cars", "care", say)]
