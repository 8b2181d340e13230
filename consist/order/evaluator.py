"""What a search for better orders asks of a train, whoever works it out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

__all__ = ["Evaluator", "Floats", "Order", "Orders"]

Floats = NDArray[np.float64]
Order = tuple[int, ...]
"""A standing order: numbers into the train's cars, head end first."""
Orders = NDArray[np.intp]
"""Standing orders, one a row, of shape (orders, cars)."""


class Evaluator(Protocol):
    """Works out the greatest side use of a train's cars in any standing order, in two ways.

    `at_places` looks at many orders at once, each at the few head positions known to decide so far, and `in_full` at
    one order at every position. Figures at few places are never above the full ones. The places where an order worked
    out in full is worst join the few, so that `at_places` tells from then on what was found there.
    """

    @property
    def cars(self) -> int:
        """How many cars the train has."""
        ...

    @property
    def places(self) -> int:
        """How many head positions `at_places` looks at now."""
        ...

    @property
    def heads(self) -> int:
        """How many head positions `in_full` looks at."""
        ...

    @property
    def looked(self) -> int:
        """How often `at_places` has looked at one car at one head position by now."""
        ...

    def at_places(self, orders: Orders, limits: Floats | None = None) -> Floats:
        """Each car's greatest side use at the few places, of shape (orders, cars), by the car's number.

        An order that comes to its limit, of shape (orders,), at some places is not looked at at others.
        """
        ...

    def in_full(self, order: Order) -> Floats:
        """Each car's greatest side use anywhere, of shape (cars,), by the car's number."""
        ...

    def begin_anew(self, orders: Sequence[Order]) -> None:
        """Leave no places among the few but those of some orders."""
        ...

    def alike(self, one: int, other: int) -> bool:
        """Whether two cars are equal in all that counts, so that either may stand for the other."""
        ...
