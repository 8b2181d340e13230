"""The best order of all, where they are few: a search from the rear end that leaves out what cannot be best."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from consist.order.budget import Budget
from consist.order.trial import Order, Trial
from consist.order.yard import Yard

__all__ = ["Found", "best_of_all"]

NO_BETTER = 0.002
"""Orders better by less than this share are left out: less is the trial's coarseness."""


@dataclass
class Found:
    """The best order so far and its worst use, and whether every order was tried or ruled out."""

    order: Order
    use: float
    complete: bool


def best_of_all(rough: Trial, fine: Trial, yard: Yard, known: Order, budget: Budget) -> Found:
    """The best order a yard may make, starting from a known one, within a budget.

    The heads that `rough` looks at are among those of `fine`, so that what is too bad for the one is so for the
    other, and only orders that pass the rough trial are tried finely.

    A tail of cars stands where it stands whatever stands ahead of it; a tail in which a car already is as badly off
    as in the best order known is not gone on with. Of cars that are alike only one sequence is tried.
    """
    search = _Search(rough, fine, yard, budget, Found(known, fine.worst(known), True))
    search.try_whole_orders()
    return search.found


@dataclass
class _Search:
    """A search under way: the best order found so far is in `found`."""

    rough: Trial
    fine: Trial
    yard: Yard
    budget: Budget
    found: Found

    @property
    def bar(self) -> float:
        """What a worst use must be below for an order to be better."""
        return self.found.use * (1.0 - NO_BETTER)

    def try_whole_orders(self) -> None:
        """Behind helpers a tail depends on the whole train, so that only whole orders can be tried."""
        for order in _orders(self.rough, self.yard, ()):
            if self._spent(1.0):
                return
            if self.rough.worst(order) < self.bar:
                self._try_finely(order)

    def _try_finely(self, order: Order) -> None:
        self.budget.take(1.0)
        worst = self.fine.worst(order)
        if worst < self.bar:
            self.found.order, self.found.use = order, worst

    def _spent(self, trials: float) -> bool:
        if self.budget.spent():
            self.found.complete = False
            return True
        self.budget.take(trials)
        return False


def _orders(trial: Trial, yard: Yard, cars: Order) -> Iterator[Order]:
    if len(cars) == trial.cars:
        yield cars
        return
    for car in _next_ahead(trial, yard, cars):
        yield from _orders(trial, yard, (car, *cars))


def _next_ahead(trial: Trial, yard: Yard, cars: Order) -> list[int]:
    """The cars that may stand directly ahead of the tail `cars`."""
    place = trial.cars - len(cars) - 1
    pinned_here = yard.start[place]
    if pinned_here in yard.pinned:
        fits = [pinned_here] if _group_fits(yard, pinned_here, cars) else []
    else:
        left = [car for car in yard.start if car not in cars and car not in yard.pinned]
        fits = [car for car in left if _group_fits(yard, car, cars) and not _twin_before(trial, yard, car, left)]
    return [car for car in fits if _ties_fit(yard, car, cars)]


def _group_fits(yard: Yard, car: int, cars: Order) -> bool:
    """Whether a car's group may stand there: the foremost group goes on until its cars are used up."""
    group = yard.group[car]
    if cars and yard.group[cars[0]] != group:
        foremost = yard.group[cars[0]]
        if sum(yard.group[other] == foremost for other in cars) < yard.group.count(foremost):
            return False
    if yard.free_blocks:
        return True
    last_left = next(other for other in reversed(yard.start) if other not in cars)
    return yard.group[last_left] == group


def _ties_fit(yard: Yard, car: int, cars: Order) -> bool:
    """Whether ties hold with the car directly ahead of the tail."""
    needs = yard.follows.get(car)
    if needs is not None and (not cars or cars[0] != needs):
        return False
    waiting = next((ahead for ahead, behind in yard.follows.items() if cars and behind == cars[0]), None)
    return waiting is None or waiting == car


def _twin_before(trial: Trial, yard: Yard, car: int, left: list[int]) -> bool:
    """Whether a car just like this one, of its group, is to stand behind it first."""
    return any(
        other > car and yard.group[other] == yard.group[car] and trial.alike(car, other) and not yard.follows
        for other in left
    )
