"""Trains without a car."""

from __future__ import annotations

from consist.rules.case import Case
from consist.rules.finding import Finding

__all__ = ["no_cars"]


def no_cars(case: Case) -> list[Finding]:
    """A note where no car rides in the train."""
    if case.cars:
        return []
    return [Finding("no-cars", "note", "No car rides in this train; add its rows to the trains table.")]
