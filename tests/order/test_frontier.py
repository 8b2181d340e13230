"""What each further moved car gains, against every order with one and two cars moved, and how soon a train goes."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import cast

import pytest
from builders import car, curve, engine, spot, straight, world
from hypothesis import given, settings
from hypothesis import strategies as st
from many_sessions import random_session
from orders_in_full import all_allowed, full_use, least_in_full
from random_yards import with_blocks_and_holds
from unhurried import plan_by_clock, plan_unhurried

from consist.order import HoldError, OrderPlan, Planner, Yard, yard_of
from consist.order.budget import Budget
from consist.order.descent import descended
from consist.order.frontier import _Levels, _moved_as_in
from consist.order.moves import moved_cars
from consist.order.trials import Found, Trials
from consist.session import CarInTrain
from consist.stock import Car
from consist.trains import Prepared, prepared

__all__: list[str] = []

Order = tuple[int, ...]
PROVEN_WITHIN = 0.005
TRACK = (
    straight(300.0),
    curve(480.0, 100.0, easement_mm=120.0),
    straight(200.0, 1.5),
    curve(600.0, 60.0, "right"),
    straight(2500.0, 0.5),
)


def with_moved(count: int, moved: int) -> list[Order]:
    """Every order with at most so many cars moved: those cars taken out, and set in anywhere."""
    found = set()
    for cars in itertools.combinations(range(count), moved):
        orders: set[Order] = {tuple(number for number in range(count) if number not in cars)}
        for number in cars:
            orders = {(*order[:gap], number, *order[gap:]) for order in orders for gap in range(len(order) + 1)}
        found |= orders
    return sorted(found)


def some_cars(count: int, seed: int) -> list[Car]:
    rng = random.Random(seed)
    return [car(f"C{k}", rng.uniform(15.0, 200.0), rng.uniform(90.0, 260.0)) for k in range(count)]


def a_train(cars: Sequence[Car | CarInTrain]) -> Prepared:
    return world(TRACK, cars, [engine(pull_g=300.0)]).prepared


def numbers(plan: OrderPlan, order: Sequence[str]) -> Order:
    return tuple(plan.now.order.index(name) for name in order)


def check(of: Prepared, yard: Yard, plan: OrderPlan) -> int:
    """Steps of one and two cars against every order; how many steps were proven."""
    count = len(plan.now.order)
    least, proven = float("inf"), 0
    for moved in (1, 2):
        least = min(least, least_in_full(of, all_allowed(yard, with_moved(count, moved)), heads=100))
        within = [step for step in plan.frontier if step.cars_moved <= moved]
        reached = min(within[-1].figures.side_use if within else plan.now.side_use, plan.now.side_use)
        if within and within[-1].proven:
            proven += 1
            assert least >= reached * (1.0 - PROVEN_WITHIN), moved
        # a step that gains less than half a hundredth is none
        assert least >= reached * (1.0 - 2 * PROVEN_WITHIN), moved
    return proven


@pytest.mark.parametrize("count", [8, 9, 11])
def test_one_and_two_moved_cars_against_every_order_with_so_few_moved(count: int) -> None:
    of = a_train(some_cars(count, count))
    plan = plan_unhurried(of, seconds=2.0)
    assert check(of, yard_of("T", of.train.cars), plan) >= 1


def test_the_same_with_blocks_holds_legs_and_helpers() -> None:
    tried = proven = 0
    for seed in itertools.count(40):
        drawn = random_session(seed)
        if not 8 <= len(drawn.train.cars) <= 11:
            continue
        free = seed % 2 == 0
        cars = tuple(with_blocks_and_holds(drawn.train.cars, random.Random(seed), free_blocks=free))
        one = replace(drawn.train, cars=cars)
        yard = yard_of(one.name, cars, free_blocks=free)
        if yard.count(1000) < 100 or not yard.allowed(tuple(range(len(cars)))):
            continue
        of = prepared(replace(drawn.session, trains=(one,)), one)
        proven += check(of, yard, plan_unhurried(of, free_blocks=free, seconds=1.0))
        tried += 1
        if tried == 4:
            break
    assert proven >= 3


class Until:
    """A clock that stands until it has been asked so often, and then is far on."""

    def __init__(self, asked: int) -> None:
        self._left = asked

    def __call__(self) -> float:
        self._left -= 1
        return 0.0 if self._left >= 0 else 1e9


def test_whenever_time_is_up_only_what_is_so_is_called_proven() -> None:
    of = a_train(some_cars(7, 38))
    least = [least_in_full(of, with_moved(7, moved), heads=100) for moved in (1, 2)]
    proven = set()
    for asked in range(10, 330, 16):
        for step in plan_by_clock(of, Until(asked), seconds=0.3).frontier:
            if step.proven and step.cars_moved <= 2:
                proven.add(step.cars_moved)
                assert min(least[: step.cars_moved]) >= step.figures.side_use * (1.0 - PROVEN_WITHIN), asked
    assert proven


def carried_out(plan: OrderPlan) -> Iterator[tuple[tuple[str, ...], tuple[str, ...]]]:
    """The order each step tells, and the one its moves come to."""
    for step in plan.frontier:
        standing = list(plan.now.order)
        for move in step.moves:
            at = standing.index(move.cars[0])
            assert tuple(standing[at : at + len(move.cars)]) == move.cars, "a cut is picked up as it stands"
            del standing[at : at + len(move.cars)]
            behind = 0 if move.after is None else standing.index(move.after) + 1
            standing[behind:behind] = move.cars
        assert sum(len(move.cars) for move in step.moves) == step.cars_moved
        yield step.figures.order, tuple(standing)


@pytest.mark.parametrize("seed", range(3))
def test_moves_made_one_by_one_give_the_order_told_and_a_fresh_check_its_margin(seed: int) -> None:
    of = a_train(some_cars(11, 50 + seed))
    plan = plan_unhurried(of, seconds=0.5)
    assert plan.frontier
    uses = [plan.now.side_use]
    for step, (told, made) in zip(plan.frontier, carried_out(plan), strict=True):
        assert made == told
        fresh = full_use(a_train([of.train.cars[number] for number in numbers(plan, made)]), range(11))
        assert step.figures.side_use == pytest.approx(fresh, rel=1e-12)
        assert step.figures.margin == pytest.approx(1.0 / fresh, rel=1e-12)
        assert step.cars_moved == len(moved_cars(plan.now.order, told))
        uses.append(fresh)
    assert all(after < before for before, after in itertools.pairwise(uses))
    moved = [step.cars_moved for step in plan.frontier]
    assert moved == sorted(set(moved))
    assert plan.best.side_use <= uses[-1]


def sorted_then_mixed(count: int, moved: int, seed: int) -> tuple[Prepared, float]:
    """A train that goes with a few cars moved back to where they stood, and the use it then has."""
    cars = some_cars(count, seed)
    rng = random.Random(seed)
    cars.sort(key=lambda one: -one.weight_g / one.coupled_length_mm)
    in_order = a_train(cars).run().worst_use
    # light cars do harm ahead
    for one in rng.sample(cars[count // 2 :], moved):
        cars.remove(one)
        cars.insert(rng.randrange(count // 3), one)
    of = a_train(cars)
    house = replace(of.session.house, care_margin=1.0 / (1.001 * in_order))
    return prepared(replace(of.session, house=house), of.train), in_order


@pytest.mark.parametrize(("moved", "seed"), [(3, 1), (6, 1), (9, 2)])
def test_no_more_cars_are_moved_than_take_the_train_to_where_it_goes(moved: int, seed: int) -> None:
    of, in_order = sorted_then_mixed(24, moved, seed)
    plan = plan_unhurried(of, seconds=1.0)
    assert plan.now.side_use > 1.3 * in_order
    assert plan.enough is not None
    assert plan.enough <= moved + moved // 4
    first = next(step for step in plan.frontier if step.cars_moved == plan.enough)
    assert first.figures.side_use <= 1.0 / of.session.house.care_margin


def test_the_least_number_that_reaches_go_is_marked() -> None:
    """One light car ahead of nine heavy ones: set back by one move the train goes."""
    of = a_train([car("Light", 20.0), *(car(f"C{k}", 120.0) for k in range(9))])
    plan = plan_unhurried(of, seconds=1.0)
    care_use = 1.0 / of.session.house.care_margin
    assert plan.now.side_use > care_use
    assert plan.enough == 1
    first = plan.frontier[0]
    assert first.figures.side_use <= care_use
    assert [move.cars for move in first.moves] == [("Light",)]


def test_steps_end_where_enough_is_reached() -> None:
    of = a_train([car("Light", 20.0), *(car(f"C{k}", 120.0) for k in range(5))])
    planner = Planner(of, yard_of("T", of.train.cars))
    best = planner.best(Budget(1e9), 1)
    enough = 0.7 * planner.figures(planner.given).side_use
    steps = list(planner.steps(best, Budget(1e9), enough))
    assert [planner.step(step).cars_moved for step in steps] == [1]
    assert steps[0].use <= enough
    assert [number for number in steps[0].order if number != 0] == [1, 2, 3, 4, 5]


def test_no_step_is_told_where_nothing_can_be_gained() -> None:
    plan = plan_unhurried(a_train([car(f"C{k}") for k in range(5)]), seconds=1.0)
    assert plan.frontier == ()
    assert plan.enough is None
    assert plan.best == plan.now


rows = st.lists(
    st.tuples(
        st.floats(15.0, 220.0),
        st.floats(90.0, 260.0),
        st.sampled_from([None, None, "Dock", "Mill"]),
        st.sampled_from([None, None, None, "stay", "rear"]),
    ),
    min_size=2,
    max_size=7,
)


@given(rows, st.booleans())
@settings(max_examples=12)
def test_never_worse_never_broken_and_each_step_gains(
    of: list[tuple[float, float, str | None, str | None]], free: bool
) -> None:
    cars = [
        spot(car(f"C{k}", weight, length), k + 1, block=block, hold=hold)
        for k, (weight, length, block, hold) in enumerate(of)
    ]
    try:
        yard = yard_of("T", cars, free_blocks=free)
    except HoldError:
        return
    plan = plan_unhurried(a_train(cars), free_blocks=free, seconds=0.2)
    may_stand = yard.allowed(tuple(range(len(cars))))
    uses = [*([plan.now.side_use] if may_stand else []), *(step.figures.side_use for step in plan.frontier)]
    assert all(after < before for before, after in itertools.pairwise(uses))
    assert plan.best.side_use <= min(uses, default=float("inf"))
    assert yard.allowed(numbers(plan, plan.best.order))
    for step in plan.frontier:
        assert yard.allowed(numbers(plan, step.figures.order))
        assert step.cars_moved == len(moved_cars(plan.now.order, step.figures.order))


def test_cars_moved_as_in_the_best_order_keep_whom_they_stand_behind() -> None:
    given, best = (0, 1, 2, 3), (3, 1, 2, 0)
    assert _moved_as_in(given, best, {3}) == (3, 0, 1, 2)
    assert _moved_as_in(given, best, {0}) == (1, 2, 0, 3)
    assert _moved_as_in(given, best, {0, 3}) == best


class NoLooks:
    """Trials that must not be asked: their budget is spent."""

    class budget:
        @staticmethod
        def spent() -> bool:
            return True


def test_nothing_is_proven_once_the_budget_is_spent() -> None:
    of = a_train(some_cars(4, 3))
    planner = Planner(of, yard_of("T", of.train.cars))
    trials = Trials(planner.orders, planner.yard, Budget(0.0))
    found = trials.least([trials.neighbours.every(planner.given)], Found(planner.given, 9.0), 0.0)
    assert found == Found(planner.given, 9.0, False)
    assert found.proven is False


def test_no_order_descends_once_the_budget_is_spent() -> None:
    found = Found((1, 0), 0.5)
    assert descended(cast(Trials, NoLooks()), found) is found


def test_where_an_order_descends_to_is_worked_out_in_full_and_better() -> None:
    of = a_train([car("C0", 20.0), *(car(f"C{k}", 40.0 + 30.0 * k) for k in range(1, 6))])
    yard = yard_of("T", of.train.cars)
    start = (0, 1, 2, 3, 4, 5)
    planner = Planner(of, yard)
    trials = Trials(planner.orders, yard, Budget(1e9))
    begun = Found(start, trials.worst(start))
    ended = descended(trials, begun)
    assert ended.use < 0.8 * begun.use
    assert ended.use == pytest.approx(planner.figures(ended.order).side_use)


def test_orders_are_taken_in_once_and_only_as_long_as_there_is_time() -> None:
    of = a_train(some_cars(7, 38))
    planner = Planner(of, yard_of("T", of.train.cars))
    given = planner.given
    planner.orders.begin_anew([given])
    budget = Budget(1e9)
    trials = Trials(planner.orders, planner.yard, budget)
    levels = _Levels(trials, given, Found(given, trials.worst(given)))
    near = trials.neighbours.every(given)
    assert levels._take(near)
    met = len(levels._met)
    assert levels._take(near)
    assert len(levels._met) == met
    more = trials.neighbours.every(tuple(near[0].tolist()))
    budget.left = 0.0
    assert not levels._take(more)
    assert len(levels._met) == met
