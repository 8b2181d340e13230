"""What a yard may change in a train: orders that keep its blocks and its holds, and every such order in turn.

Cars of one block stay together, whatever stops they join at, and blocks keep their order unless whole blocks may
change places. Cars that join or leave on the way stand together with those that do so with them. A car that is held
keeps its place; two cars tied stay coupled as they are.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from math import factorial, prod

import numpy as np
from numpy.typing import NDArray

__all__ = ["Batch", "Order", "Yard", "every_order"]

Order = tuple[int, ...]
"""A standing order: numbers into the train's cars, head end first."""
Batch = NDArray[np.intp]
"""Standing orders, one a row, of shape (orders, cars)."""

MADE_AT_ONCE = 1024
"""So many orders are made before they are tried."""


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

    def allows(self, orders: Batch) -> NDArray[np.bool_]:
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
    def tie_lengths(self) -> frozenset[int]:
        """How many cars the runs of tied cars have, each number once."""
        lengths = set()
        for car in self.follows.keys() - self.follows.values():
            length = 1
            while car in self.follows:
                car, length = self.follows[car], length + 1
            lengths.add(length)
        return frozenset(lengths)

    def count(self, most: int) -> int:
        """How many orders there are, ties left out of account, or `most` where there are more."""
        free = Counter(self.group[car] for car in self.start if car not in self.pinned)
        groups = len(set(self.group)) if self.free_blocks else 1
        return min(prod(map(factorial, (*free.values(), groups))), most)


def _whole(label: NDArray[np.intp], orders: Batch) -> NDArray[np.bool_]:
    """In which orders all cars of one label stand together, for every label; `label` is of shape (cars,)."""
    standing = label[orders]
    changes = (standing[:, 1:] != standing[:, :-1]).sum(axis=1)
    whole: NDArray[np.bool_] = changes == max(len(np.unique(label)) - 1, 0)
    return whole


def every_order(yard: Yard, kinds: NDArray[np.intp]) -> Iterator[Batch]:
    """Every order a yard may make, a batch at a time, one of those that differ only by cars that are alike.

    `kinds` tells by car the first car that it is alike to.
    """
    orders = _orders(yard, tuple(int(kind) for kind in kinds))
    while batch := list(itertools.islice(orders, MADE_AT_ONCE)):
        made = np.array(batch, dtype=np.intp)
        yield made[yard.allows(made)]


def _orders(yard: Yard, kinds: tuple[int, ...]) -> Iterator[Order]:
    """Every order, and a few that ties or whole blocks forbid."""
    begun: list[Order] = [()]
    while begun:
        cars = begun.pop()
        if len(cars) == len(yard.start):
            yield cars
            continue
        following: dict[tuple[int, int], int] = {}
        for car in _next(yard, cars):
            # cars that are alike do not stand for each other where other cars must follow them
            kind = car if yard.follows else kinds[car]
            following.setdefault((kind, yard.group[car]), car)
        begun += [(*cars, car) for car in reversed(following.values())]


def _next(yard: Yard, cars: Order) -> list[int]:
    """The cars that may stand next behind some, in the order in which the train has them."""
    here = yard.start[len(cars)]
    if here in yard.pinned:
        return [here]
    tied = yard.follows.get(cars[-1]) if cars else None
    if tied is not None:
        return [tied]
    # a car tied behind another comes with it alone
    elsewhere = {*cars, *yard.pinned, *yard.follows.values()}
    left = [car for car in yard.start if car not in elsewhere]
    if not yard.free_blocks:
        return [car for car in left if yard.group[car] == yard.group[here]]
    for label in (yard.group, yard.block):
        unfinished = [car for car in left if cars and label[car] == label[cars[-1]]]
        if unfinished:
            return unfinished
    return left
