"""What the trains table says of a train's blocks, holds and ties, made into what the yard may change."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import replace

from consist.changes import TIED
from consist.errors import InputError, Problem
from consist.order.yard import Order, Yard
from consist.session import CarInTrain

__all__ = ["HoldError", "yard_of"]


class HoldError(InputError):
    """Holds of a train that contradict each other or its blocks, a problem each."""

    def __init__(self, train: str, contradictions: Sequence[str]) -> None:
        super().__init__(Problem("the trains table", f"train '{train}', hold", text) for text in contradictions)


def yard_of(train: str, cars: Sequence[CarInTrain], *, free_blocks: bool = False) -> Yard:
    """What a yard may do with a train's cars standing in this order.

    Neighbours of no block are one where they join and leave at the same stops. A block that stands in two or more
    runs is taken as that many blocks, and noted. Raises `HoldError` where holds contradict each other or the blocks.
    """
    block = _numbered([(car.block, None if car.block else _stops(car)) for car in cars])
    group = _numbered([(block[number], *_stops(car)) for number, car in enumerate(cars)])
    wrong: list[str] = []
    follows = _ties(cars, group, wrong)
    notes = tuple(_in_runs(cars, block))
    yard = Yard(tuple(range(len(cars))), group, block, frozenset(), follows, free_blocks, notes)
    for where in ("front", "rear"):
        yard = replace(yard, start=_brought_to_end(cars, yard, where, wrong))
    front, rear, stay = (_held(cars, hold) for hold in ("front", "rear", "stay"))
    if front and rear and yard.start[0] not in front and not wrong:
        names = f"{cars[front[0]].car.name} and {cars[rear[0]].car.name}"
        wrong.append(f"{names} are held at opposite ends, but stand in one block of several")
    wrong.extend(_moved_by_others(cars, yard))
    if wrong:
        raise HoldError(train, wrong)
    pinned = {*front, *rear, *stay}
    while more := {car for tied in follows.items() if not pinned.isdisjoint(tied) for car in tied} - pinned:
        pinned |= more
    return replace(yard, pinned=frozenset(pinned))


def _held(cars: Sequence[CarInTrain], hold: str) -> list[int]:
    return [number for number, car in enumerate(cars) if car.hold == hold]


def _stops(car: CarInTrain) -> tuple[int, int | None]:
    """Where a car joins and leaves; a block's cars leave together, where the block is set out."""
    return car.joins, None if car.block else car.leaves


def _numbered(keys: Sequence[object]) -> tuple[int, ...]:
    """Runs of equal keys numbered from 0 on.

    >>> _numbered(["a", "a", "b", "a"])
    (0, 0, 1, 2)
    """
    return tuple(itertools.accumulate((one != two for one, two in itertools.pairwise(keys)), initial=0))[: len(keys)]


def _in_runs(cars: Sequence[CarInTrain], block: Sequence[int]) -> Iterator[str]:
    """A sentence for each block that stands in more than one run."""
    runs: dict[str, list[str]] = {}
    for _, run in itertools.groupby(enumerate(cars), key=lambda each: block[each[0]]):
        standing = [car for _, car in run]
        if standing[0].block:
            runs.setdefault(standing[0].block, []).append(_span(standing[0].spot, standing[-1].spot))
    for name, spots in runs.items():
        if len(spots) > 1:
            where = f"{', '.join(spots[:-1])} and {spots[-1]}"
            many = "two" if len(spots) == 2 else str(len(spots))
            yield f"Block {name} stands in {many} runs, spots {where}; each is kept together by itself."


def _span(first: int, last: int) -> str:
    return str(first) if first == last else f"{first} to {last}"


def _ties(cars: Sequence[CarInTrain], group: Sequence[int], wrong: list[str]) -> dict[int, int]:
    """For each tied car ahead, the one behind. Tied cars stand as they stand in the train."""
    follows: dict[int, int] = {}
    numbers = {car.car.name: number for number, car in enumerate(cars)}
    for number, car in enumerate(cars):
        if not car.hold or not car.hold.startswith(TIED):
            continue
        name, tied_to = car.car.name, car.hold.removeprefix(TIED)
        other = numbers.get(tied_to, number)
        if other == number:
            wrong.append(f"{name} is held with {tied_to}, which is no other car of the train")
            continue
        partner = cars[other].car.name
        ahead, behind = min(number, other), max(number, other)
        if group[ahead] != group[behind]:
            wrong.append(f"{name} is held with {partner}, which stands in another block; tie cars of one block only")
        elif behind != ahead + 1:
            wrong.append(f"{name} is held with {partner}, but they are not coupled; set them in next to each other")
        else:
            follows[ahead] = behind
    return follows


def _brought_to_end(cars: Sequence[CarInTrain], yard: Yard, where: str, wrong: list[str]) -> Order:
    """The train as it stands, with cars held at one of its ends brought there, in their group."""
    held, order, block, group = _held(cars, where), yard.start, yard.block, yard.group
    if not held:
        return order
    for label, apart in ((block, "stand in different blocks"), (group, "join or leave at different stops")):
        homes = dict.fromkeys(label[car] for car in held)
        if len(homes) > 1:
            names = " and ".join(next(cars[car].car.name for car in held if label[car] == home) for home in homes)
            wrong.append(f"{names} are all held at the {where}, but {apart}")
            return order
    first = held[0]
    end = order[0 if where == "front" else -1]
    if group[end] != group[first] and not yard.free_blocks:
        name = cars[first].car.name
        wrong.append(f"{name} is held at the {where}, but its block is not; change its hold, or free the blocks")
        return order

    def distance(car: int) -> tuple[bool, bool, bool]:
        """How far from that end a car is to stand: its block, its group within it, itself."""
        return block[car] != block[first], group[car] != group[first], car not in held

    return tuple(sorted(order, key=distance, reverse=where == "rear"))


def _moved_by_others(cars: Sequence[CarInTrain], yard: Yard) -> Iterator[str]:
    """Cars held in their spot or tied that other holds would move or part."""
    place = {number: at for at, number in enumerate(yard.start)}
    for number, car in enumerate(cars):
        if car.hold == "stay" and place[number] != number:
            yield f"{car.car.name} is held in its spot, but cars held at the front or rear would move it"
    for ahead, behind in yard.follows.items():
        if place[behind] != place[ahead] + 1:
            yield f"{cars[ahead].car.name} and {cars[behind].car.name} are tied, but their other holds part them"
