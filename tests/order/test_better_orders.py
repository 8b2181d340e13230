"""Better standing orders: what they must keep, and how near they come to trying every order."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
import pytest
from builders import World, car, curve, engine, one_line, session, spot, straight, train
from hypothesis import given, settings
from hypothesis import strategies as st

from consist.order import Order, Trial, best_order, frontier, sections
from consist.order.constraints import allowed
from consist.order.moves import cars_moved
from consist.session import CarInTrain, Train
from consist.stock import Engine
from consist.track import Piece
from consist.trip import run_trip

__all__: list[str] = []

TRACK = [straight(300.0), curve(480.0, 100.0, easement_mm=120.0), straight(200.0, 1.5), curve(600.0, 60.0, "right")]
DOWNHILL = [straight(300.0), curve(520.0, 90.0, grade_percent=-3.0, easement_mm=120.0), straight(900.0, -3.0)]
NEAR_THE_BEST = 1.02
"""A search of a few trials need not find the very best of all orders; within this share of it is good enough."""

Row = tuple[float, float, str | None, str | None]
rows = st.lists(
    st.tuples(
        st.floats(15.0, 220.0),
        st.floats(100.0, 260.0),
        st.sampled_from([None, None, "Dock", "Mill"]),
        st.sampled_from([None, None, None, "stay", "front", "rear"]),
    ),
    min_size=2,
    max_size=6,
)


def _standing(of: Sequence[Row]) -> list[CarInTrain]:
    return [
        spot(car(f"C{k}", weight, length), k + 1, block=block, hold=hold)
        for k, (weight, length, block, hold) in enumerate(of)
    ]


def _world(cars: Sequence[CarInTrain], track: Sequence[Piece] = TRACK, helpers: Sequence[Engine] = ()) -> World:
    where = one_line(*track)
    one = train(where, cars, [engine(pull_g=300.0)], helpers)
    return World(session(where, one), one)


def _trial(of: World) -> Trial:
    return Trial(of.session, of.train, of.tables, of.train.engines)


def _keeps(order: Order, cars: Sequence[CarInTrain]) -> bool:
    """Said anew from the design: blocks stand in their order, held cars in their spots, and no car is lost."""
    if sorted(order) != list(range(len(cars))):
        return False
    return all(
        cars[number].block == cars[place].block
        and (cars[place].hold is None or number == place)
        and (cars[number].joins, cars[number].leaves) == (cars[place].joins, cars[place].leaves)
        for place, number in enumerate(order)
    )


@given(rows)
@settings(max_examples=15)
def test_a_better_order_keeps_blocks_and_holds_and_is_never_worse(of: list[Row]) -> None:
    cars = _standing(of)
    at = _world(cars)
    trial = _trial(at)
    found = best_order(trial, cars, sections(cars), 60)
    assert _keeps(found, cars)
    assert trial.worst(found) <= trial.worst(tuple(range(len(cars))))


@given(rows)
def test_what_the_constraints_allow_is_what_the_design_says(of: list[Row]) -> None:
    """Cars of one block are sorted among themselves where they stand together; a parted block stays parted."""
    cars = _standing(of[:5])
    parts = sections(cars)
    runs = [len(list(run)) for _, run in itertools.groupby(cars, key=lambda one: one.block)]
    assert [part.stop - part.start for part in parts] == runs
    for order in itertools.permutations(range(len(cars))):
        if allowed(order, parts):
            assert _keeps(order, cars)


@pytest.mark.parametrize("track", [TRACK, DOWNHILL], ids=["up and round", "downhill"])
@pytest.mark.parametrize("helped", [False, True])
@pytest.mark.parametrize("seed", range(3))
def test_against_every_permutation_of_five_cars(track: list[Piece], helped: bool, seed: int) -> None:
    random = np.random.default_rng(seed)
    cars = _standing([(random.uniform(15.0, 200.0), random.uniform(100.0, 250.0), None, None) for _ in range(5)])
    trial = _trial(_world(cars, track, [engine("9", 300.0, 60.0)] if helped else []))
    found = trial.worst(best_order(trial, cars, sections(cars), 120))
    best = min(trial.worst(order) for order in itertools.permutations(range(5)))
    assert best <= found <= best * NEAR_THE_BEST


def _use(of: World, one: Train, order: Order) -> float:
    cars = [one.cars[number] for number in order]
    return run_trip(of.session, one, of.tables, one.engines, cars).worst_leg.worst_use


@pytest.mark.parametrize("seed", range(4))
def test_a_trial_tells_orders_apart_as_a_full_check_does(seed: int) -> None:
    """It looks at the train every few millimetres only: near the full figure, and never much above it."""
    random = np.random.default_rng(seed)
    cars = _standing([(random.uniform(15.0, 200.0), random.uniform(100.0, 250.0), None, None) for _ in range(5)])
    of = _world(cars)
    trial = _trial(of)
    for order in [(0, 1, 2, 3, 4), (4, 2, 0, 1, 3), (3, 4, 1, 0, 2)]:
        full = _use(of, of.train, order)
        assert 0.94 * full <= trial.worst(order) <= 1.01 * full


def test_one_moved_car_is_enough_where_one_is() -> None:
    """One light car ahead of five heavy ones: set back by one move it bears far less."""
    cars = [spot(car("Light", 20.0), 1), *(spot(car(f"C{k}", 120.0), k + 2) for k in range(5))]
    trial, parts = _trial(_world(cars)), sections(cars)
    enough = 0.7 * trial.worst((0, 1, 2, 3, 4, 5))
    steps = list(frontier(trial, parts, best_order(trial, cars, parts, 100), 300, enough=enough))
    assert [step.cars_moved for step in steps] == [1]
    assert trial.worst(steps[-1].order) <= enough
    assert [number for number in steps[-1].order if number != 0] == [1, 2, 3, 4, 5]


def test_no_step_is_told_where_nothing_can_be_gained() -> None:
    cars = [spot(car(f"C{k}", 100.0), k + 1) for k in range(5)]
    trial, parts = _trial(_world(cars)), sections(cars)
    assert list(frontier(trial, parts, (0, 1, 2, 3, 4), 300)) == []


@given(rows)
@settings(max_examples=8)
def test_each_step_moves_more_cars_and_gains_by_it(of: list[Row]) -> None:
    cars = _standing(of)
    trial, parts = _trial(_world(cars)), sections(cars)
    given = tuple(range(len(cars)))
    steps = list(frontier(trial, parts, best_order(trial, cars, parts, 60), 200))
    uses = [trial.worst(given), *(step.use for step in steps)]
    assert all(after < before for before, after in itertools.pairwise(uses))
    assert [step.cars_moved for step in steps] == sorted({step.cars_moved for step in steps})
    for step in steps:
        assert step.cars_moved == cars_moved(given, step.order)
        assert step.use == pytest.approx(trial.worst(step.order))
        assert _keeps(step.order, cars)


@pytest.mark.parametrize("seed", range(2))
def test_a_proven_step_is_the_best_of_all_orders_with_so_many_cars_moved(seed: int) -> None:
    random = np.random.default_rng(seed)
    cars = _standing([(random.uniform(15.0, 200.0), random.uniform(100.0, 250.0), None, None) for _ in range(5)])
    trial, parts = _trial(_world(cars)), sections(cars)
    given = (0, 1, 2, 3, 4)
    steps = [step for step in frontier(trial, parts, best_order(trial, cars, parts, 120), 2000) if step.proven]
    assert steps
    for step in steps:
        same = [order for order in itertools.permutations(given) if cars_moved(given, order) == step.cars_moved]
        assert step.use == pytest.approx(min(trial.worst(order) for order in same))


def test_a_train_whose_every_car_is_held_stays_as_it_is() -> None:
    cars = [spot(car(f"C{k}", 20.0 + 50.0 * k), k + 1, hold="stay") for k in range(4)]
    assert best_order(_trial(_world(cars)), cars, sections(cars), 50) == (0, 1, 2, 3)


def test_cars_that_join_or_leave_elsewhere_are_not_mixed() -> None:
    cars = [
        spot(car("C0", 20.0), 1, leaves=2),
        spot(car("C1", 90.0), 2, leaves=2),
        spot(car("C2", 200.0), 3, leaves=1),
        spot(car("C3", 30.0), 4, joins=1, leaves=2),
    ]
    assert [(part.start, part.stop) for part in sections(cars)] == [(0, 2), (2, 3), (3, 4)]


def test_no_cars_have_the_empty_order() -> None:
    assert sections([]) == ()
    assert best_order(_trial(_world([])), [], (), 10) == ()
