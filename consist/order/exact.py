"""The best order of all, where they are few: a search from the rear end that leaves out what cannot be best."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from consist.order.budget import Budget
from consist.order.trial import Order, Tail, Trial
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


def best_of_all(trial: Trial, yard: Yard, known: Order, budget: Budget) -> Found:
    """The best order a yard may make, starting from a known one, within a budget.

    A tail of cars stands where it stands whatever stands ahead of it; a tail in which a car already is as badly off
    as in the best order known is not gone on with. Of cars that are alike only one sequence is tried.
    """
    found = Found(known, trial.worst(known), True)
    if trial.has_helper:
        _try_whole_orders(trial, yard, found, budget)
    else:
        _go_on(trial, yard, trial.empty(), (), found, budget)
    return found


def _go_on(trial: Trial, yard: Yard, tail: Tail, cars: Order, found: Found, budget: Budget) -> None:
    """Try every order that ends in `cars`, of which `tail` is worked out."""
    if tail.worst >= found.use * (1.0 - NO_BETTER):
        return
    if len(cars) == trial.cars:
        worst = trial.closed(tail).worst
        if worst < found.use * (1.0 - NO_BETTER):
            found.order, found.use = cars, worst
        return
    longer = []
    for car in _next_ahead(trial, yard, cars):
        if budget.spent():
            found.complete = False
            return
        budget.take(1.0 / trial.cars)
        longer.append((trial.extended(tail, car), car))
    # the least harmed tail first, so that a good order is found early and rules out more
    for further, car in sorted(longer, key=lambda pair: (pair[0].worst, pair[1])):
        _go_on(trial, yard, further, (car, *cars), found, budget)


def _try_whole_orders(trial: Trial, yard: Yard, found: Found, budget: Budget) -> None:
    """Behind helpers a tail depends on the whole train, so that only whole orders can be tried."""
    for order in _orders(trial, yard, ()):
        if budget.spent():
            found.complete = False
            return
        budget.take(1.0)
        worst = trial.worst(order)
        if worst < found.use * (1.0 - NO_BETTER):
            found.order, found.use = order, worst


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
