"""Trying standing orders at the few places that decide."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.trains import Orders, Prepared

__all__ = ["Order", "Standing", "Trial"]

Floats = NDArray[np.float64]
Order = tuple[int, ...]


@dataclass(frozen=True)
class Standing:
    """A standing order: each car's greatest side use, of shape (cars,), and the greatest of all."""

    order: Order
    uses: Floats
    worst: float


class Trial:
    """Works out the side use of a train's cars in any standing order."""

    def __init__(self, of: Prepared) -> None:
        self.orders = Orders(of)
        self.cars = self.orders.cars
        self.has_helper = True
        self.heads = 15
        self.orders.in_full(range(self.cars))

    def alike(self, one: int, other: int) -> bool:
        """Whether two cars may stand in for each other."""
        return self.orders.alike(one, other)

    def worst(self, order: Order) -> float:
        """The greatest side use of any car."""
        return self.standing(order).worst

    def standing(self, order: Order) -> Standing:
        """A standing order worked out."""
        uses = self.orders.in_full(order)
        return Standing(order, uses, float(uses.max()))

    def below(self, bar: float, order: Order, known: Standing) -> float | None:
        """The worst use of an order if it is below `bar`, else None."""
        worst = float(self.orders.at_places(np.array([order])).max())
        return worst if worst < bar else None
