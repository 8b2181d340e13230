"""Better standing orders: a start by Lawler's rule, then improvement on the full model.

Source of the start: Lawler (1973), Management Science 19(5), 544-546. A car's cost at a place grows with the drawbar
pull through it, that is, with the resistance of itself and all behind it; filling the places from the head end with
the car that is cheapest there gives the least possible maximum for such costs.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from consist.order.constraints import Section, shifts, swaps
from consist.order.trial import Order, Standing, Trial
from consist.session import CarInTrain

__all__ = ["best_order", "lawler_order"]

LONGEST_CUT = 3
WORTHWHILE = 0.002
"""An order is better only if its worst use is lower by more than this share: less is the trial's coarseness."""
WORST_CARS = 3
"""A search for a better order moves this many of the worst cars, and cars from behind them."""


def lawler_order(cars: Sequence[CarInTrain], parts: Sequence[Section]) -> Order:
    """Each section filled from its head end with the car that bears a given pull best there.

    In the simplified problem a car's use at a pull T is T·C/W (pull-in of a car on a long even curve), whose
    cheapest car is the heaviest for its length, whatever T is.
    """
    order = list(range(len(cars)))
    for part in parts:
        free = [spot for spot in range(part.start, part.stop) if spot not in part.fixed]
        ranked = sorted(free, key=lambda number: (-_density(cars[number]), number))
        for spot, number in zip(free, ranked, strict=True):
            order[spot] = number
    return tuple(order)


def best_order(trial: Trial, cars: Sequence[CarInTrain], parts: Sequence[Section], trials: int) -> Order:
    """The best order found within about so many trials, never worse than the order given."""
    given = tuple(range(len(cars)))
    limit = trial.tried + trials
    best = min((trial.standing(order) for order in (given, lawler_order(cars, parts))), key=lambda s: s.worst)
    while trial.tried < limit:
        better = _improved(trial, best, _near(best, parts), limit, first=True)
        if better is None:
            break
        best = trial.standing(better)
    return best.order


def _improved(trial: Trial, standing: Standing, orders: Iterator[Order], limit: int, *, first: bool) -> Order | None:
    """The first of the orders that is better than what stands, or the best of all of them."""
    best, bar = None, standing.worst * (1.0 - WORTHWHILE)
    for order in orders:
        if trial.tried >= limit:
            break
        worst = trial.below(bar, order, standing)
        if worst is not None:
            best, bar = order, worst
            if first:
                break
    return best


def _near(standing: Standing, parts: Sequence[Section]) -> Iterator[Order]:
    """Orders one step away that change what the worst cars feel, likeliest first.

    A worst car is eased by standing farther back, by heavy cars from behind it standing ahead, or by other
    neighbors.
    """
    order = standing.order
    worst = sorted(range(len(order)), key=lambda place: (-float(standing.uses[order[place]]), place))[:WORST_CARS]
    seen = {order}
    for place in worst:
        for changed in (*shifts(order, place, LONGEST_CUT, parts), *swaps(order, place, parts)):
            if changed not in seen:
                seen.add(changed)
                yield changed
        for behind in range(len(order) - 1, place, -1):
            for changed in shifts(order, behind, 1, parts, ahead_of=place):
                if changed not in seen:
                    seen.add(changed)
                    yield changed


def _density(car: CarInTrain) -> float:
    return car.weight_g / car.car.coupled_length_mm
