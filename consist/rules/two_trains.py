"""Cars that stand in two trains of one session.

Basis: a car is in one place at a time. Fast-clock times, where both trains have them, tell whether they meet.
"""

from __future__ import annotations

from consist.rules.case import Case
from consist.rules.finding import Finding, Level
from consist.session import Train

__all__ = ["two_trains"]


def two_trains(case: Case) -> list[Finding]:
    """For each car that rides in another train too: a hold where their times overlap, else a note."""
    findings = []
    for other in case.session.trains:
        if other.name == case.train.name:
            continue
        theirs = {car.car.name for car in other.cars}
        for car in case.cars:
            if car.car.name in theirs:
                level, say = _say(car.car.name, case.train, other)
                findings.append(Finding("two-trains", level, say, car.car.name, car.spot, other=other.name))
    return findings


def _say(car: str, train: Train, other: Train) -> tuple[Level, str]:
    if train.times is None or other.times is None:
        return (
            "note",
            f"{car} rides in {other.name} too; see that the one has set it out before the other picks it up.",
        )
    if _overlap(train.times, other.times):
        return "hold", f"{car} rides in {other.name} at the same time; take it off one of the two trains."
    return "note", f"{car} rides in {other.name} too, at another time; see that it stands where it is picked up."


def _overlap(first: tuple[int, int], second: tuple[int, int]) -> bool:
    """Whether two spans of minutes, either of which may pass midnight, have a minute in common."""
    return any(
        start < second[1] + day and second[0] + day < finish for start, finish in [first] for day in (-1440, 0, 1440)
    )
