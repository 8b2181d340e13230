"""What each further moved car gains: for 1, 2, 3, … cars moved, the best order within reach.

A car counts as moved if it is not in a longest run of cars that keep their order among themselves. Few orders are all
tried; where there are too many, the most promising of one level are carried on to the next.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from math import inf

from consist.order.budget import Budget
from consist.order.exact import NO_BETTER, Found
from consist.order.moves import cars_moved
from consist.order.trial import Order, Standing, Trial
from consist.order.yard import Yard

__all__ = ["Step", "frontier"]

FEW_CARS = 8
"""Of trains of up to so many cars every order is carried on, so that nothing within reach is left out."""
KEPT = 8
"""Orders of one level that are carried on to the next where not all are."""
STEPPING_STONE = 0.1
"""An order this share worse than the one before may still lead to a better one."""
LONGEST_CUT = 3


@dataclass(frozen=True)
class Step:
    """The best order found with that many cars moved at most, its worst use in a trial, whether all were tried."""

    cars_moved: int
    order: Order
    use: float
    proven: bool


def frontier(
    trial: Trial, yard: Yard, given: Order, best: Found, budget: Budget, enough: float = 0.0
) -> Iterator[Step]:
    """Steps from the given order toward the best, each better than the one before.

    Ends when the best order's use or `enough` is reached or the budget is spent; the best order is the last step
    where nothing nearer is as good. A step as good as the proven best is proven too.
    """
    far = cars_moved(given, best.order)
    start = trial.standing(given)
    levels: list[dict[Order, float]] = [{given: start.worst}]
    reached = start.worst if yard.allowed(given) else inf
    all_tried = True
    for moved in range(1, far + 1):
        if reached <= max(enough, best.use * (1.0 + NO_BETTER)) or budget.spent():
            break
        found, all_tried = _next_level(trial, yard, given, levels, moved, budget, all_tried)
        levels.append(found)
        step = _best_step(yard, found, best, moved, far, all_tried)
        if step is not None and step.use < reached * (1.0 - NO_BETTER):
            reached = step.use
            yield step
    if best.use < reached * (1.0 - NO_BETTER) and reached > enough:
        yield Step(far, best.order, best.use, False)


def _best_step(
    yard: Yard, found: dict[Order, float], best: Found, moved: int, far: int, all_tried: bool
) -> Step | None:
    """The best allowed order of a level, the best order of all among them where it is of this level."""
    candidates = {order: use for order, use in found.items() if yard.allowed(order)}
    if moved == far:
        candidates.setdefault(best.order, best.use)
    if not candidates:
        return None
    order, use = min(candidates.items(), key=lambda item: (item[1], item[0]))
    return Step(moved, order, use, all_tried or (best.complete and use <= best.use * (1.0 + NO_BETTER)))


def _next_level(
    trial: Trial,
    yard: Yard,
    given: Order,
    levels: list[dict[Order, float]],
    moved: int,
    budget: Budget,
    all_tried: bool,
) -> tuple[dict[Order, float], bool]:
    """Orders with `moved` cars moved, from those of the levels before, and whether all there are were tried."""
    found: dict[Order, float] = {}
    seen: set[Order] = set(itertools.chain.from_iterable(levels))
    few = trial.cars <= FEW_CARS
    for length in range(1, min(LONGEST_CUT, moved) + 1):
        level = levels[moved - length]
        for before in sorted(level, key=lambda order: (level[order], order)):
            known = trial.standing(before)
            bar = inf if few else (1.0 + STEPPING_STONE) * known.worst
            for order in _one_cut_away(yard, known, length):
                if order in seen or cars_moved(given, order) != moved:
                    continue
                seen.add(order)
                if budget.spent():
                    return _kept(found), False
                budget.take(0.7)
                worst = trial.below(bar, order, known)
                if worst is not None:
                    found[order] = worst
    return (found if few else _kept(found)), all_tried and (few or moved == 1)


def _one_cut_away(yard: Yard, known: Standing, length: int) -> Iterator[Order]:
    """Orders in which a cut of so many cars is set in elsewhere, the worst cars' first; then whole blocks moved."""
    order = known.order
    for place in sorted(range(len(order)), key=lambda place: (-float(known.uses[order[place]]), place)):
        yield from yard.cuts(order, place, (length,))
    yield from yard.block_orders(order)


def _kept(found: dict[Order, float]) -> dict[Order, float]:
    best = sorted(found.items(), key=lambda item: (item[1], item[0]))
    return dict(best[:KEPT])
