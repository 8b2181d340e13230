"""Better orders where they are too many to try: one is improved, then several are cooled side by side.

Simulated annealing at few places. Each order is offered a handful of orders near it, drawn at random, most of them
moving its worst car; the first that is better, or no worse than the heat allows, takes its place. What looks best is
worked out in full again and again, so that the few places grow to those that matter.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from consist.order.evaluator import Floats, Order, Orders
from consist.order.trials import Found, Trials

__all__ = ["scores", "search"]

OFFERED, OFFERED_COOLING = 16, 32
"""So many orders near one are tried at once, where one is improved and where several are cooled."""
IDLE = 30
"""An order is improved until nothing better was offered so often in a row."""
SIDE_BY_SIDE = 4
"""So many orders are cooled at once."""
HOT, COLD = 0.01, 0.0005
"""An order worse by this share is taken in with a chance of 1 in e, at first and at last."""
TRIED_A_CAR = 250
"""One cooling tries so many orders for each car of the train."""
COOLINGS = 3
"""After so many coolings in a row that gain nothing every order near the best is tried."""
LOOKED_AT = 6
"""So often in a cooling what looks best is worked out in full."""
BEST_MET = 8
"""Of the best orders met one after another so many are looked at again."""
KEPT_BACK = 2
"""The last of the budget is kept for so many orders to be worked out in full."""
NO_BETTER = 0.001
"""Orders better by less than this share are no better: less is the tolerance of the full figures."""


def search(trials: Trials, starts: Sequence[Order], seed: int) -> Found:
    """The best order found within the budget, never worse than the first of those to start from, all of them allowed.

    The same seed gives the same order.
    """
    chance = np.random.default_rng(seed)
    found = trials.least([np.array(starts, dtype=np.intp)], Found(starts[0], trials.worst(starts[0])), NO_BETTER)
    found = _improved(trials, found, chance)
    failed = 0
    while found.use > 0.0 and not trials.budget.spent():
        if failed < COOLINGS:
            better = _cooled(trials, found, chance)
        else:
            better = trials.least([trials.neighbours.every(found.order)], found, NO_BETTER)
        if better.order != found.order:
            failed = 0
        elif failed == COOLINGS:
            break
        else:
            failed += 1
        found = better
    return Found(found.order, found.use)


def _improved(trials: Trials, found: Found, chance: np.random.Generator) -> Found:
    """A better order reached by steps each of which is no worse than the one before."""
    while found.use > 0.0:
        crowd = _Crowd(trials, [found.order], chance)
        idle = 0
        while idle < IDLE and _room(trials):
            idle = 0 if crowd.step(0.0, OFFERED) else idle + 1
        places = trials.evaluator.places
        better = crowd.looked_at(found)
        if (better.order == found.order and trials.evaluator.places == places) or trials.budget.spent():
            return better
        found = better
    return found


def _cooled(trials: Trials, found: Found, chance: np.random.Generator) -> Found:
    """The best order met while some are cooled, all starting from the best known."""
    most = min(TRIED_A_CAR * len(found.order), trials.affordable - KEPT_BACK * trials.as_much_as_one_in_full)
    crowd = _Crowd(trials, [found.order] * SIDE_BY_SIDE, chance)
    looked = 1
    while crowd.offered < most and _room(trials):
        done = crowd.offered / most
        crowd.step(HOT * (COLD / HOT) ** done, OFFERED_COOLING)
        if done * LOOKED_AT >= looked:
            looked += 1
            found = crowd.looked_at(found)
    return crowd.looked_at(found)


def _room(trials: Trials) -> bool:
    """Whether the budget has room for more than what is to be worked out in full at last."""
    return not trials.budget.spent() and trials.affordable > KEPT_BACK * trials.as_much_as_one_in_full


class _Crowd:
    """Orders on their way to better ones, one a row, and the best met since they were last looked at in full."""

    def __init__(self, trials: Trials, orders: Sequence[Order], chance: np.random.Generator) -> None:
        self._trials, self._chance = trials, chance
        self._orders: Orders = np.array(orders, dtype=np.intp)
        self.offered = 0
        self._compare_anew()

    def _compare_anew(self) -> None:
        self._uses = self._trials.uses(self._orders)
        self._scores = scores(self._uses)
        self._least = float(self._scores.min())
        self._met: list[Orders] = []

    def step(self, heat: float, count: int) -> bool:
        """Offer each order so many near it, and tell whether one was the best so far."""
        self.offered += count * len(self._orders)
        near = [
            self._trials.neighbours.some(order, self._chance, count, int(np.argmax(uses[order])))
            for order, uses in zip(self._orders, self._uses, strict=True)
        ]
        orders = np.concatenate(near)
        if not len(orders):
            return False
        uses = self._trials.uses(orders)
        met = scores(uses)
        of = np.repeat(np.arange(len(near)), [len(each) for each in near])
        taken = np.flatnonzero(met <= self._scores[of] * (1.0 + self._chance.exponential(heat, len(orders))))
        # of equal numbers `unique` tells the first
        for number, first in zip(*np.unique(of[taken], return_index=True), strict=True):
            self._orders[number], self._uses[number] = orders[taken[first]], uses[taken[first]]
            self._scores[number] = met[taken[first]]
        best = int(np.argmin(met))
        if met[best] >= self._least:
            return False
        self._least = float(met[best])
        self._met.append(orders[best])
        return True

    def looked_at(self, found: Found) -> Found:
        """The best of those met and the one known, worked out in full."""
        places = self._trials.evaluator.places
        found = self._trials.least([np.array([*self._met[-BEST_MET:], *self._orders])], found, NO_BETTER)
        if self._trials.evaluator.places != places:
            self._compare_anew()
        return found


def scores(uses: Floats) -> Floats:
    """What orders are compared by, of shape (orders,): the worst use, raised a little by others that come near it."""
    worst = uses.max(axis=1, keepdims=True)
    share = uses / np.where(worst > 0.0, worst, 1.0)
    for _ in range(5):
        share = share * share
    score: Floats = worst[:, 0] * np.maximum(share.sum(axis=1), 1.0) ** (1.0 / 32.0)
    return score
