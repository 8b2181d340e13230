"""From one standing order to another in the fewest moves of cuts of cars, as a yard crew does it."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Hashable, Sequence
from itertools import pairwise
from typing import TypeVar

from consist.order.results import Move

__all__ = ["moved_cars", "moves_between"]

Car = TypeVar("Car", bound=Hashable)


def moves_between(before: Sequence[str], after: Sequence[str]) -> tuple[Move, ...]:
    """Moves that turn one order into the other, moving the fewest cars, in the order they can be made.

    Cars that move are set in one cut after another, from the head end, each behind a car that already stands right.

    >>> moves_between("ABCD", "BCAD")
    (Move(cars=('A',), after='C'),)
    """
    moved, coupled = set(moved_cars(before, after)), set(pairwise(before))
    moves: list[Move] = []
    for ahead, car in zip((None, *after), after, strict=False):
        if car not in moved:
            continue
        if moves and moves[-1].cars[-1] == ahead and (ahead, car) in coupled:
            moves[-1] = Move((*moves[-1].cars, car), moves[-1].after)
        else:
            moves.append(Move((car,), ahead))
    return tuple(moves)


def moved_cars(before: Sequence[Car], after: Sequence[Car]) -> list[Car]:
    """The fewest cars that must be moved to turn one order into the other, as they stand in the other.

    The cars that stay are a longest run that keeps its order among itself, found by patience sorting.

    >>> moved_cars("ABCD", "DABC")
    ['D']
    """
    place = {car: number for number, car in enumerate(before)}
    # of runs of each length met so far, the least place that one ends at; and which place comes before each
    ends: list[int] = []
    behind: dict[int, int | None] = {}
    for car in after:
        length = bisect_left(ends, place[car])
        behind[place[car]] = ends[length - 1] if length else None
        ends[length : length + 1] = [place[car]]
    staying: set[int] = set()
    last = ends[-1] if ends else None
    while last is not None:
        staying.add(last)
        last = behind[last]
    return [car for car in after if place[car] not in staying]
