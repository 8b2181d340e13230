"""What each further moved car gains: for 1, 2, 3, … cars moved, the best order within reach.

A car counts as moved if it is not in a longest run of cars that keep their order among themselves. Few orders are all
tried; where there are too many, the most promising of one level are carried on to the next.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import inf

from consist.order.constraints import Section, shifts
from consist.order.moves import cars_moved
from consist.order.trial import Order, Standing, Trial

__all__ = ["Step", "frontier"]

KEPT = 8
"""Orders of one level that are carried on to the next where not all can be tried."""
LONGEST_CUT = 3
FEW_CARS = 8
"""Of trains of up to so many cars every order is carried on, so that nothing within reach is left out."""
STEPPING_STONE = 0.1
"""An order this share worse than the one before may still lead to a better one."""
WORTHWHILE = 0.002
"""A further car moved must lower the worst use by this share to be worth it: less is the trial's coarseness."""


@dataclass(frozen=True)
class Step:
    """The best order found with that many cars moved, its worst use in a trial, and whether all were tried."""

    cars_moved: int
    order: Order
    use: float
    proven: bool


def frontier(
    trial: Trial, parts: Sequence[Section], best: Order, trials: int, enough: float = 0.0, most: int | None = None
) -> Iterator[Step]:
    """Steps from the given order toward the best, each better than the one before.

    Ends when the best order's use is reached, when `enough` is, after `most` cars moved, or when about so many
    `trials` are spent; the last step then is the best order itself.
    """
    given = tuple(range(trial.cars))
    target = trial.worst(best)
    limit = trial.tried + trials
    far = cars_moved(given, best)
    start = trial.standing(given)
    reached, all_tried = start.worst, True
    levels: list[dict[Order, float]] = [{given: start.worst}]
    for moved in range(1, far + 1 if most is None else min(far, most) + 1):
        if reached <= max(enough, target * (1.0 + WORTHWHILE)) or trial.tried >= limit:
            break
        found, all_tried = _next_level(trial, parts, levels, moved, limit, all_tried)
        if moved == far:
            found.setdefault(best, target)
        levels.append(found)
        order, use = min(found.items(), key=lambda item: (item[1], item[0]), default=(given, start.worst))
        if use < reached * (1.0 - WORTHWHILE):
            reached = use
            yield Step(moved, order, use, all_tried)
    if target < reached * (1.0 - WORTHWHILE) and reached > enough and (most is None or far <= most):
        yield Step(far, best, target, False)


def _next_level(
    trial: Trial,
    parts: Sequence[Section],
    levels: Sequence[dict[Order, float]],
    moved: int,
    limit: int,
    all_tried: bool,
) -> tuple[dict[Order, float], bool]:
    """Orders with `moved` cars moved, from those of the levels before, and whether all there are were tried."""
    given = tuple(range(trial.cars))
    found: dict[Order, float] = {}
    seen: set[Order] = set()
    for length in range(1, min(LONGEST_CUT, moved) + 1):
        for before in sorted(levels[moved - length], key=lambda order: (levels[moved - length][order], order)):
            known = trial.standing(before)
            bar = inf if trial.cars <= FEW_CARS else (1.0 + STEPPING_STONE) * known.worst
            for order in _one_cut_away(known, length, parts):
                if order in seen or any(order in level for level in levels) or cars_moved(given, order) != moved:
                    continue
                seen.add(order)
                if trial.tried >= limit:
                    return _kept(found, KEPT), False
                worst = trial.below(bar, order, known)
                if worst is not None:
                    found[order] = worst
    few = trial.cars <= FEW_CARS
    return (found if few else _kept(found, KEPT)), all_tried and (few or moved == 1)


def _one_cut_away(known: Standing, length: int, parts: Sequence[Section]) -> Iterator[Order]:
    """Orders in which a cut of so many cars is set in elsewhere, the worst cars' first."""
    order = known.order
    for place in sorted(range(len(order)), key=lambda place: (-float(known.uses[order[place]]), place)):
        yield from shifts(order, place, length, parts, shortest_cut=length)


def _kept(found: dict[Order, float], number: int) -> dict[Order, float]:
    best = sorted(found.items(), key=lambda item: (item[1], item[0]))
    return dict(itertools.islice(best, number))
