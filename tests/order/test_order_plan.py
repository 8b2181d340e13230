"""A plan as a whole: its time, its seed, how it is stopped, and trains that leave little to plan."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from builders import car, curve, engine, layout, line, session, spot, straight, train, world
from orders_in_full import full_use
from unhurried import plan_by_clock, plan_unhurried

from consist.evening import find_order
from consist.order import HoldError, OrderPlan, Planner, yard_of
from consist.order.budget import Budget, ended_by_ctrl_c, looks_in
from consist.order.plan import _gaining
from consist.order.results import FrontierStep
from consist.order.trials import OVERHEAD, Trials
from consist.trains import Orders, Prepared, prepared

__all__: list[str] = []

TRACK = (
    straight(300.0),
    curve(480.0, 100.0, easement_mm=120.0),
    straight(200.0, 1.5),
    curve(600.0, 60.0, "right"),
    straight(900.0, 0.5),
)


def a_train(count: int, seed: int = 1) -> Prepared:
    rng = random.Random(seed)
    cars = [car(f"C{k}", rng.uniform(15.0, 200.0), rng.uniform(90.0, 260.0)) for k in range(count)]
    return world(TRACK, cars, [engine(pull_g=300.0)]).prepared


class WorkClock:
    """A clock that goes by the work done: so many seconds for each look at one car at one head."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, looks_a_second: float) -> None:
        self.now = 0.0
        at_places, worst = Orders.at_places, Trials.worst

        def slow_at_places(orders: Orders, numbers: np.ndarray, *limits: object) -> object:
            before = orders.looked
            found = at_places(orders, numbers, *limits)  # type: ignore[arg-type]
            # the machine is as slow at drawing orders as it is at looking at them
            self.now += (orders.looked - before + OVERHEAD * numbers.size) / looks_a_second
            return found

        def slow_worst(trials: Trials, order: tuple[int, ...]) -> float:
            self.now += trials.looks_in_full / looks_a_second
            return worst(trials, order)

        monkeypatch.setattr(Orders, "at_places", slow_at_places)
        monkeypatch.setattr(Trials, "worst", slow_worst)

    def __call__(self) -> float:
        return self.now


@pytest.mark.parametrize("looks_a_second", [2e6, 3e5])
@pytest.mark.parametrize("count", [12, 40])
def test_the_seconds_are_kept_on_a_slow_machine(
    count: int, looks_a_second: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No batch of trials is longer than can be afforded, and what is worked out in full at last is little."""
    clock, seconds = WorkClock(monkeypatch, looks_a_second), 1.0
    of = a_train(count)
    full = count * Orders(of).heads / looks_a_second
    plan = plan_by_clock(of, clock, seconds=seconds)
    batch = 256 * count * 40 / looks_a_second
    assert clock.now <= seconds + 2 * batch + 4 * full
    assert plan.interrupted
    assert sorted(plan.best.order) == sorted(plan.now.order)


def test_where_the_search_ends_by_the_clock_time_is_left_for_the_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    clock = WorkClock(monkeypatch, 2e6)
    plan = plan_by_clock(a_train(16), clock, seconds=2.0)
    moved = [step.cars_moved for step in plan.frontier]
    assert len(moved) > 3
    assert moved[:2] == [1, 2]


def test_the_same_looks_give_the_same_plan_however_fast_they_are(monkeypatch: pytest.MonkeyPatch) -> None:
    of = a_train(14)
    plan = plan_unhurried(of, seconds=0.2, seed=3)
    clock = WorkClock(monkeypatch, 40e6)
    assert plan_by_clock(of, clock, seconds=0.2, seed=3) == plan
    assert not plan.interrupted


def test_the_same_seed_gives_the_same_plan_and_another_may_give_another() -> None:
    of = a_train(24, 5)
    plans = [plan_unhurried(of, seconds=0.05, seed=seed) for seed in (3, 3, 4, 5)]
    assert plans[0] == plans[1]
    assert len({plan.best.order for plan in plans}) > 1


PRINTED = """
from test_order_plan import a_train
from unhurried import plan_unhurried
print(plan_unhurried(a_train(12, 2), seconds=0.05))
"""


def test_another_process_with_other_hashes_gives_the_same_plan() -> None:
    tests = Path(__file__).resolve().parents[1]
    path = os.pathsep.join(map(str, (tests, tests / "order", tests.parent)))
    told = {
        subprocess.run(
            [sys.executable, "-c", PRINTED],
            env={**os.environ, "PYTHONPATH": path, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("0", "4711")
    }
    assert len(told) == 1
    assert "side_use" in told.pop()


def stopped_after(of: Prepared, asked: int) -> OrderPlan:
    """A plan that Ctrl-C ends when the clock has been asked so often."""
    times = [0]

    def clock() -> float:
        times[0] += 1
        if times[0] == asked:
            signal.raise_signal(signal.SIGINT)
        return 0.0

    return plan_by_clock(of, clock, seconds=5.0)


@pytest.mark.parametrize("asked", [4, 40, 150])
def test_ctrl_c_ends_with_the_best_so_far_and_is_told(asked: int) -> None:
    of = a_train(14)
    plan = stopped_after(of, asked)
    assert plan.interrupted
    assert not plan.proven
    assert sorted(plan.best.order) == sorted(plan.now.order)
    assert plan.best.side_use <= plan.now.side_use
    numbers = [plan.now.order.index(name) for name in plan.best.order]
    assert plan.best.side_use == pytest.approx(full_use(of, numbers), rel=1e-12)
    assert plan.bound <= plan.best.side_use


def test_a_second_ctrl_c_interrupts_as_ever() -> None:
    budget = Budget(1.0)
    with ended_by_ctrl_c(budget):
        signal.raise_signal(signal.SIGINT)
        assert budget.stopped
        with pytest.raises(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)


def test_more_time_finds_no_worse_an_order() -> None:
    of = a_train(16, 9)
    uses = [plan_unhurried(of, seconds=seconds).best.side_use for seconds in (0.01, 0.05, 0.2)]
    assert uses[2] <= uses[1] * 1.001 <= uses[0] * 1.002


def test_a_budget_is_spent_by_looks_and_by_the_clock() -> None:
    now = [0.0]
    budget = Budget(2.0, seconds=1.0, clock=lambda: now[0])
    budget.take(1.0)
    assert not budget.spent()
    now[0] = 1.5
    assert budget.spent()
    assert budget.late
    assert not budget.stopped
    few = Budget(1.0)
    few.take(1.0)
    assert few.spent()
    assert not few.late
    assert looks_in(1.0) == 2.0 * looks_in(0.5) > 0.0


def test_a_budget_split_leaves_the_second_what_the_first_has_not_used_of_its_seconds() -> None:
    now = [10.0]
    first, second = Budget(100.0, seconds=4.0, clock=lambda: now[0]).split(0.25)
    assert (first.left, second.left) == (25.0, 75.0)
    now[0] = 11.1
    assert first.spent()
    assert not second.spent()
    now[0] = 14.1
    assert second.spent()


def test_a_local_is_judged_over_all_its_legs() -> None:
    """A light car picked up ahead of two heavy ones does no harm before it joins, and much behind the hill."""
    legs = layout(
        line("A, east", "B, west", straight(900.0)),
        line("B, east", "C, west", straight(900.0), curve(480.0, 90.0, easement_mm=120.0), straight(1500.0)),
    )
    cars = [
        spot(car("Heavy", 180.0, 120.0), 1, leaves=2),
        spot(car("Light", 25.0, 220.0), 2, joins=1, leaves=2),
        spot(car("Middling", 90.0, 150.0), 3, joins=1, leaves=2),
        spot(car("Big", 200.0, 150.0), 4, joins=1, leaves=2),
    ]
    one = train(legs, cars, [engine(pull_g=300.0)], stops=("A", "B", "C"))
    of = prepared(session(legs, one), one)
    assert len(one.legs) == 2
    plan = plan_unhurried(of, seconds=1.0)
    assert plan.proven
    assert plan.best.order == ("Heavy", "Big", "Middling", "Light")
    assert plan.best.side_use < 0.7 * plan.now.side_use
    assert plan.now.side_use == max(leg.worst_use for leg in of.run().legs) > of.run().legs[0].worst_use


@pytest.mark.parametrize("count", [0, 1])
def test_a_train_of_one_car_or_none_has_nothing_to_plan(count: int) -> None:
    plan = plan_unhurried(a_train(count), seconds=1.0)
    assert plan.frontier == ()
    assert plan.best == plan.now
    assert plan.proven
    assert plan.bound == plan.now.side_use
    assert plan.gap == 0.0


def test_two_cars_change_places_where_that_is_better() -> None:
    of = world(TRACK, [car("Light", 20.0), car("Heavy", 200.0)], [engine(pull_g=300.0)]).prepared
    plan = plan_unhurried(of, seconds=1.0)
    assert plan.best.order == ("Heavy", "Light")
    assert plan.best.side_use < plan.now.side_use
    assert plan.proven


def test_a_train_whose_every_car_is_held_stays_as_it_is() -> None:
    cars = [spot(car(f"C{k}", 20.0 + 50.0 * k), k + 1, hold="stay") for k in range(4)]
    plan = plan_unhurried(world(TRACK, cars, [engine()]).prepared, seconds=1.0)
    assert plan.best == plan.now
    assert plan.proven


def test_a_train_whose_holds_are_not_kept_yet_is_told_how_to_keep_them() -> None:
    """The best may then be worse than the train as it stands, which is not allowed."""
    cars = [spot(car("Light", 20.0), 1, hold="rear"), *(spot(car(f"C{k}", 120.0), k + 2) for k in range(4))]
    cars[-1] = replace(cars[-1], hold="front")
    plan = plan_unhurried(world(TRACK, cars, [engine(pull_g=300.0)]).prepared, seconds=1.0)
    assert (plan.best.order[0], plan.best.order[-1]) == ("C3", "Light")
    assert plan.frontier[-1].figures.order == plan.best.order


def test_holds_that_contradict_each_other_are_said() -> None:
    cars = [spot(car("C0"), 1, block="Dock", hold="front"), spot(car("C1"), 2, block="Mill", hold="front")]
    told = "C0 and C1 are all held at the front, but stand in different blocks"
    with pytest.raises(HoldError, match=rf"^the trains table, train '.+', hold: {told}"):
        plan_unhurried(world(TRACK, cars, [engine()]).prepared, seconds=1.0)


def test_a_block_in_two_runs_is_told_with_the_plan() -> None:
    cars = [spot(car(f"C{k}", 50.0 + 20.0 * k), k + 1, block="ABA"[k]) for k in range(3)]
    plan = plan_unhurried(world(TRACK, cars, [engine()]).prepared, seconds=1.0)
    assert len(plan.notes) == 1
    assert "Block A stands in two runs" in plan.notes[0]


def test_a_block_is_not_parted_by_a_plan_with_free_blocks() -> None:
    """Block X of C0 from the start and C1 from the second stop, block Y of C2 to C4."""
    legs = layout(
        line("A, east", "B, west", straight(900.0), curve(480.0, 90.0), straight(900.0)),
        line("B, east", "C, west", straight(900.0), curve(480.0, 90.0), straight(1500.0)),
    )
    weights = (20.0, 150.0, 60.0, 70.0, 80.0)
    cars = [
        spot(car(f"C{k}", weight), k + 1, block="XXYYY"[k], joins=int(k == 1), leaves=2)
        for k, weight in enumerate(weights)
    ]
    one = train(legs, cars, [engine(pull_g=300.0)], stops=("A", "B", "C"))
    plan = plan_unhurried(prepared(session(legs, one), one), free_blocks=True, seconds=1.0)
    assert plan.frontier
    for order in (plan.best.order, *(step.figures.order for step in plan.frontier)):
        assert abs(order.index("C0") - order.index("C1")) == 1


@pytest.mark.parametrize("count", [14, 40])
def test_free_blocks_of_one_car_each_end_soon(count: int) -> None:
    rng = random.Random(count)
    cars = [spot(car(f"C{k}", rng.uniform(15.0, 200.0)), k + 1, block=f"B{k}") for k in range(count)]
    of = world(TRACK, cars, [engine(pull_g=300.0)]).prepared
    planner = Planner(of, yard_of("T", cars, free_blocks=True))
    budget = Budget(2e6)
    found = planner.best(budget, 1)
    # no more than the last batch and what is worked out in full over what there was
    assert budget.left > -2e6
    assert found.use < 0.8 * planner.figures(planner.given).side_use


def test_a_sessions_train_is_planned_behind_its_own_engines() -> None:
    of = a_train(5)
    (planned,) = find_order(of.session, of.train.name, seconds=5.0).trains
    assert planned.plan == plan_unhurried(of, seconds=5.0)


def test_of_a_very_long_train_no_bound_is_sought(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("consist.order.plan.BOUNDED", 8)
    monkeypatch.setattr("consist.order.plan.FEW_ORDERS", 1)
    assert plan_unhurried(a_train(9), seconds=0.2).bound == 0.0
    assert plan_unhurried(a_train(8), seconds=0.2).bound > 0.0


def test_once_the_search_is_stopped_no_bound_is_sought(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("consist.order.plan.FEW_ORDERS", 1)
    planner = Planner(of := a_train(9), yard_of("T", of.train.cars))
    budget = Budget(1e6)
    budget.stopped = True
    monkeypatch.delattr("consist.order.plan.Kindest")
    found = planner.best(budget, 1)
    assert not found.proven
    assert planner.bound(found, budget) == 0.0


def test_only_steps_that_gain_on_the_one_before_are_told() -> None:
    figures = plan_unhurried(a_train(4, 1), seconds=0.01).now
    steps = [
        FrontierStep(n, (), replace(figures, side_use=use), False) for n, use in enumerate([0.9, 0.95, 0.8999, 0.5])
    ]
    assert [step.cars_moved for step in _gaining(steps, 0.9)] == [3]
    assert [step.cars_moved for step in _gaining(steps, 1.0)] == [0, 3]


def test_a_search_among_free_blocks_starts_from_every_order_of_them() -> None:
    """Three blocks stand in six orders; in each the cars of a block stay together, by Lawler's rule among them."""
    cars = [spot(car(f"C{k}", 20.0 + 15 * k, 150.0), k + 1, block="AABBBC"[k]) for k in range(6)]
    of = world(TRACK, cars, [engine(pull_g=300.0)]).prepared
    yard = yard_of("T", cars, free_blocks=True)
    starts = Planner(of, yard)._by_blocks(1, Budget(1e9))
    assert all(sorted(order) == [*range(6)] and yard.allowed(order) for order in starts)
    stand = {tuple(dict.fromkeys("AABBBC"[number] for number in order)) for order in starts}
    assert len(starts) == len(stand) == 6
    for order in starts:
        told = "".join("AABBBC"[number] for number in order)
        assert "AA" in told
        assert "BBB" in told
    assert Planner(of, yard)._by_blocks(1, Budget(0.0)) == []
