"""Better orders where they are too many to try: several are cooled side by side.

Simulated annealing at few places. Each order is offered a handful of orders near it, drawn at random, most of them
moving its worst car; of those that are better, or no worse than the heat allows, the one that is so by most takes its
place. Many orders begin and the better half goes on again and again. What looks best is worked out in full now and
then, so that the few places grow to those that matter. Where there is no time for that, one order descends.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from consist.order.neighbours import Neighbours
from consist.order.trials import NO_BETTER, PROVEN_WITHIN, Found, Trials, an_order
from consist.order.yard import Batch, Order

__all__ = ["descended", "search"]

Floats = NDArray[np.float64]

AT_ONCE = 64
"""So many orders are tried at once, shared among those that are cooled."""
MOST_AT_FIRST, FEWEST = 32, 4
"""So many orders are cooled at first where there are as many to start from, and so many at last."""
HALVINGS = 6
"""So often in a cooling the better half goes on, down to the fewest."""
HOT, COLD = 0.015, 0.0005
"""An order worse by this share is taken in with a chance of 1 in e, at first and at last."""
TRIED_A_CAR = 400
"""One cooling tries so many orders for each car of the train at most."""
COOLINGS = 2
"""There is to be time for so many coolings; after as many in a row that gain nothing every order near is tried."""
LOOKED_AT = 6
"""So often in a cooling what looks best is worked out in full."""
BEST_MET = 8
"""Of the best orders met one after another so many are looked at again."""
KEPT_BACK = 2
"""The last of the budget is kept for so many orders to be worked out in full."""
SEED, DRAWN = 1, 300
"""Of the orders near one that descends so many are drawn before all of them are tried."""


def search(trials: Trials, known: Found, starts: Sequence[Order], seed: int) -> Found:
    """The best order found within the budget, never worse than the one known; from it and others the search starts.

    All of them are to be allowed. The same seed gives the same order.
    """
    chance = np.random.default_rng(seed)
    found, failed, coolings = known, 0, 0
    while found.use > 0.0 and not trials.budget.spent():
        if failed < COOLINGS:
            better = _cooled(trials, found, starts if not coolings else (), chance, max(COOLINGS - coolings, 1))
            coolings += 1
        else:
            better = trials.least([trials.neighbours.every(found.order)], found, NO_BETTER)
        if better.order != found.order:
            failed = 0
        elif failed == COOLINGS:
            break
        else:
            failed += 1
        found = better
    return replace(found, proven=False)


def _cooled(trials: Trials, found: Found, starts: Sequence[Order], chance: np.random.Generator, parts: int) -> Found:
    """The best order met while some are cooled in one of so many parts of the budget, the best known among them."""
    begun, kept_back = trials.budget.left, KEPT_BACK * trials.looks_in_full
    whole = (begun - kept_back) / parts
    crowd = _Crowd(trials, [found.order, *starts], chance)
    looked = 1
    while not trials.budget.spent() and trials.budget.left > kept_back:
        most = min(whole, TRIED_A_CAR * len(found.order) * trials.looks_an_order)
        done = (begun - trials.budget.left) / most
        if done >= 1.0:
            break
        crowd.step(done)
        if done * LOOKED_AT >= looked:
            looked += 1
            found = crowd.looked_at(found)
    return crowd.looked_at(found)


class _Crowd:
    """Orders on their way to better ones, one a row, and the best met since they were last looked at in full."""

    def __init__(self, trials: Trials, starts: Sequence[Order], chance: np.random.Generator) -> None:
        self._trials, self._chance = trials, chance
        self._orders: Batch = np.array(starts, dtype=np.intp)
        self._compare_anew()
        self._keep(MOST_AT_FIRST)
        again = np.arange(max(len(self._orders), FEWEST)) % len(self._orders)
        self._orders, self._at_first = self._orders[again], len(again)
        self._compare_anew()

    def _compare_anew(self) -> None:
        self._uses = self._trials.uses(self._orders)
        self._scores = _scores(self._uses)
        self._least = float(self._scores.min())
        self._met: list[Batch] = []

    def _keep(self, count: int) -> None:
        best = np.sort(np.argsort(self._scores, kind="stable")[:count])
        self._orders, self._uses, self._scores = self._orders[best], self._uses[best], self._scores[best]

    def step(self, done: float) -> None:
        """Offer each order some near it, as hot as it is when that share of a cooling is done."""
        heat = HOT * (COLD / HOT) ** done
        self._keep(max(int(np.ceil(self._at_first * 0.5 ** (HALVINGS * done))), FEWEST))
        count = max(AT_ONCE // len(self._orders), 1)
        worst = np.take_along_axis(self._uses, self._orders, axis=1).argmax(axis=1)
        orders, of = self._trials.neighbours.some(self._orders, self._chance, count, worst)
        if not len(orders):
            # where nothing can be moved a step still is work, so that a cooling ends
            self._trials.budget.take(float(orders.shape[1]))
            return
        limits = self._scores[of] * (1.0 + self._chance.exponential(heat, len(orders)))
        # one that comes to its limit is told as it is at some places, which is enough
        uses = self._trials.uses(orders, limits)
        met = _scores(uses)
        taken = np.flatnonzero(met < limits)
        taken = taken[np.argsort(met[taken] / limits[taken], kind="stable")]
        # of equal numbers `unique` tells the first
        numbers, first = np.unique(of[taken], return_index=True)
        taken = taken[first]
        self._orders[numbers], self._uses[numbers], self._scores[numbers] = orders[taken], uses[taken], met[taken]
        best = int(np.argmin(met))
        if met[best] < self._least:
            self._least = float(met[best])
            self._met.append(orders[best])

    def looked_at(self, found: Found) -> Found:
        """The best of those met and the one known, worked out in full."""
        places = self._trials.orders.places
        found = self._trials.least([np.array([*self._met[-BEST_MET:], *self._orders])], found, NO_BETTER)
        if self._trials.orders.places != places:
            self._compare_anew()
        return found


def descended(trials: Trials, found: Found) -> Found:
    """An order that none near it betters, or the one come to when the budget is spent.

    Steps are taken at few places; where they end is worked out in full, by which the few places grow.
    """
    chance = np.random.default_rng(SEED)
    while found.use > 0.0 and not trials.budget.spent():
        order = _lowest_near(trials, found.order, chance)
        use = trials.worst(order)
        if order == found.order or use >= found.use * (1.0 - PROVEN_WITHIN):
            break
        found = Found(order, use)
    return found


def _lowest_near(trials: Trials, order: Order, chance: np.random.Generator) -> Order:
    """Where steps at few places lead from an order, each the best of some drawn near it, or else of all near it."""
    single = Neighbours(trials.yard, trials.orders.kinds, longest_cut=1)
    known = float(_scores(trials.uses(np.array([order], dtype=np.intp)))[0])
    while not trials.budget.spent():
        near = single.every(order)
        chance.shuffle(near)
        for part in (near[:DRAWN], near[DRAWN:]):
            if not len(part):
                return order
            met = _scores(trials.uses(part, known))
            least = int(np.argmin(met))
            if met[least] < known * (1.0 - NO_BETTER):
                order, known = an_order(part[least]), float(met[least])
                break
        else:
            return order
    return order


def _scores(uses: Floats) -> Floats:
    """What orders are compared by, of shape (orders,): the worst use, raised a little by others that come near it."""
    worst = uses.max(axis=1, keepdims=True)
    share = uses / np.where(worst > 0.0, worst, 1.0)
    for _ in range(5):
        share = share * share
    score: Floats = worst[:, 0] * np.maximum(share.sum(axis=1), 1.0) ** (1.0 / 32.0)
    return score
