"""From one standing order to another in the fewest moves of cuts of cars, as a yard crew does it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from consist.order.evaluator import Order

__all__ = ["CutMove", "cars_moved", "moves_between"]


@dataclass(frozen=True)
class CutMove:
    """A cut of neighbouring cars set in behind a car; None is the head end. Cars by number."""

    cars: tuple[int, ...]
    after: int | None


def moves_between(before: Order, after: Order) -> tuple[CutMove, ...]:
    """Moves that turn one order into the other, moving the fewest cars, in the order they can be made.

    The cars that stay are a longest run of cars that keep their order among themselves; the others are set in
    one cut after another, from the head end, each behind a car that already stands right.

    >>> moves_between((0, 1, 2, 3), (1, 2, 0, 3))
    (CutMove(cars=(0,), after=2),)
    """
    place = {car: k for k, car in enumerate(before)}
    staying = set(_longest_rising([place[car] for car in after]))
    moves: list[CutMove] = []
    cut: list[int] = []
    for k, car in enumerate(after):
        if place[car] in staying:
            cut = []
            continue
        neighbours = bool(cut) and place[car] == place[cut[-1]] + 1
        if neighbours:
            cut.append(car)
            moves[-1] = CutMove(tuple(cut), moves[-1].after)
        else:
            cut = [car]
            moves.append(CutMove((car,), after[k - 1] if k else None))
    return tuple(moves)


def cars_moved(before: Order, after: Order) -> int:
    """The fewest cars that must be moved to turn one order into the other.

    >>> cars_moved((0, 1, 2, 3), (3, 0, 1, 2))
    1
    """
    return sum(len(move.cars) for move in moves_between(before, after))


def _longest_rising(values: Sequence[int]) -> list[int]:
    """A longest rising subsequence, by patience sorting."""
    from bisect import bisect_left

    tails: list[int] = []
    at: list[int] = []
    back: list[int] = []
    for k, value in enumerate(values):
        pile = bisect_left(tails, value)
        back.append(at[pile - 1] if pile else -1)
        if pile == len(tails):
            tails.append(value)
            at.append(k)
        else:
            tails[pile] = value
            at[pile] = k
    found = []
    k = at[-1] if at else -1
    while k >= 0:
        found.append(values[k])
        k = back[k]
    return found[::-1]
