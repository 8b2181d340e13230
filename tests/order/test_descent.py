"""How orders are cooled: which go on, how hot, how many are offered, what is taken and what is looked at again.

On a made-up cost of each car in each place, so that what is best is known by looking, and on made-up draws.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import ceil
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
from builders import car, spot
from numpy.typing import NDArray

from consist.order import descent, yard_of
from consist.order.budget import Budget
from consist.order.descent import _cooled, _Crowd, _scores, descended, search
from consist.order.neighbours import Neighbours
from consist.order.trials import NO_BETTER, Found, Trials
from consist.order.yard import Batch, Order

__all__: list[str] = []

Floats = NDArray[np.float64]
CARS = 8


@dataclass
class _Made:
    """Trials of a train whose cars cost so much in each place; an order tried at few places is a look at each car,
    and what is worked out in full is no work."""

    budget: Budget = field(default_factory=lambda: Budget(1e9))
    looks_an_order: float = float(CARS)
    looks_in_full: float = 40.0
    grows: bool = False
    seed: int = 0

    def __post_init__(self) -> None:
        self.yard = yard_of("T", [spot(car(f"C{k}"), k + 1) for k in range(CARS)])
        self.neighbours = Neighbours(self.yard, np.arange(CARS))
        self.orders = SimpleNamespace(places=3, kinds=np.arange(CARS))
        self.cost = np.random.default_rng(self.seed).random((CARS, CARS))
        self.tried, self.looked_at = 0, list[list[Order]]()

    def uses(self, orders: Batch, limits: object = None) -> Floats:
        self.tried += len(orders)
        self.budget.take(float(orders.size))
        uses = np.empty(orders.shape)
        for row, order in enumerate(orders.tolist()):
            uses[row, order] = self.cost[order, np.arange(CARS)]
        return uses

    def worst(self, order: Order) -> float:
        return float(self.cost[list(order), np.arange(CARS)].max())

    def least(self, orders: Iterable[Batch], found: Found, within: float) -> Found:
        told = [tuple(row.tolist()) for batch in orders for row in batch]
        self.looked_at.append(told)
        if self.grows:
            self.orders.places += 1
        assert within == NO_BETTER
        best = min(told, key=self.worst)
        return Found(best, self.worst(best)) if self.worst(best) < found.use else found


class _Draws:
    """Draws of nothing, which tell how they were asked for."""

    def __init__(self, drawn: float = 0.0) -> None:
        self.heats: list[float] = []
        self._drawn = drawn

    def exponential(self, scale: float, size: int) -> Floats:
        self.heats.append(scale)
        return np.full(size, self._drawn)


@dataclass
class _Offers:
    """Neighbours that offer what they are told to, and tell what they were asked for."""

    offered: Sequence[tuple[int, Order]] = ()
    asked: list[tuple[int, int, list[int]]] = field(default_factory=list)

    def some(
        self, orders: Batch, chance: object, count: int, near: NDArray[np.intp]
    ) -> tuple[Batch, NDArray[np.intp]]:
        self.asked.append((len(orders), count, near.tolist()))
        made = np.array([order for _, order in self.offered], dtype=np.intp).reshape(-1, CARS)
        return made, np.array([number for number, _ in self.offered], dtype=np.intp)


def trials(**how: Any) -> Any:
    """Made-up trials, which pass for those of a train."""
    return _Made(**how)


def drawn_orders(count: int, seed: int = 1) -> list[Order]:
    chance = np.random.default_rng(seed)
    return [tuple(chance.permutation(CARS).tolist()) for _ in range(count)]


def crowd(of: Any, starts: Sequence[Order], chance: object = None) -> Any:
    return _Crowd(cast(Trials, of), starts, cast(np.random.Generator, chance or _Draws()))


def score(of: Any, order: Order) -> float:
    return float(_scores(of.uses(np.array([order])))[0])


def test_a_score_is_the_worst_use_raised_a_little_by_those_near_it() -> None:
    told = _scores(np.array([[1.0, 1.0, 0.0], [0.5, 1.0, 0.25], [0.0, 0.0, 0.0], [3.0, 2.9, 2.8]]))
    by_hand = [2.0 ** (1 / 32), (1.0 + 0.5**32 + 0.25**32) ** (1 / 32), 0.0, 0.0]
    by_hand[3] = 3.0 * (1.0 + (2.9 / 3.0) ** 32 + (2.8 / 3.0) ** 32) ** (1 / 32)
    assert told == pytest.approx(by_hand)


def test_the_best_of_many_begin() -> None:
    of, starts = trials(), drawn_orders(40)
    best = sorted(range(40), key=lambda number: score(of, starts[number]))[:32]
    begun = crowd(of, starts)
    assert [tuple(row) for row in begun._orders.tolist()] == [starts[number] for number in sorted(best)]
    assert begun._scores == pytest.approx([score(of, starts[number]) for number in sorted(best)])
    assert begun._uses == pytest.approx(of.uses(begun._orders))
    assert begun._least == begun._scores.min()


def test_few_begin_more_than_once() -> None:
    one, other = drawn_orders(2)
    assert [tuple(row) for row in crowd(trials(), [one, other])._orders.tolist()] == [one, other, one, other]


def test_the_better_half_goes_on_and_more_is_offered_to_each_as_the_heat_falls() -> None:
    of, draws = trials(), _Draws()
    of.neighbours = _Offers([(0, drawn_orders(1)[0])])
    cooling = crowd(of, drawn_orders(32), draws)
    shares = [0.0, 1 / 6, 1 / 3, 0.45, 1 / 2, 1.0]
    for done in shares:
        cooling.step(done)
    counts = [max(ceil(32 * 0.5 ** (6 * done)), 4) for done in shares]
    assert counts == [32, 16, 8, 5, 4, 4]
    assert [(each, offered) for each, offered, _ in of.neighbours.asked] == [(n, 64 // n) for n in counts]
    assert draws.heats == pytest.approx([0.015 * (0.0005 / 0.015) ** done for done in shares])


def test_of_many_orders_each_is_offered_one_at_least(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(descent, "MOST_AT_FIRST", 100)
    of = trials()
    of.neighbours = _Offers()
    crowd(of, drawn_orders(100)).step(0.0)
    assert of.neighbours.asked[0][:2] == (100, 1)


def test_moves_are_sought_near_the_worst_car() -> None:
    of = trials()
    of.neighbours = _Offers()
    starts = drawn_orders(4)
    crowd(of, starts).step(0.0)
    worst = [int(np.argmax(of.cost[list(order), np.arange(CARS)])) for order in starts]
    assert of.neighbours.asked[0][2] == worst


def test_where_nothing_can_be_moved_a_step_is_work_all_the_same() -> None:
    of = trials()
    of.neighbours = _Offers()
    cooling = crowd(of, drawn_orders(4))
    before, orders = of.budget.left, cooling._orders.copy()
    cooling.step(0.0)
    assert of.budget.left == before - CARS
    assert (cooling._orders == orders).all()


def ranked(of: Any) -> list[Order]:
    """Orders from the best to the worst."""
    return sorted(drawn_orders(30, seed=4), key=lambda order: score(of, order))


@pytest.mark.parametrize("rising", [False, True])
def test_of_those_offered_the_best_takes_its_place_if_it_is_better(rising: bool) -> None:
    of = trials()
    orders = ranked(of)
    starts = [orders[5], orders[9], orders[2], orders[15]]
    offered = [(0, orders[4]), (0, orders[1]), (0, orders[3]), (1, orders[12]), (2, orders[8]), (3, orders[14])]
    of.neighbours = _Offers(offered[::-1] if rising else offered)
    cooling = crowd(of, starts)
    cooling.step(0.0)
    assert [tuple(row) for row in cooling._orders.tolist()] == [orders[1], orders[9], orders[2], orders[14]]
    assert cooling._uses == pytest.approx(of.uses(cooling._orders))
    assert cooling._scores == pytest.approx(_scores(cooling._uses))
    assert [tuple(row.tolist()) for row in cooling._met] == [orders[1]]
    assert cooling._least == pytest.approx(score(of, orders[1]))


def test_a_worse_one_is_taken_where_the_heat_allows_it_and_is_not_what_was_best() -> None:
    of = trials()
    orders = ranked(of)
    of.neighbours = _Offers([(0, orders[6]), (1, orders[29])])
    for drawn, first in ((0.0, 5), (score(of, orders[6]) / score(of, orders[5]) - 0.999, 6)):
        cooling = crowd(of, [orders[5], orders[0], orders[7], orders[8]], _Draws(drawn))
        cooling.step(0.5)
        assert [tuple(row) for row in cooling._orders.tolist()] == [orders[at] for at in (first, 0, 7, 8)]
        assert cooling._met == []


def test_what_is_looked_at_again_are_the_last_best_and_where_orders_stand() -> None:
    of = trials()
    starts = drawn_orders(4)
    cooling = crowd(of, starts)
    cooling._met = [np.array(order) for order in drawn_orders(11, seed=9)]
    known = Found(starts[0], 1e9)
    found = cooling.looked_at(known)
    assert of.looked_at[-1] == [*drawn_orders(11, seed=9)[-8:], *starts]
    assert found.order == min(of.looked_at[-1], key=of.worst)
    assert len(cooling._met) == 11
    # the few places have grown: what was thought of the orders holds no more
    of.grows, before = True, of.tried
    of.cost = of.cost[::-1]
    cooling.looked_at(known)
    assert (cooling._met, of.tried) == ([], before + 4)
    assert cooling._scores == pytest.approx([score(of, order) for order in starts])


@pytest.mark.parametrize(("looks", "parts", "orders"), [(1e9, 1, 400 * CARS), (26e3, 1, 3000), (26e3, 2, 1500)])
def test_a_cooling_takes_its_part_of_the_budget_and_no_more(looks: float, parts: int, orders: int) -> None:
    """400 orders a car at most, else its part less two orders in full: 24,000 looks or half of them."""
    of = trials(budget=Budget(looks), looks_in_full=1000.0)
    start = drawn_orders(1)[0]
    found = _cooled(cast(Trials, of), Found(start, of.worst(start)), (), np.random.default_rng(3), parts)
    assert orders <= of.tried < orders + 64
    assert len(of.looked_at) == 6
    assert found.use < of.worst(start)


def test_a_cooling_ends_with_its_budget() -> None:
    of = trials(budget=Budget(2000.0))
    start = drawn_orders(1)[0]
    of.looks_an_order = 1000.0  # what it takes proves to be less
    _cooled(cast(Trials, of), Found(start, of.worst(start)), (), np.random.default_rng(3), 1)
    assert 2 * of.looks_in_full - 64 * CARS < of.budget.left <= 2 * of.looks_in_full


def found_by(steps: Sequence[float], budget: Budget) -> tuple[list[tuple[int, int]], Any]:
    """What coolings of a search were asked for, by parts of the budget and starts, and what was found."""
    asked: list[tuple[int, int]] = []
    gains = iter(steps)

    def cooled(of: Any, found: Found, starts: Sequence[Order], chance: object, parts: int) -> Found:
        asked.append((parts, len(starts)))
        gain = next(gains)
        return Found((*found.order, len(asked)), found.use - gain, True) if gain else found

    def least(orders: Iterable[Batch], found: Found, within: float) -> Found:
        asked.append((0, len([*orders])))
        gain = next(gains)
        return Found((*found.order, len(asked)), found.use - gain, True) if gain else found

    of = SimpleNamespace(budget=budget, least=least, neighbours=SimpleNamespace(every=lambda order: order))
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(descent, "_cooled", cooled)
        found = search(cast(Trials, of), Found((0,), 1.0, True), [(1,), (2,)], 5)
    return asked, found


def test_a_search_ends_where_two_coolings_and_all_that_is_near_gain_nothing() -> None:
    asked, found = found_by([0.0, 0.0, 0.0], Budget(1e9))
    assert asked == [(2, 2), (1, 0), (0, 1)]
    assert (found.order, found.proven) == ((0,), False)


def test_what_gains_anything_begins_the_count_anew() -> None:
    asked, found = found_by([0.1, 0.0, 0.0, 0.1, 0.0, 0.0, 0.0], Budget(1e9))
    assert asked == [(2, 2), (1, 0), (1, 0), (0, 1), (1, 0), (1, 0), (0, 1)]
    assert found.use == pytest.approx(0.8)


def test_a_search_ends_with_its_budget_or_where_nothing_is_left_to_gain() -> None:
    assert found_by([], Budget(0.0))[0] == []
    asked, found = found_by([0.5, 0.5], Budget(1e9))
    assert (asked, found.use) == ([(2, 2), (1, 0)], 0.0)


@pytest.mark.parametrize("seed", range(4))
def test_an_order_descends_to_where_nothing_near_is_better(seed: int) -> None:
    of = trials(seed=seed)
    start = drawn_orders(1, seed)[0]
    found = descended(cast(Trials, of), Found(start, of.worst(start)))
    near = Neighbours(of.yard, np.arange(CARS), longest_cut=1).every(found.order)
    assert found.use == of.worst(found.order) < of.worst(start)
    best = min(score(of, tuple(order)) for order in near.tolist())
    assert best >= score(of, found.order) * (1.0 - NO_BETTER)


def test_a_descent_is_no_further_than_the_best_of_all_near_each_time() -> None:
    """With all orders near drawn at once each step is to the best of them."""
    of = trials(seed=2)
    order = drawn_orders(1, 7)[0]
    single = Neighbours(of.yard, np.arange(CARS), longest_cut=1)
    assert len(single.every(order)) < descent.DRAWN
    by_hand = order
    for _ in itertools.count():
        near = [tuple(each) for each in single.every(by_hand).tolist()]
        best = min(near, key=lambda each: score(of, each))
        if score(of, best) >= score(of, by_hand) * (1.0 - NO_BETTER):
            break
        by_hand = best
    assert descended(cast(Trials, of), Found(order, of.worst(order))).order == by_hand
