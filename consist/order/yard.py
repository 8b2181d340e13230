"""What a yard may change in a train: orders that keep its blocks and its holds.

Cars of one block stay together, whatever stops they join at, and blocks keep their order unless whole blocks may
change places. Cars that join or leave on the way stand together with those that do so with them. A car that is held
keeps its place; two cars tied stay coupled as they are.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from consist.order.evaluator import Order, Orders

__all__ = ["Yard"]


@dataclass(frozen=True)
class Yard:
    """The orders a yard may make of a train's cars, by number.

    `start` is the train as it stands, with cars held at the front or rear brought there. `block` tells by car which
    run of cars is never parted, and `group` which cars of a block may change places among themselves. `pinned` cars
    keep the place they have in `start`. `follows` gives for a tied car the one coupled directly behind it. `notes`
    are sentences about the train's blocks that its owner should read.
    """

    start: Order
    group: tuple[int, ...]
    block: tuple[int, ...]
    pinned: frozenset[int] = frozenset()
    follows: dict[int, int] = field(default_factory=dict)
    free_blocks: bool = False
    notes: tuple[str, ...] = ()

    def allowed(self, order: Order) -> bool:
        """Whether the yard may make this order."""
        same_cars = sorted(order) == sorted(self.start)
        return same_cars and bool(self.allows(np.array([order], dtype=np.intp))[0])

    def allows(self, orders: Orders) -> NDArray[np.bool_]:
        """Which orders of this train's cars the yard may make, of shape (orders,)."""
        group = np.array(self.group, dtype=np.intp)
        if self.free_blocks:
            kept = _whole(group, orders) & _whole(np.array(self.block, dtype=np.intp), orders)
        else:
            kept = (group[orders] == group[list(self.start)]).all(axis=1)
        held = [place for place, car in enumerate(self.start) if car in self.pinned]
        kept &= (orders[:, held] == np.array(self.start, dtype=np.intp)[held]).all(axis=1)
        if self.follows:
            at = np.argsort(orders, axis=1)
            kept &= (at[:, list(self.follows.values())] == at[:, list(self.follows)] + 1).all(axis=1)
        return kept

    @cached_property
    def slots(self) -> NDArray[np.intp]:
        """The places of cars that are not pinned, in order: the same in every order allowed."""
        return np.array([place for place, car in enumerate(self.start) if car not in self.pinned], dtype=np.intp)

    @cached_property
    def longest_tie(self) -> int:
        """How many cars the longest run of tied cars has; 1 where none is tied."""
        longest = 1
        for car in self.follows.keys() - self.follows.values():
            length = 1
            while car in self.follows:
                car, length = self.follows[car], length + 1
            longest = max(longest, length)
        return longest

    def free_places(self, order: Order, place: int) -> list[int]:
        """The places of the group at `place` whose cars are not pinned, in order; empty where the car there is."""
        if order[place] in self.pinned:
            return []
        start, stop = self._run(order, place)
        return [spot for spot in range(start, stop) if order[spot] not in self.pinned]

    def _run(self, order: Order, place: int) -> tuple[int, int]:
        """Where the group that stands at `place` starts and stops."""
        group = self.group[order[place]]
        start = stop = place
        while start and self.group[order[start - 1]] == group:
            start -= 1
        while stop < len(order) and self.group[order[stop]] == group:
            stop += 1
        return start, stop

    def cuts(self, order: Order, place: int, lengths: Sequence[int]) -> Iterator[Order]:
        """Orders in which a cut of so many cars, the one at `place` among them, is set in elsewhere in its group.

        Pinned cars stay in their spots: the others move around them.
        """
        free = self.free_places(order, place)
        if not free:
            return
        cars, at = [order[spot] for spot in free], free.index(place)
        for length in lengths:
            for start in range(max(0, at - length + 1), min(at, len(cars) - length) + 1):
                cut, rest = cars[start : start + length], cars[:start] + cars[start + length :]
                for gap in range(len(rest) + 1):
                    if gap != start:
                        yield from self._if_kept(order, free, rest[:gap] + cut + rest[gap:])

    def swaps(self, order: Order, place: int) -> Iterator[Order]:
        """Orders in which the car at `place` changes places with another of its group."""
        free = self.free_places(order, place)
        for other in free:
            if other != place:
                cars = [order[spot] for spot in free]
                one, two = free.index(place), free.index(other)
                cars[one], cars[two] = cars[two], cars[one]
                yield from self._if_kept(order, free, cars)

    def block_orders(self, order: Order) -> Iterator[Order]:
        """Orders in which one whole block is set in elsewhere; none unless blocks are free."""
        if not self.free_blocks:
            return
        runs = [tuple(run) for _, run in itertools.groupby(order, key=self.block.__getitem__)]
        for at, run in enumerate(runs):
            rest = runs[:at] + runs[at + 1 :]
            for gap in range(len(runs)):
                changed = tuple(itertools.chain(*rest[:gap], run, *rest[gap:]))
                if changed != order and self.allowed(changed):
                    yield changed

    def _if_kept(self, order: Order, spots: Sequence[int], cars: Sequence[int]) -> Iterator[Order]:
        changed = list(order)
        for spot, car in zip(spots, cars, strict=True):
            changed[spot] = car
        found = tuple(changed)
        if not self.follows or self.allowed(found):
            yield found

    def count(self, most: int) -> int:
        """How many orders there are, ties left out of account, or `most` where there are more."""
        number = 1
        groups: dict[int, int] = {}
        for car in self.start:
            groups[self.group[car]] = groups.get(self.group[car], 0) + (car not in self.pinned)
        for factor in itertools.chain(
            *(range(2, free + 1) for free in groups.values()), range(2, len(groups) + 1 if self.free_blocks else 2)
        ):
            number *= factor
            if number >= most:
                return most
        return number


def _whole(label: NDArray[np.intp], orders: Orders) -> NDArray[np.bool_]:
    """In which orders all cars of one label stand together, for every label; `label` is of shape (cars,)."""
    standing = label[orders]
    changes = (standing[:, 1:] != standing[:, :-1]).sum(axis=1)
    whole: NDArray[np.bool_] = changes == max(len(np.unique(label)) - 1, 0)
    return whole
