"""What a plan says is proven, and its bound, against every order worked out in full."""

from __future__ import annotations

import itertools
import random
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import pytest
from builders import car, curve, engine, straight, world
from many_sessions import random_session
from orders_in_full import FULL_WITHIN, all_allowed, evenly, full_use, least_in_full
from random_yards import with_blocks_and_holds
from unhurried import plan_unhurried

import consist.order.plan as planning
from consist.order import OrderPlan, Planner, Yard, yard_of
from consist.order.budget import Budget
from consist.trains import Prepared, prepared

__all__: list[str] = []

PROVEN_WITHIN = 0.005
"""A proof is as close as a full figure."""


class Drawn(NamedTuple):
    """A train of few cars with blocks and holds, and its yard."""

    of: Prepared
    yard: Yard
    free_blocks: bool

    @property
    def orders(self) -> list[tuple[int, ...]]:
        return all_allowed(self.yard, list(itertools.permutations(range(len(self.of.train.cars)))))

    def in_words(self) -> str:
        one = self.of.train
        return f"{len(one.legs)} legs, {len(one.engines)} engines and {len(one.helpers)} helpers, {self.yard}"


def some_trains(count: int, first_seed: int, fewest_orders: int = 4) -> list[Drawn]:
    """Trains of up to six cars that can be sorted, from the random sessions on from a seed."""
    found: list[Drawn] = []
    for seed in itertools.count(first_seed):
        if len(found) == count:
            return found
        drawn = random_session(seed)
        if not 3 <= len(drawn.train.cars) <= 6:
            continue
        rng, free = random.Random(seed), seed % 2 == 0
        train = replace(drawn.train, cars=tuple(with_blocks_and_holds(drawn.train.cars, rng, free_blocks=free)))
        yard = yard_of(train.name, train.cars, free_blocks=free)
        if yard.count(1000) >= fewest_orders:
            found.append(Drawn(prepared(replace(drawn.session, trains=(train,)), train), yard, free))
    raise AssertionError("there is a session for every seed")


TRAINS = some_trains(24, 500)


def check(train: Drawn, plan: OrderPlan) -> None:
    """The plan's words against every order the yard allows."""
    numbers = {car.car.name: number for number, car in enumerate(train.of.train.cars)}
    best = tuple(numbers[name] for name in plan.best.order)
    assert train.yard.allowed(best)
    assert plan.best.side_use == pytest.approx(full_use(train.of, best), rel=1e-12)
    least = least_in_full(train.of, train.orders)
    assert plan.bound <= least * (1.0 + 1e-9), train.in_words()
    assert plan.gap == pytest.approx(1.0 - plan.bound / plan.best.side_use if plan.best.side_use else 0.0)
    if plan.proven:
        assert least >= plan.best.side_use * (1.0 - PROVEN_WITHIN), train.in_words()


def test_the_trains_have_blocks_holds_ties_legs_and_helpers() -> None:
    assert sum(len(set(train.yard.block)) > 1 for train in TRAINS) > 5
    assert sum(bool(train.yard.pinned) for train in TRAINS) > 2
    assert sum(bool(train.yard.follows) for train in TRAINS) > 2
    assert sum(len(train.of.train.legs) > 1 for train in TRAINS) > 5
    assert sum(bool(train.of.train.helpers) for train in TRAINS) > 5
    assert sum(len(train.orders) > 20 for train in TRAINS) > 8


def test_no_order_is_below_its_uses_at_even_heads() -> None:
    """Which is what lets most orders be left out below."""
    for train in TRAINS[:8]:
        orders = train.orders[:: max(len(train.orders) // 5, 1)]
        full = np.array([full_use(train.of, order) for order in orders])
        assert (evenly(train.of, orders) * (1.0 - FULL_WITHIN) <= full).all()


@pytest.mark.parametrize("train", TRAINS, ids=range(len(TRAINS)))
def test_with_few_orders_the_best_is_proven_and_no_order_is_better(train: Drawn) -> None:
    plan = plan_unhurried(train.of, free_blocks=train.free_blocks, seconds=10.0)
    assert plan.proven
    assert not plan.interrupted
    check(train, plan)


@pytest.mark.parametrize("train", some_trains(12, 700, 12), ids=range(12))
def test_where_not_all_are_tried_the_bound_is_below_every_order(
    train: Drawn, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(planning, "FEW_ORDERS", 0)
    check(train, plan_unhurried(train.of, free_blocks=train.free_blocks, seconds=0.3))


def test_a_search_cut_short_proves_nothing_that_is_not_so() -> None:
    for number, train in enumerate(TRAINS[:8]):
        planner = Planner(train.of, train.yard)
        heads = planner.orders.heads * planner.orders.cars
        budget = Budget((1.5 + number) * heads)
        found = planner.best(budget, 1)
        least = least_in_full(train.of, train.orders)
        if found.proven:
            assert least >= found.use * (1.0 - PROVEN_WITHIN)
        assert planner.bound(found, budget) <= least * (1.0 + 1e-9)


def test_an_order_not_proven_has_a_bound_and_its_gap_is_told() -> None:
    rng = random.Random(3)
    cars = [car(f"C{k}", rng.uniform(15.0, 200.0), rng.uniform(90.0, 260.0)) for k in range(12)]
    of = world([straight(2500.0), curve(500.0, 170.0), straight(2500.0)], cars, [engine(pull_g=300.0)]).prepared
    plan = plan_unhurried(of, seconds=0.3)
    assert not plan.proven
    assert 0.0 < plan.bound < plan.best.side_use * (1.0 - PROVEN_WITHIN)
    assert plan.gap > PROVEN_WITHIN
