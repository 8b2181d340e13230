"""What a yard may not change: blocks in their order, held cars in their spots, joining cars together."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from consist.order.trial import Order
from consist.session import CarInTrain

__all__ = ["Section", "allowed", "sections", "shifts", "swaps"]


@dataclass(frozen=True)
class Section:
    """Neighboring places in the train between whose cars a yard may choose freely.

    `start` and `stop` are places in the standing order; `fixed` are the places in it that keep their car.
    """

    start: int
    stop: int
    fixed: frozenset[int]


def sections(cars: Sequence[CarInTrain]) -> tuple[Section, ...]:
    """The sections of a train as it stands: a block each, and parted where cars join or leave elsewhere."""
    found = []
    place = 0
    for _, run in itertools.groupby(cars, key=lambda car: (car.block, car.joins, car.leaves)):
        members = list(run)
        fixed = frozenset(place + k for k, car in enumerate(members) if car.hold is not None)
        found.append(Section(place, place + len(members), fixed))
        place += len(members)
    return tuple(found)


def allowed(order: Order, parts: Sequence[Section]) -> bool:
    """Whether an order keeps every section's cars in it and every held car in its spot."""
    return all(
        sorted(order[part.start : part.stop]) == list(range(part.start, part.stop))
        and all(order[place] == place for place in part.fixed)
        for part in parts
    )


def shifts(
    order: Order,
    place: int,
    longest_cut: int,
    parts: Sequence[Section],
    *,
    shortest_cut: int = 1,
    ahead_of: int | None = None,
) -> Iterator[Order]:
    """Orders in which a cut of cars with the car at `place` in it is set in elsewhere in its section.

    Held cars stay in their spots: the others move around them. With `ahead_of` the cut is set in at that place or
    nearer the head end only.
    """
    found = _free(place, parts)
    if found is None:
        return
    free, at = found
    cars = [order[spot] for spot in free]
    gaps = len(cars) if ahead_of is None else sum(1 for spot in free if spot <= ahead_of)
    for length in range(shortest_cut, min(longest_cut, len(cars) - 1) + 1):
        for start in range(max(0, at - length + 1), min(at, len(cars) - length) + 1):
            cut, rest = cars[start : start + length], cars[:start] + cars[start + length :]
            for gap in range(min(gaps, len(rest) + 1)):
                if gap != start:
                    yield _with(order, free, rest[:gap] + cut + rest[gap:])


def swaps(order: Order, place: int, parts: Sequence[Section]) -> Iterator[Order]:
    """Orders in which the car at `place` changes places with another of its section."""
    found = _free(place, parts)
    if found is None:
        return
    free, at = found
    for other in range(len(free)):
        if other != at:
            cars = [order[spot] for spot in free]
            cars[at], cars[other] = cars[other], cars[at]
            yield _with(order, free, cars)


def _free(place: int, parts: Sequence[Section]) -> tuple[list[int], int] | None:
    """The free places of the section that `place` is in, and its number among them; None where it is held."""
    part = next(part for part in parts if part.start <= place < part.stop)
    if place in part.fixed:
        return None
    free = [spot for spot in range(part.start, part.stop) if spot not in part.fixed]
    return free, free.index(place)


def _with(order: Order, spots: Sequence[int], cars: Sequence[int]) -> Order:
    changed = list(order)
    for spot, car in zip(spots, cars, strict=True):
        changed[spot] = car
    return tuple(changed)
