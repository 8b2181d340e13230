"""Orders at the few places that decide: never more than in full, and as much once worked out in full."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from builders import World, car, curve, engine, layout, line, session, spot, straight, train, world
from hypothesis import given, settings
from hypothesis import strategies as st
from many_sessions import random_session
from orders_in_full import uses_in_full
from strategies import trains_on_track

from consist.trains import LegOrders, Orders, Prepared, prepared

__all__: list[str] = []

SHARE = 0.005
MERGED = 0.01
"""Places nearer than half a millimetre are one, so that a peak may be told by one beside it."""
ROUNDING = 1e-9
SESSIONS = range(200, 212)
ORDERS = 6


def _batch(cars: int, chance: random.Random) -> np.ndarray:
    return np.array([chance.sample(range(cars), cars) for _ in range(ORDERS)], dtype=np.intp)


def _hold_few_places(of: Prepared, chance: random.Random) -> None:
    """Every order of a batch at few places against in full, before its own worst places join and after."""
    orders = Orders(of)
    orders.trip(range(orders.cars))
    batch = _batch(orders.cars, chance)
    before = orders.at_places(batch)
    full = np.array([uses_in_full(orders, order) for order in batch])
    after = orders.at_places(batch)
    for seen in (before, after):
        assert np.all(seen <= full * (1.0 + SHARE) + ROUNDING)
    # no place that was known is forgotten
    assert np.all(after >= before - ROUNDING)
    np.testing.assert_allclose(after.max(axis=1), full.max(axis=1), rtol=MERGED, atol=ROUNDING)


@given(trains_on_track(), st.integers(0, 1000))
@settings(max_examples=15)
def test_few_places_never_tell_more_than_all(of: World, seed: int) -> None:
    _hold_few_places(of.prepared, random.Random(seed))


def test_few_places_never_tell_more_than_all_on_any_leg() -> None:
    """Random sessions, in which cars join and leave on the way."""
    for seed in SESSIONS:
        drawn = random_session(seed)
        _hold_few_places(prepared(drawn.session, drawn.train), random.Random(seed))


def test_engines_at_few_places_work_no_harder_than_in_full() -> None:
    """At nine even places of each leg, in every order of a batch."""
    seen = 0
    for seed in SESSIONS:
        of = prepared((drawn := random_session(seed)).session, drawn.train)
        orders = Orders(of)
        batch = _batch(orders.cars, random.Random(seed))
        found = orders.at(batch, lambda on: np.linspace(on.from_mm, on.to_mm, 9)).engine_share
        for share, order in zip(found, batch, strict=True):
            trip = orders.trip(order)
            hardest = max(trip.power_use, trip.hold_use)
            assert share <= hardest * (1.0 + SHARE) + ROUNDING
            seen += share > 0.5 * hardest > 0.0
    assert seen > 0.5 * ORDERS * len(SESSIONS)


def test_engines_that_hold_back_count_as_those_that_pull() -> None:
    """Down 3 % four cars of 100 g push with 6.4 g; an engine of 300 g and 30 g holds 25.5 − 9 = 16.5 g."""
    of = world([straight(4000.0, -3.0)], [car(f"C{k}") for k in range(4)], [engine("1", 300.0, 30.0)])
    seen = Orders(of.prepared).at(np.array([[3, 1, 0, 2]]), lambda on: np.array([3500.0]))
    assert float(seen.engine_share[0]) == pytest.approx(6.4 / 16.5)
    assert seen.uses.tolist() == [[0.0] * 4]


WHERE = layout(
    line("West, e", "Mill, w", straight(900.0), curve(520.0, 70.0)),
    line("Mill, e", "East, w", curve(560.0, 80.0, "right"), straight(900.0)),
)
CARS = [
    spot(car("Through", 90.0, 150.0), 1, leaves=2),
    spot(car("Goes", 140.0, 170.0), 2, leaves=1),
    spot(car("Comes", 60.0, 190.0), 3, joins=1, leaves=2),
]


def _local() -> Prepared:
    one = train(WHERE, CARS, [engine(length_mm=200.0)], stops=("West", "Mill", "East"))
    return prepared(session(WHERE, one), one)


def test_each_leg_has_the_cars_then_in_the_train_in_the_order_tried() -> None:
    """By hand: Comes, Goes, Through: Goes and Through to Mill, then Comes and Through; middles behind the head."""
    of = _local()
    legs: list[LegOrders] = []

    def heads(on: LegOrders) -> np.ndarray:
        legs.append(on)
        return np.array([on.from_mm])

    Orders(of).at(np.array([[2, 1, 0], [0, 1, 2]]), heads)
    assert [(on.from_mm, on.to_mm) for on in legs] == [of.train.leg_mm(leg) for leg in of.train.legs]
    assert [on.numbers.tolist() for on in legs] == [[[1, 0], [0, 1]], [[2, 0], [0, 2]]]
    first, second = (on.middle_mm(np.array([1, 1])).tolist() for on in legs)
    assert first == [200.0 + 170.0 + 75.0, 200.0 + 150.0 + 85.0]
    assert second == [200.0 + 190.0 + 75.0, 200.0 + 150.0 + 95.0]


def test_an_order_in_full_is_the_train_run_in_that_order() -> None:
    of = _local()
    uses = uses_in_full(Orders(of), [2, 0, 1])
    again = of.with_train(replace(of.train, cars=(CARS[2], CARS[0], CARS[1]))).run().uses
    assert uses.tolist() == [again["Through"], again["Goes"], again["Comes"]]


def test_cars_are_alike_that_may_stand_in_for_each_other() -> None:
    of = _local()
    twin = spot(car("Twin", 90.0, 150.0), 4, leaves=2)
    loaded = spot(car("Loaded", 60.0, 150.0, load_g=30.0), 5, loaded=True, leaves=2)
    others = [
        spot(car("Short", 90.0, 149.0, truck_centers_mm=105.0), 6, leaves=2),
        spot(car("On trucks", 90.0, 150.0, mount="truck"), 7, leaves=2),
        spot(car("Rolls", 90.0, 150.0, rolling=0.015), 8, leaves=2),
        spot(car("Leaves", 90.0, 150.0), 9, leaves=1),
        spot(car("Joins", 90.0, 150.0), 11, joins=1, leaves=2),
        spot(car("Empty", 60.0, 150.0, load_g=30.0), 10, leaves=2),
    ]
    more = train(WHERE, [CARS[0], twin, loaded, *others], [engine()], stops=("West", "Mill", "East"))
    kinds = Orders(of.with_train(more)).kinds
    assert (kinds == 0).tolist() == [True, True, True, *[False] * 6]
