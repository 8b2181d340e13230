"""The best order and the way there, against every order tried on the full model."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from builders import World, car, curve, engine, one_line, session, spot, straight, train
from hypothesis import given, settings
from hypothesis import strategies as st

from consist.checking import plan_train
from consist.order import OrderPlan, Planner, yard_of
from consist.order.budget import Budget, trials_in
from consist.order.moves import cars_moved
from consist.order.trial import Order, Trial
from consist.session import CarInTrain, Train
from consist.stock import Engine
from consist.track import Piece

__all__: list[str] = []

TRACK = [straight(300.0), curve(480.0, 100.0, easement_mm=120.0), straight(200.0, 1.5), curve(600.0, 60.0, "right")]
DOWNHILL = [straight(300.0), curve(520.0, 90.0, grade_percent=-3.0, easement_mm=120.0), straight(900.0, -3.0)]
PROOF = 1.01
"""A proof is within a hundredth of the full model."""
PLENTY = 60.0
"""Seconds enough for any plan made here; none takes as long."""


def some_cars(number: int, seed: int, block: Sequence[str | None] = (None,)) -> list[CarInTrain]:
    random = np.random.default_rng(seed)
    return [
        spot(
            car(f"C{k}", random.uniform(15.0, 200.0), random.uniform(90.0, 260.0)),
            k + 1,
            block=block[k * len(block) // number],
        )
        for k in range(number)
    ]


def a_world(cars: Sequence[CarInTrain], track: Sequence[Piece] = TRACK, helpers: Sequence[Engine] = ()) -> World:
    where = one_line(*track)
    one = train(where, cars, [engine(pull_g=300.0)], helpers)
    return World(session(where, one), one)


def planner_of(of: World, *, free_blocks: bool = False) -> Planner:
    yard = yard_of("T", of.train.cars, free_blocks=free_blocks)
    return Planner(of.session, of.train, of.train.engines, of.tables, yard)


def least_use(planner: Planner, orders: Sequence[Order]) -> float:
    return min(planner.figures(order).side_use for order in orders)


def plan(of: World, *, free_blocks: bool = False) -> OrderPlan:
    return plan_train(of.session, of.train, free_blocks=free_blocks, seconds=PLENTY)


@pytest.mark.parametrize("helped", [False, True])
@pytest.mark.parametrize("track", [TRACK, DOWNHILL], ids=["up and round", "downhill"])
@pytest.mark.parametrize("number", [4, 5])
def test_the_best_of_a_few_cars_is_the_best_of_every_order(number: int, track: list[Piece], helped: bool) -> None:
    of = a_world(some_cars(number, number), track, [engine("9", 300.0, 60.0)] if helped else [])
    found = plan(of)
    assert found.proven
    least = least_use(planner_of(of), list(itertools.permutations(range(number))))
    assert least <= found.best.side_use <= least * PROOF
    assert found.bound is not None
    assert found.bound <= least


def test_the_best_of_seven_cars_is_the_best_of_every_order() -> None:
    """Every order is tried at wide steps, which read up to a few per cent low, and those near the least in full."""
    of = a_world(some_cars(7, 7))
    found = plan(of)
    trial = Trial(of.session, of.train, of.tables, of.train.engines, stride=4)
    uses = {order: trial.worst(order) for order in itertools.permutations(range(7))}
    near = sorted(uses, key=uses.__getitem__)[:60]
    assert uses[near[-1]] > 1.02 * uses[near[0]]
    assert found.proven
    assert found.best.side_use <= least_use(planner_of(of), near) * PROOF


@pytest.mark.parametrize("free_blocks", [False, True])
def test_the_best_keeps_blocks_and_holds_and_is_the_best_that_does(free_blocks: bool) -> None:
    cars = some_cars(6, 11, ["Dock", "Mill"])
    cars[4] = replace(cars[4], hold="rear") if free_blocks is False else cars[4]
    cars[5] = replace(cars[5], hold="rear")
    of = a_world(cars)
    planner = planner_of(of, free_blocks=free_blocks)
    found = plan(of, free_blocks=free_blocks)
    orders = [order for order in itertools.permutations(range(6)) if planner.yard.allowed(order)]
    assert 1 < len(orders) < 720
    least = least_use(planner, orders)
    assert found.proven
    assert found.best.side_use <= least * PROOF
    assert tuple(int(name[1:]) for name in found.best.order) in orders


@pytest.mark.parametrize("seed", [1])
def test_the_frontier_of_eight_cars_against_every_order_with_one_and_two_moved(seed: int) -> None:
    of = a_world(some_cars(8, 20 + seed))
    planner = planner_of(of)
    given_order = planner.given
    found = plan(of)
    trial = Trial(of.session, of.train, of.tables, of.train.engines, stride=3)
    for moved in (1, 2):
        orders = [order for order in itertools.permutations(range(8)) if cars_moved(given_order, order) == moved]
        uses = {order: trial.worst(order) for order in orders}
        near = sorted(orders, key=uses.__getitem__)[:12]
        least = min(least_use(planner, near), found.now.side_use)
        within = [step for step in found.frontier if step.cars_moved <= moved]
        reached = within[-1].figures.side_use if within else found.now.side_use
        assert reached <= least * PROOF
        assert not within or within[-1].proven


rows = st.lists(
    st.tuples(
        st.floats(15.0, 220.0),
        st.floats(90.0, 260.0),
        st.sampled_from([None, None, "Dock", "Mill"]),
        st.sampled_from([None, None, None, "stay"]),
    ),
    min_size=2,
    max_size=7,
)


@given(rows)
@settings(max_examples=12)
def test_never_worse_never_broken_and_the_frontier_never_falls(
    of: list[tuple[float, float, str | None, str | None]],
) -> None:
    cars = [
        spot(car(f"C{k}", weight, length), k + 1, block=block, hold=hold)
        for k, (weight, length, block, hold) in enumerate(of)
    ]
    at = a_world(cars)
    found = plan_train(at.session, at.train, seconds=1.0)
    yard = yard_of("T", cars)
    assert found.best.side_use <= found.now.side_use
    uses = [found.now.side_use, *(step.figures.side_use for step in found.frontier)]
    assert all(after < before for before, after in itertools.pairwise(uses))
    assert found.best.side_use <= uses[-1]
    moved = [step.cars_moved for step in found.frontier]
    assert moved == sorted(set(moved))
    for step in found.frontier:
        order = tuple(int(name[1:]) for name in step.figures.order)
        assert yard.allowed(order)
        assert step.cars_moved == cars_moved(tuple(range(len(cars))), order)
        assert sum(len(move.cars) for move in step.moves) == step.cars_moved


def test_the_least_number_that_reaches_go_is_marked() -> None:
    """One light car ahead of nine heavy ones: set back by one move the train goes."""
    cars = [spot(car("Light", 22.0), 1), *(spot(car(f"C{k}", 120.0), k + 2) for k in range(9))]
    of = a_world(cars)
    found = plan(of)
    care_use = 1.0 / of.session.house.care_margin
    assert found.now.side_use > care_use
    assert found.enough == 1
    first = found.frontier[0]
    assert first.figures.side_use <= care_use
    assert [move.cars for move in first.moves] == [("Light",)]


def test_the_same_seed_gives_the_same_plan() -> None:
    of = a_world(some_cars(12, 5))
    plans = [plan_train(of.session, of.train, seconds=1.0, seed=3) for _ in range(2)]
    assert plans[0] == plans[1]
    assert not plans[0].proven
    assert plans[0].bound is None


def test_a_local_is_judged_over_all_its_legs() -> None:
    """The order of the cars that ride on matters on the last leg, where the heavy pick-ups hang behind them."""
    track = [straight(400.0), curve(480.0, 90.0, easement_mm=120.0)]
    where = one_line(*track)
    cars = [
        spot(car("A", 30.0, 200.0), 1),
        spot(car("B", 150.0, 120.0), 2),
        spot(car("C", 150.0, 120.0), 3),
    ]
    one: Train = train(where, cars, [engine(pull_g=300.0)])
    of = World(session(where, one), one)
    found = plan(of)
    assert found.proven
    assert found.best.order[0] != "A"


def test_a_train_of_one_car_or_none_has_nothing_to_plan() -> None:
    for number in (0, 1):
        found = plan(a_world(some_cars(number, 1)))
        assert found.frontier == ()
        assert found.best == found.now
        assert found.proven


def test_a_stopped_budget_ends_a_search_with_what_it_has() -> None:
    of = a_world(some_cars(10, 2))
    budget = Budget(1000.0)
    budget.stopped = True
    found = planner_of(of).best(budget, seed=1)
    assert sorted(found.order) == list(range(10))


def test_a_budget_is_spent_by_trials_and_by_the_clock() -> None:
    now = [0.0]
    budget = Budget(2.0, seconds=1.0, clock=lambda: now[0])
    budget.take(1.0)
    assert not budget.spent()
    now[0] = 10.5
    assert budget.spent()
    assert budget.stopped
    few = Budget(1.0)
    few.take(1.0)
    assert few.spent()
    assert not few.stopped
    assert trials_in(1.0, 10, 1000) > trials_in(1.0, 20, 1000) > trials_in(0.5, 20, 1000)
