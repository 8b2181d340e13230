"""What each further moved car gains: for 1, 2, 3, … cars moved, the best order within reach.

A car counts as moved if it is not in a longest run of cars that keep their order among themselves. From the train as
it stands, and then from the most promising orders with so many cars moved, every order near them is tried and goes to
those with as many cars moved as it has; so do the steps between the train and the best order known. Where few cars
are moved and there is room for it nothing is left out. Where there is room for little each number of cars moved has
its share of it: then orders near the most promising one are drawn at random, most of them moving its worst car.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from math import inf

import numpy as np
from numpy.typing import NDArray

from consist.order.moves import moved_cars
from consist.order.trials import NO_BETTER, PROVEN_WITHIN, Found, Trials, an_order, parted
from consist.order.yard import Batch, Order

__all__ = ["frontier"]

Floats = NDArray[np.float64]

CARRIED_ON = 6
"""So many orders with as many cars moved are carried on to more, where not all are."""
ALL_UP_TO = 2
"""Up to so many cars moved all orders are tried where there is room for them."""
WORKED_OUT = 3
"""So many of the most promising orders of each number of cars moved are worked out in full."""
FOR_TRIALS = 0.5
"""So much of the budget goes to trials, the rest to working out in full what they find."""
SEED = 1
"""Of what is drawn at random."""
PLENTY = 10
"""Steps are sought back from the best order too where there is room for so many times the cars moved, squared."""


def frontier(trials: Trials, given: Order, best: Found, enough: float = 0.0) -> Iterator[Found]:
    """Steps from the given order toward the best, each better than the one before, with more and more cars moved.

    A step is proven where no order with as few cars moved is better. Ends when the best order's use or `enough` is
    reached or the budget is spent; the best order is the last step where nothing nearer is as good.
    """
    reached = trials.worst(given) if trials.yard.allowed(given) else inf
    search = _Levels(trials, given, best)
    most = len(moved_cars(given, best.order))
    for moved in range(1, most + 1):
        if reached <= max(enough, best.use * (1.0 + NO_BETTER)) or trials.budget.spent():
            break
        search.go_on_to(moved, most - moved + 1)
        found = search.best_with(moved, reached)
        if found is not None and found.use < reached * (1.0 - NO_BETTER):
            reached = found.use
            yield replace(found, proven=found.proven or (best.proven and reached <= best.use * (1.0 + PROVEN_WITHIN)))
    if best.use < reached * (1.0 - NO_BETTER) and reached > enough:
        yield best


class _Levels:
    """Orders met so far, how many cars each has moved, and their worst use at few places."""

    def __init__(self, trials: Trials, given: Order, best: Found) -> None:
        self._trials, self._given = trials, given
        self._near = 3 * len(given) ** 2
        """About how many orders are near one."""
        self._all = True
        """Whether nothing was left out up to the number of cars moved that was gone on to."""
        self._chance = np.random.default_rng(SEED)
        self._seen: set[bytes] = set()
        self._met: list[tuple[Batch, NDArray[np.intp], Floats]] = []
        self._most_promising = np.full((len(given) + 1, CARRIED_ON), inf)
        """The least figures with each number of cars moved."""
        self._add(np.array([given], dtype=np.intp), None)
        self._most_promising[0] = self._met[0][2][0]
        self._take(_toward(trials, given, best.order))

    def go_on_to(self, moved: int, left: int) -> None:
        """Try orders near those with one car moved less: all of them, or the most promising.

        `left` is for how many numbers of cars moved the budget is to do, this one among them.
        """
        orders, floors = self._level(moved - 1)
        few = len(orders) * self._near < FOR_TRIALS * self._trials.affordable
        self._all = self._all and moved <= ALL_UP_TO and few
        room = int(FOR_TRIALS * self._trials.affordable / left)
        carried = len(orders) if self._all else min(CARRIED_ON, max(room // self._near, 1))
        for number in np.argsort(floors, kind="stable")[:carried]:
            one = orders[number][None, :]
            if self._all or room >= self._near or moved == 1:
                near = self._trials.neighbours.every(one[0])
                self._all = self._all and not self._trials.neighbours.too_many(one[0])
            else:
                worst = np.argmax(one == np.argmax(self._trials.uses(one)), axis=1)
                near, _ = self._trials.neighbours.some(one, self._chance, room, worst)
            if not self._take(near):
                self._all = False
                break

    def best_with(self, moved: int, reached: float) -> Found | None:
        """The best order with as many cars moved, worked out in full; proven where all there are were tried."""
        orders, floors = self._level(moved)
        may = self._trials.yard.allows(orders)
        orders, floors = orders[may], floors[may]
        if not len(orders):
            return None
        promising = orders[np.argsort(floors, kind="stable")[:WORKED_OUT]]
        first = an_order(promising[0])
        known = Found(first, self._trials.worst(first))
        if self._all and known.use < reached:
            return self._trials.least([orders], known, PROVEN_WITHIN)
        return replace(self._trials.least([promising], known, NO_BETTER), proven=False)

    def _level(self, moved: int) -> tuple[Batch, Floats]:
        """The orders with as many cars moved, in the order they were met, and their floors."""
        orders, floors = zip(*((each[of == moved], low[of == moved]) for each, of, low in self._met), strict=True)
        return np.concatenate(orders), np.concatenate(floors)

    def _take(self, orders: Batch) -> bool:
        """Take in orders not seen yet; whether there was room for all of them."""
        by_key = {order.tobytes(): row for row, order in reversed(list(enumerate(orders)))}
        fresh = orders[sorted(row for key, row in by_key.items() if key not in self._seen)]
        for part in parted(fresh):
            if self._trials.budget.spent():
                return False
            # the use at which an order is neither carried on nor better than those with fewer cars moved
            self._add(part, np.minimum.accumulate(self._most_promising[:, -1]))
        return True

    def _add(self, orders: Batch, limits: Floats | None) -> None:
        """Look at orders at few places, `limits` by cars moved."""
        moved = _moved(self._given, orders)
        floors = self._trials.floors(orders, None if limits is None else limits[moved])
        self._seen.update(order.tobytes() for order in orders)
        self._met.append((orders, moved, floors))
        for number in np.unique(moved):
            both = np.concatenate((self._most_promising[number], floors[moved == number]))
            self._most_promising[number] = np.sort(both)[:CARRIED_ON]


def _toward(trials: Trials, given: Order, best: Order) -> Batch:
    """Orders between the given one and the best: cars of its moves moved one after another, the likeliest first."""
    moving = moved_cars(given, best)
    made: list[Order] = []

    def likeliest(tries: Sequence[Sequence[int]]) -> Sequence[int]:
        orders = np.array([_moved_as_in(given, best, frozenset(cars)) for cars in tries], dtype=np.intp)
        number = int(np.argmin(trials.floors(orders)))
        made.append(an_order(orders[number]))
        return tries[number]

    done: Sequence[int] = ()
    while len(done) < len(moving) and not trials.budget.spent():
        done = likeliest([(*done, car) for car in moving if car not in done])
    left: Sequence[int] = moving if trials.affordable > PLENTY * len(moving) ** 2 else ()
    while len(left) > 1 and not trials.budget.spent():
        left = likeliest([[other for other in left if other != car] for car in left])
    orders = np.array([*made, best], dtype=np.intp)
    return orders[trials.yard.allows(orders)]


def _moved_as_in(given: Order, best: Order, cars: Iterable[int]) -> Order:
    """The given order with some cars set in behind those they stand behind in the best one.

    >>> _moved_as_in((0, 1, 2, 3), (3, 1, 2, 0), {0})
    (1, 2, 0, 3)
    """
    order = [car for car in given if car not in cars]
    for place, car in enumerate(best):
        if car in cars:
            ahead = next((other for other in reversed(best[:place]) if other in order), None)
            order.insert(0 if ahead is None else order.index(ahead) + 1, car)
    return tuple(order)


def _moved(given: Order, orders: Batch) -> NDArray[np.intp]:
    """How many cars each order has moved, of shape (orders,): those outside a longest run that keeps its order.

    >>> _moved((0, 1, 2, 3), np.array([[0, 1, 2, 3], [3, 0, 1, 2], [3, 2, 1, 0]])).tolist()
    [0, 1, 3]
    """
    place = np.argsort(np.array(given, dtype=np.intp))[orders]
    longest = np.ones_like(place)
    for last in range(1, place.shape[1]):
        before = np.where(place[:, :last] < place[:, last : last + 1], longest[:, :last], 0)
        longest[:, last] += before.max(axis=1)
    moved: NDArray[np.intp] = place.shape[1] - longest.max(axis=1)
    return moved
