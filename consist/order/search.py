"""Better standing orders: a start by Lawler's rule, then improvement on the full model.

Source of the start: Lawler (1973), Management Science 19(5), 544-546. A car's cost at a place grows with the drawbar
pull through it, that is, with the resistance of itself and all behind it; filling the places from the head end with
the car that is cheapest there gives the least possible maximum for such costs.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from consist.order.constraints import Section, shifts
from consist.order.trial import Order, Trial
from consist.session import CarInTrain

__all__ = ["best_order", "few_moves", "lawler_order"]

LONGEST_CUT = 2
WORTHWHILE = 0.002
"""An order is better only if its worst use is lower by more than this share: less is the trial's coarseness."""


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
    start = min((given, lawler_order(cars, parts)), key=trial.worst)
    limit = trial.tried + trials
    best = start
    while trial.tried < limit:
        better = _improve(trial, best, parts, limit)
        if better is None:
            break
        best = better
    return best


def few_moves(
    trial: Trial, cars: Sequence[CarInTrain], parts: Sequence[Section], enough: float, moves: int, trials: int
) -> Order | None:
    """An order with worst use at most `enough` in as few moves as a greedy search finds, or None."""
    order = tuple(range(len(cars)))
    limit = trial.tried + trials
    for _ in range(moves):
        better = _improve(trial, order, parts, limit, first=False)
        if better is None:
            return None
        order = better
        if trial.worst(order) <= enough:
            return order
    return None


def _improve(trial: Trial, order: Order, parts: Sequence[Section], limit: int, first: bool = True) -> Order | None:
    """A better order by one move of the worst car or of a car near it; the first found, or the best of all."""
    uses = trial.uses(order)
    worst = float(uses.max(initial=0.0))
    best, best_use = None, worst * (1.0 - WORTHWHILE)
    for place in _places_to_try(order, uses):
        for changed in shifts(order, place, LONGEST_CUT, parts):
            if trial.tried >= limit:
                return best
            use = trial.worst(changed)
            if use < best_use:
                best, best_use = changed, use
        if best is not None:
            return best
    return best


def _places_to_try(order: Order, uses: np.ndarray[tuple[int], np.dtype[np.float64]]) -> list[int]:
    """The worst car's place, then its neighbors', then those of the next worst cars."""
    ranked = sorted(range(len(order)), key=lambda place: (-float(uses[order[place]]), place))
    near = [ranked[0], ranked[0] + 1, ranked[0] - 1, *ranked[1:4]] if ranked else []
    return [place for place in dict.fromkeys(near) if 0 <= place < len(order)]


def _density(car: CarInTrain) -> float:
    return car.weight_g / car.car.coupled_length_mm
