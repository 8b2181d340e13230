"""What each further moved car gains: for 1, 2, 3, … cars moved, the best order within reach.

A car counts as moved if it is not in a longest run of cars that keep their order among themselves. From the train as
it stands, and then from the most promising orders with so many cars moved, every order near them is tried and goes to
those with as many cars moved as it has; so do the steps between the train and the best order known. Where few cars
are moved and there is room for it nothing is left out. Where there is room for little each number of cars moved has
its share of it: then orders near the most promising one are drawn at random, most of them moving its worst car.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import inf

import numpy as np
from numpy.typing import NDArray

from consist.order.evaluator import Floats, Order, Orders
from consist.order.moves import cars_moved, moves_between
from consist.order.trials import Found, Trials

__all__ = ["Step", "frontier"]

NO_BETTER = 0.001
"""Orders better by less than this share are no better: less is the tolerance of the full figures."""
PROVEN_WITHIN = 0.005
"""How close a proof is: the tolerance of the full figures."""
CARRIED_ON = 6
"""So many orders with as many cars moved are carried on to more, where not all are."""
ALL_UP_TO = 2
"""Up to so many cars moved all orders are tried where there is room for them."""
WORKED_OUT = 3
"""So many of the most promising orders of each number of cars moved are worked out in full."""
FOR_TRIALS = 0.5
"""So much of the budget goes to trials, the rest to working out in full what they find."""
NONE = np.full(CARRIED_ON, inf)
SEED = 1
"""Of what is drawn at random."""
PLENTY = 10
"""Steps are sought back from the best order too where there is room for so many times the cars moved, squared."""
AT_ONCE = 256
"""So many orders are tried between two looks at the budget."""


@dataclass(frozen=True)
class Step:
    """The best order found with that many cars moved at most, its worst use in full, and whether that is proven."""

    cars_moved: int
    order: Order
    use: float
    proven: bool


def frontier(trials: Trials, given: Order, best: Found, enough: float = 0.0) -> Iterator[Step]:
    """Steps from the given order toward the best, each better than the one before.

    Ends when the best order's use or `enough` is reached or the budget is spent; the best order is the last step
    where nothing nearer is as good.
    """
    reached = trials.worst(given) if trials.yard.allowed(given) else inf
    search = _Levels(trials, given, best)
    most = cars_moved(given, best.order)
    for moved in range(1, most + 1):
        if reached <= max(enough, best.use * (1.0 + NO_BETTER)) or trials.budget.spent():
            break
        search.go_on_to(moved, most - moved + 1)
        found = search.best_with(moved, reached)
        if found is not None and found.use < reached * (1.0 - NO_BETTER):
            reached = found.use
            proven = found.proven or (best.proven and found.use <= best.use * (1.0 + PROVEN_WITHIN))
            yield Step(cars_moved(given, found.order), found.order, found.use, proven)
    if best.use < reached * (1.0 - NO_BETTER) and reached > enough:
        yield Step(cars_moved(given, best.order), best.order, best.use, best.proven)


class _Levels:
    """Orders met so far by how many cars they have moved, with their worst use at few places."""

    def __init__(self, trials: Trials, given: Order, best: Found) -> None:
        self._trials, self._given, self._best = trials, given, best
        self._orders: dict[int, list[Orders]] = {0: [np.array([given], dtype=np.intp)]}
        self._floors: dict[int, list[Floats]] = {0: [trials.floors(self._orders[0][0])]}
        self._most_promising: dict[int, Floats] = {}
        self._seen: set[bytes] = {self._orders[0][0].tobytes()}
        self._all: dict[int, bool] = {0: True}
        self._chance = np.random.default_rng(SEED)
        self._take(_toward(trials, given, best.order))

    def go_on_to(self, moved: int, left: int) -> None:
        """Try orders near those with one car moved less: all of them, or the most promising.

        `left` is for how many numbers of cars moved the budget is to do, this one among them.
        """
        orders, floors = self._level(moved - 1)
        self._all[moved] = self._all[moved - 1] and moved <= ALL_UP_TO and self._affordable(len(orders))
        room = int(FOR_TRIALS * self._trials.affordable / left)
        carried = len(orders) if self._all[moved] else min(CARRIED_ON, max(room // self._near, 1))
        for number in np.argsort(floors, kind="stable")[:carried]:
            order = tuple(int(car) for car in orders[number])
            if self._all[moved] or room >= self._near or moved == 1:
                near = self._trials.neighbours.every(order)
            else:
                uses = self._trials.uses(orders[number][None, :])[0]
                worst = order.index(int(np.argmax(uses)))
                near = self._trials.neighbours.some(order, self._chance, room, worst)
            if not self._take(near):
                self._all[moved] = False
                break

    def best_with(self, moved: int, reached: float) -> Found | None:
        """The best order with as many cars moved, worked out in full; proven where all there are were tried."""
        orders, floors = self._level(moved)
        may = self._trials.yard.allows(orders)
        orders, floors = orders[may], floors[may]
        if not len(orders):
            return None
        by_floor = np.argsort(floors, kind="stable")
        first = tuple(int(car) for car in orders[by_floor[0]])
        known = Found(first, self._trials.worst(first))
        if self._all[moved] and known.use < reached:
            return self._trials.least([orders], known, PROVEN_WITHIN)
        return replace(self._trials.least([orders[by_floor[:WORKED_OUT]]], known, NO_BETTER), proven=False)

    @property
    def _near(self) -> int:
        """About how many orders are near one."""
        return 3 * len(self._given) ** 2

    @property
    def _limits(self) -> Floats:
        """By cars moved, the use at which an order is neither carried on nor better than those with fewer moved."""
        levels = range(len(self._given) + 1)
        sixth = [self._most_promising.get(number, NONE)[-1] for number in levels]
        sixth[0] = float(self._floors[0][0][0])
        limits: Floats = np.minimum.accumulate(sixth)
        return limits

    def _affordable(self, orders: int) -> bool:
        return orders * self._near < FOR_TRIALS * self._trials.affordable

    def _level(self, moved: int) -> tuple[Orders, Floats]:
        count = len(self._given)
        parts, floors = self._orders.get(moved, []), self._floors.get(moved, [])
        none = np.zeros((0, count), dtype=np.intp), np.zeros(0)
        return (np.concatenate(parts), np.concatenate(floors)) if parts else none

    def _take(self, orders: Orders) -> bool:
        """Take in orders not seen yet; whether there was room for all of them."""
        by_key = {order.tobytes(): row for row, order in reversed(list(enumerate(orders)))}
        fresh = orders[sorted(row for key, row in by_key.items() if key not in self._seen)]
        for start in range(0, len(fresh), AT_ONCE):
            if self._trials.budget.spent():
                return False
            part = fresh[start : start + AT_ONCE]
            self._seen.update(order.tobytes() for order in part)
            moved = _moved(self._given, part)
            floors = self._trials.floors(part, self._limits[moved])
            for number in np.unique(moved).tolist():
                both = np.concatenate((self._most_promising.get(number, NONE), floors[moved == number]))
                self._most_promising[number] = np.sort(both)[:CARRIED_ON]
                self._orders.setdefault(number, []).append(part[moved == number])
                self._floors.setdefault(number, []).append(floors[moved == number])
        return True


def _toward(trials: Trials, given: Order, best: Order) -> Orders:
    """Orders between the given one and the best: cars of its moves moved one after another, the likeliest first."""
    moving = [car for move in moves_between(given, best) for car in move.cars]
    made: list[Order] = []
    done: list[int] = []
    while len(done) < len(moving) and not trials.budget.spent():
        tries = [(*done, car) for car in moving if car not in done]
        orders = np.array([_moved_as_in(given, best, frozenset(cars)) for cars in tries], dtype=np.intp)
        floors = trials.floors(orders)
        likeliest = int(np.argmin(floors))
        done = list(tries[likeliest])
        made.append(tuple(int(car) for car in orders[likeliest]))
    left = list(moving) if trials.affordable > PLENTY * len(moving) ** 2 else []
    while len(left) > 1 and not trials.budget.spent():
        tries = [tuple(other for other in left if other != car) for car in left]
        orders = np.array([_moved_as_in(given, best, frozenset(cars)) for cars in tries], dtype=np.intp)
        likeliest = int(np.argmin(trials.floors(orders)))
        left = list(tries[likeliest])
        made.append(tuple(int(car) for car in orders[likeliest]))
    made.append(best)
    orders = np.array(made, dtype=np.intp)
    return orders[trials.yard.allows(orders)]


def _moved_as_in(given: Order, best: Order, cars: frozenset[int]) -> Order:
    """The given order with some cars set in behind those they stand behind in the best one.

    >>> _moved_as_in((0, 1, 2, 3), (3, 1, 2, 0), frozenset({0}))
    (1, 2, 0, 3)
    """
    order = [car for car in given if car not in cars]
    for place, car in enumerate(best):
        if car in cars:
            ahead = next((other for other in reversed(best[:place]) if other in order), None)
            order.insert(0 if ahead is None else order.index(ahead) + 1, car)
    return tuple(order)


def _moved(given: Order, orders: Orders) -> NDArray[np.intp]:
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
