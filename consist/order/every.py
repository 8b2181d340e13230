"""Every order a yard may make of a train, a batch at a time, one of those that differ only by cars that are alike."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from consist.order.yard import Batch, Order, Yard

__all__ = ["every_order"]

AT_ONCE = 1024


def every_order(yard: Yard, kinds: NDArray[np.intp]) -> Iterator[Batch]:
    """All of them, of shape (orders, cars) each; `kinds` tells by car the first car that it is alike to."""
    orders = _from(yard, tuple(int(kind) for kind in kinds), ())
    while batch := list(itertools.islice(orders, AT_ONCE)):
        made = np.array(batch, dtype=np.intp)
        yield made[yard.allows(made)]


def _from(yard: Yard, kinds: tuple[int, ...], cars: Order) -> Iterator[Order]:
    """Every order that begins with some cars, and a few that ties or whole blocks forbid."""
    if len(cars) == len(yard.start):
        yield cars
        return
    tried: set[tuple[int, int]] = set()
    for car in _next(yard, cars):
        # cars that are alike do not stand for each other where other cars must follow them
        kind = kinds[car], yard.group[car]
        if kind not in tried or yard.follows:
            tried.add(kind)
            yield from _from(yard, kinds, (*cars, car))


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
