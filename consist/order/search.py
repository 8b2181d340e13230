"""Better standing orders where they are too many to try: starts by Lawler's rule, then improvement on the full model.

Source of the starts: Lawler (1973), Management Science 19(5), 544-546. A car's cost at a place grows with the drawbar
pull through it, that is, with the resistance of itself and all behind it; filling the places from the head end with
the car that is cheapest there gives the least possible maximum for such costs.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence

from consist.order.budget import Budget
from consist.order.exact import NO_BETTER, Found
from consist.order.trial import Order, Standing, Trial
from consist.order.yard import Yard
from consist.session import CarInTrain

__all__ = ["by_cost", "lawler_order", "search"]

LONGEST_CUT = 3
SHAKES = 8
"""After so many shaken orders in a row that lead to nothing better the search ends."""
SHAKEN_CUTS = 3
"""How many cuts a shaken order has moved at random."""


def by_cost(yard: Yard, order: Order, cost: Sequence[float]) -> Order:
    """Each group's free places filled from its head end with the car of least cost; ties are left as they are."""
    changed = list(order)
    place = 0
    while place < len(order):
        stop = place
        while stop < len(order) and yard.group[order[stop]] == yard.group[order[place]]:
            stop += 1
        free = [spot for spot in range(place, stop) if order[spot] not in yard.pinned]
        ranked = sorted((order[spot] for spot in free), key=lambda car: (cost[car], car))
        for spot, car in zip(free, ranked, strict=True):
            changed[spot] = car
        place = stop
    found = tuple(changed)
    return found if yard.allowed(found) else order


def lawler_order(yard: Yard, cars: Sequence[CarInTrain]) -> Order:
    """The order by Lawler's rule in the simplified problem, in which a car's use at a pull T is T·C/W.

    That is the pull-in of a car on a long even curve. Whatever T is, the cheapest car is the heaviest for its length.
    """
    return by_cost(yard, yard.start, [car.car.coupled_length_mm / car.weight_g for car in cars])


def search(
    trial: Trial, yard: Yard, cars: Sequence[CarInTrain], known: Sequence[Order], budget: Budget, seed: int
) -> Found:
    """The best order found within a budget, never worse than the best of those `known`."""
    chance = random.Random(seed)
    best = min((_tried(trial, order, budget) for order in _starts(yard, cars, known)), key=_by_worst)
    # a car's cost is better known from the train it stands in than from its length and weight
    again = by_cost(yard, best.order, _costs(best, cars))
    best = min((best, _tried(trial, again, budget)), key=_by_worst)
    best = _improved(trial, yard, best, budget)
    failed = 0
    while failed < SHAKES and not budget.spent():
        shaken = _improved(trial, yard, _tried(trial, _shaken(yard, best, chance), budget), budget)
        failed += 1
        if shaken.worst < best.worst * (1.0 - NO_BETTER):
            best, failed = shaken, 0
    return Found(best.order, best.worst, False)


def _starts(yard: Yard, cars: Sequence[CarInTrain], known: Sequence[Order]) -> list[Order]:
    starts = [*known, yard.start, lawler_order(yard, cars)]
    starts.extend(by_cost(yard, order, _pull_in(cars)) for order in _few(yard.block_orders(yard.start), 24))
    return list(dict.fromkeys(starts))


def _few(orders: Iterator[Order], number: int) -> list[Order]:
    return [order for order, _ in zip(orders, range(number), strict=False)]


def _pull_in(cars: Sequence[CarInTrain]) -> list[float]:
    return [car.car.coupled_length_mm / car.weight_g for car in cars]


def _costs(standing: Standing, cars: Sequence[CarInTrain]) -> list[float]:
    """By car, its use for each gram that runs behind it or in it."""
    costs, behind = [0.0] * len(cars), 0.0
    for car in reversed(standing.order):
        behind += cars[car].weight_g
        costs[car] = float(standing.uses[car]) / behind
    return costs


def _tried(trial: Trial, order: Order, budget: Budget) -> Standing:
    budget.take(1.0)
    return trial.standing(order)


def _by_worst(standing: Standing) -> tuple[float, Order]:
    return standing.worst, standing.order


def _improved(trial: Trial, yard: Yard, standing: Standing, budget: Budget) -> Standing:
    """The order improved step by step until no order near it is better."""
    while True:
        better = _first_better(trial, yard, standing, budget)
        if better is None:
            return standing
        standing = _tried(trial, better, budget)


def _first_better(trial: Trial, yard: Yard, standing: Standing, budget: Budget) -> Order | None:
    bar = standing.worst * (1.0 - NO_BETTER)
    for order in _near(yard, standing):
        if budget.spent():
            return None
        budget.take(0.5)
        if trial.below(bar, order, standing) is not None:
            return order
    return None


def _near(yard: Yard, standing: Standing) -> Iterator[Order]:
    """Orders near one that change what its worst car feels, likeliest first.

    What stands ahead of a car is nothing to it, but for its neighbour. So the worst car is eased by standing farther
    back, by cars from behind it standing ahead, or by other neighbours, and by nothing else.
    """
    order = standing.order
    place = max(range(len(order)), key=lambda spot: (standing.uses[order[spot]], -spot))
    seen = {order}
    for changed in _moves_easing(yard, order, place):
        if changed not in seen:
            seen.add(changed)
            yield changed


def _moves_easing(yard: Yard, order: Order, place: int) -> Iterator[Order]:
    cuts = list(yard.cuts(order, place, (1, 2, 3)))
    yield from sorted(cuts, key=lambda changed: -changed.index(order[place]))
    yield from yard.swaps(order, place)
    for neighbour in (place + 1, place - 1):
        if 0 <= neighbour < len(order):
            yield from yard.swaps(order, neighbour)
    for behind in range(place + 1, len(order)):
        for changed in yard.cuts(order, behind, (1, 2)):
            if changed.index(order[place]) > place:
                yield changed
    yield from yard.block_orders(order)


def _shaken(yard: Yard, standing: Standing, chance: random.Random) -> Order:
    """The order with some cuts moved at random, more often those near its worst car."""
    order = standing.order
    for _ in range(SHAKEN_CUTS):
        place = chance.randrange(len(order))
        changed = list(yard.cuts(order, place, (chance.randint(1, LONGEST_CUT),)))
        if changed:
            order = chance.choice(changed)
    return order
