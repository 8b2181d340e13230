"""Small evenings made from a seed, and their best plans found by trying every choice, one engine at a time."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from random import Random

from consist.power.assignment import Evening, Trip
from consist.stock import Engine

__all__ = ["Cost", "best_cost", "cost_of", "evening", "of_class"]

Cost = tuple[int, int, int]
"""Trains left short, engines used, engines assigned in all."""
PLACES = ("P", "Q", "R")


def of_class(name: str, engine_class: str, home: str = "") -> Engine:
    """An engine of which only its class and home matter."""
    return Engine(name, engine_class, 500.0, 100.0, 200.0, 144.0, home)


def evening(seed: int, *, trips: int = 4, engines: int = 4, kept: bool = False) -> Evening:
    """An evening of two classes over three places, some engines without a home, times close together."""
    draw = Random(seed)
    pool = [of_class(f"{k}", draw.choice("AB"), draw.choice(["P", "P", "Q", "R", ""])) for k in range(engines)]
    timetable = []
    for k in range(trips):
        start, finish = draw.choice([*itertools.permutations(PLACES, 2), ("P", "P")])
        depart = 600 + 10 * draw.randrange(9)
        choices = draw.sample(
            [{"A": 1}, {"B": 1}, {"A": 2}, {"A": 1, "B": 1}, {"B": 2}, {"A": 2, "B": 1}], draw.randrange(4)
        )
        held = (draw.choice(pool).name,) if kept and k % 2 == 0 else ()
        timetable.append(
            Trip(f"T{k}", start, finish, depart, depart + 5 * draw.randrange(1, 8), tuple(choices), held)
        )
    return Evening.of(timetable, pool, float(draw.choice([0, 5, 10])))


def best_cost(of: Evening) -> Cost | None:
    """The least cost of any plan; None where the kept engines cannot be had."""
    where = {engine.name: (engine.home, float("-inf")) for engine in of.engines}
    return min(_costs(of, 0, where, frozenset(), 0), default=None)


def _costs(
    of: Evening, number: int, where: Mapping[str, tuple[str, float]], used: frozenset[str], assigned: int
) -> Iterator[Cost]:
    if number == len(of.trips):
        yield 0, len(used), assigned
        return
    trip = of.trips[number]
    there = [one for one, (place, ready) in where.items() if place in ("", trip.start) and ready <= trip.depart]
    for going in _may_go(of, trip, there):
        moved = dict.fromkeys(going, (trip.finish, trip.arrive + of.turn_minutes))
        short = 0 if going else 1
        rest = _costs(of, number + 1, {**where, **moved}, used | set(going), assigned + len(going))
        for cost in rest:
            yield cost[0] + short, cost[1], cost[2]


def _may_go(of: Evening, trip: Trip, there: list[str]) -> Iterator[tuple[str, ...]]:
    if trip.kept:
        if set(trip.kept) <= set(there):
            yield trip.kept
        return
    yield ()
    classes = {engine.name: engine.engine_class for engine in of.engines}
    for count in range(1, 4):
        for going in itertools.combinations(there, count):
            if Counter(classes[name] for name in going) in [Counter(choice) for choice in trip.choices]:
                yield going


@dataclass
class _Stand:
    place: str
    ready: float


def cost_of(of: Evening, plan: Mapping[str, tuple[str, ...]]) -> Cost:
    """The cost of a plan, every engine followed from place to place; fails where one is not there, or not free."""
    stands = {engine.name: _Stand(engine.home, float("-inf")) for engine in of.engines}
    classes = {engine.name: engine.engine_class for engine in of.engines}
    for trip in of.trips:
        going = plan[trip.train]
        assert len(set(going)) == len(going)
        if trip.kept:
            assert going == trip.kept
        elif going:
            assert Counter(classes[name] for name in going) in [Counter(choice) for choice in trip.choices]
        for name in going:
            assert stands[name].place in ("", trip.start)
            assert stands[name].ready <= trip.depart
            stands[name] = _Stand(trip.finish, trip.arrive + of.turn_minutes)
    short = sum(not going for going in plan.values())
    return short, len({name for going in plan.values() for name in going}), sum(map(len, plan.values()))
