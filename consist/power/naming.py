"""Engines by name for an assignment: of those free at the place, the first by name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from consist.power.assignment import Assignment
from consist.power.evening import Evening, PoolEngine, Trip

__all__ = ["named"]


@dataclass
class _Standing:
    """Where an engine stands and when it can leave; the place is empty for one that has not been set down yet."""

    engine: PoolEngine
    place: str
    ready: float = float("-inf")


def named(evening: Evening, assignment: Assignment) -> dict[str, tuple[str, ...]]:
    """The engines of each trip, by train, in order of class and name; kept ones as the trip keeps them.

    Of engines free at the trip's place those that have run come before fresh ones, and fresh ones at home there
    before those with no home, so that no more are used than the assignment counts.
    """
    standing = [_Standing(engine, engine.home) for engine in evening.engines]
    trains: dict[str, tuple[str, ...]] = {}
    for trip in evening.trips:
        going = _going(trip, evening, assignment, standing)
        for one in going:
            one.place, one.ready = trip.finish, trip.arrive + evening.turn_minutes
        trains[trip.train] = tuple(one.engine.name for one in going)
    return trains


def _going(trip: Trip, evening: Evening, assignment: Assignment, standing: list[_Standing]) -> list[_Standing]:
    by_name = {one.engine.name: one for one in standing}
    if trip.kept:
        return [by_name[name] for name in trip.kept]
    number = assignment.chosen.get(trip.train)
    if number is None:
        return []
    going = [by_name[name] for name in assignment.lent.get(trip.train, ())]
    free = [one for one in standing if one.engine.name not in evening.pinned]
    for name, count in _less(trip.choices[number], going).items():
        there = [
            one
            for one in free
            if one.engine.engine_class == name and one.place in ("", trip.start) and one.ready <= trip.depart
        ]
        there.sort(key=lambda one: (one.ready == float("-inf"), not one.place, one.engine.name))
        going.extend(there[:count])
    return sorted(going, key=lambda one: (one.engine.engine_class, one.engine.name))


def _less(choice: Mapping[str, int], going: Iterable[_Standing]) -> dict[str, int]:
    """What of a choice is still wanting."""
    wanting = dict(choice)
    for one in going:
        wanting[one.engine.engine_class] -= 1
    return wanting
