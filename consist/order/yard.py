"""What a yard may change in a train: orders that keep its blocks and its holds.

Cars of one block stay together, whatever stops they join at, and blocks keep their order unless whole blocks may
change places. Cars that join or leave on the way stand together with those that do so with them. A car that is held
keeps its place; two cars tied stay coupled as they are.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from functools import cached_property
from math import factorial, prod

import numpy as np
from numpy.typing import NDArray

__all__ = ["Batch", "Order", "Yard"]

Order = tuple[int, ...]
"""A standing order: numbers into the train's cars, head end first."""
Batch = NDArray[np.intp]
"""Standing orders, one a row, of shape (orders, cars)."""


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
    def longest_tie(self) -> int:
        """How many cars the longest run of tied cars has; 1 where none is tied."""

        def tied_from(car: int) -> int:
            return 1 + (tied_from(self.follows[car]) if car in self.follows else 0)

        return max(map(tied_from, self.start), default=1)

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
