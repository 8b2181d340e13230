"""The least that a car can be pulled aside, and the bound on all orders made of it, against real orders."""

from __future__ import annotations

import itertools
import random

import numpy as np
import pytest
from builders import World, car, curve, engine, one_line, session, spot, straight, train, world
from many_sessions import Drawn, random_session
from orders_in_full import all_allowed, uses_in_full
from random_yards import random_yard

from consist.house import House
from consist.order import yard_of
from consist.order.kindest import Kindest, least_aside
from consist.order.lawler import by_rule
from consist.trains import Orders, prepared

__all__: list[str] = []

Order = tuple[int, ...]
UNHELPED = [
    drawn
    for drawn in map(random_session, range(200, 330))
    if not drawn.train.helpers and drawn.train.engines and len(drawn.train.cars) > 2
][:40]


def mixed(count: int, rng: random.Random) -> Order:
    order = list(range(count))
    rng.shuffle(order)
    return tuple(order)


@pytest.mark.parametrize("drawn", UNHELPED, ids=lambda drawn: str(drawn.seed))
def test_no_car_of_any_order_is_below_its_least(drawn: Drawn) -> None:
    """A car at the head of some of those that stand behind it: of all, or of any part of them."""
    of, rng = prepared(drawn.session, drawn.train), random.Random(drawn.seed)
    orders, count = Orders(of), len(drawn.train.cars)
    kindest = Kindest(of, [orders.trip(mixed(count, rng)) for _ in range(2)])
    for _ in range(4):
        order = mixed(count, rng)
        uses = uses_in_full(orders, order)
        for place, number in enumerate(order):
            standing = np.zeros(count, dtype=np.bool_)
            standing[list(order[place:])] = True
            least = kindest(standing)
            assert least[number] <= uses[number] * (1.0 + 1e-9)
            fewer = standing & (np.array([rng.random() for _ in range(count)]) < 0.6)
            fewer[number] = True
            assert kindest(fewer)[number] <= least[number] * (1.0 + 1e-12) + 1e-15


def test_it_tells_something_of_most_trains() -> None:
    """A floor of nothing would be above no order's use either."""
    said = []
    for drawn in UNHELPED[:20]:
        of, count = prepared(drawn.session, drawn.train), len(drawn.train.cars)
        orders = Orders(of)
        trip = orders.trip(range(count))
        all_of_them = Kindest(of, [trip])(np.ones(count, dtype=np.bool_))
        said.append(float(all_of_them.max() / uses_in_full(orders, tuple(range(count))).max()))
    assert sum(share > 0.1 for share in said) > 10


def test_for_cars_all_alike_the_bound_is_what_any_order_comes_to() -> None:
    """Level track and one wide curve, so that little is left to kindness."""
    cars = [spot(car(f"C{k}"), k + 1) for k in range(12)]
    track = one_line(straight(3000.0), curve(3000.0, 50.0), straight(2500.0))
    one = train(track, cars, [engine(pull_g=300.0)])
    of = World(session(track, one), one).prepared
    trip = of.run()
    bound = by_rule(yard_of("T", cars), Kindest(of, [trip]))[1]
    assert 0.7 * trip.worst_use < bound <= trip.worst_use


def test_behind_helpers_nothing_is_sure() -> None:
    drawn = next(one for one in map(random_session, itertools.count()) if one.train.helpers)
    of = prepared(drawn.session, drawn.train)
    assert not Kindest(of, [of.run()])(np.ones(len(drawn.train.cars), dtype=np.bool_)).any()


@pytest.mark.parametrize("flange_drag", [0.0, 0.4])
def test_it_never_falls_where_more_stand_behind_though_some_roll_downhill(flange_drag: float) -> None:
    """Half of the cars hardly roll and half roll by themselves on the grade, so that some pull and some push."""
    rng = random.Random(5)
    cars = [
        car(f"C{k}", rng.uniform(20.0, 200.0), rng.uniform(90.0, 260.0), rolling=rng.choice([0.005, 0.06]))
        for k in range(9)
    ]
    track = [
        straight(500.0),
        straight(1200.0, -1.5),
        curve(500.0, 120.0),
        curve(500.0, 60.0, "right"),
        straight(2500.0),
    ]
    house = House(flange_drag=flange_drag)
    of = world(track, cars, [engine(pull_g=300.0)], house=house).prepared
    orders = Orders(of)
    kindest = Kindest(of, [orders.trip(mixed(9, rng)) for _ in range(3)])
    said = 0
    for _ in range(60):
        order = mixed(9, rng)
        for place, number in enumerate(order):
            standing = np.zeros(9, dtype=np.bool_)
            standing[list(order[place:])] = True
            least = kindest(standing)[number]
            said += least > 0.0
            assert least <= uses_in_full(orders, order)[number] * (1.0 + 1e-9)
            fewer = standing & (np.array([rng.random() for _ in range(9)]) < 0.6)
            fewer[number] = True
            assert kindest(fewer)[number] <= least * (1.0 + 1e-12) + 1e-15
    assert said > 100


class Costs:
    """Random costs that do not fall where more stand behind: each car minds each other, and some pairs."""

    def __init__(self, count: int, seed: int) -> None:
        chance = np.random.default_rng(seed)
        self.own, self.by_each = chance.uniform(0.0, 1.0, count), chance.exponential(1.0, (count, count))
        self.by_pair = chance.exponential(1.0, (count, count, count)) * (chance.random((count, count, count)) < 0.2)
        self.weight = np.exp(2.0 * chance.standard_normal(count))
        self.power = chance.uniform(0.5, 2.0, count)

    def __call__(self, standing: np.ndarray) -> np.ndarray:
        behind = standing.astype(np.float64)
        pairs = np.einsum("cij,i,j->c", self.by_pair, behind, behind)
        costs: np.ndarray = self.weight * (self.own + self.by_each @ behind + pairs) ** self.power
        return costs

    def greatest(self, order: Order) -> float:
        standing = np.ones(len(order), dtype=np.bool_)
        greatest = 0.0
        for number in order:
            greatest = max(greatest, float(self(standing)[number]))
            standing[number] = False
        return greatest


@pytest.mark.parametrize("free_blocks", [False, True])
def test_the_rules_bound_is_the_least_greatest_cost_or_below(free_blocks: bool) -> None:
    exact = 0
    for seed in range(120):
        count = 2 + seed % 5
        yard, costs = random_yard(seed, count, free_blocks=free_blocks), Costs(count, seed)
        order, bound = by_rule(yard, costs)
        assert yard.allowed(order)
        allowed = all_allowed(yard, list(itertools.permutations(range(count))))
        least = min(map(costs.greatest, allowed))
        assert bound <= least * (1.0 + 1e-12), seed
        if not yard.pinned and not yard.follows:
            exact += 1
            assert costs.greatest(order) == pytest.approx(bound, rel=1e-12), seed
            assert bound == pytest.approx(least, rel=1e-12), seed
    assert exact > 15


def test_what_stands_behind_a_held_car_is_not_taken_for_sure() -> None:
    """The held car minds each other car differently, and which stand behind it is free to choose."""
    for seed in range(60):
        count, place = 5, seed % 4
        yard = yard_of("T", [spot(car(f"C{k}"), k + 1, hold="stay" if k == place else None) for k in range(count)])
        costs = Costs(count, seed)
        costs.weight[place] = 1e6
        allowed = all_allowed(yard, list(itertools.permutations(range(count))))
        assert by_rule(yard, costs)[1] <= min(map(costs.greatest, allowed)) * (1.0 + 1e-12), seed


@pytest.mark.parametrize("flange_drag", [0.0, 0.1, 0.4])
def test_a_pull_aside_never_falls_below_what_is_told_of_it(flange_drag: float) -> None:
    """Of any sines between the least and the greatest and any force behind, half of them at the ends."""
    rng = np.random.default_rng(11)
    shape = (40_000, 1)
    tail, demand = rng.uniform(0.0, 50.0, shape), rng.uniform(0.0, 20.0, shape)
    front, rear = (np.sort(rng.uniform(-0.5, 0.5, (2, *shape)), axis=0) for _ in range(2))
    told = least_aside(tail, demand, front, rear, flange_drag)
    nearest = np.inf
    for _ in range(40):
        at = (np.where(rng.random(shape) < 0.5, rng.integers(0, 2, shape), rng.random(shape)) for _ in range(2))
        ahead, behind = (low + part * (high - low) for part, (low, high) in zip(at, (front, rear), strict=True))
        back = tail + np.where(rng.random(shape) < 0.5, 0.0, rng.exponential(20.0, shape))
        pull = (back * (1.0 + flange_drag * np.abs(behind)) + demand) / (1.0 - flange_drag * np.abs(ahead))
        aside = pull * ahead + back * behind
        assert np.all(np.maximum(aside, 0.0) >= told * (1.0 - 1e-12) - 1e-12)
        nearest = min(nearest, float(np.min(aside[told > 1.0] / told[told > 1.0])))
    assert nearest < 1.02


def test_what_is_told_of_one_place_depends_on_no_other() -> None:
    chance = np.random.default_rng(5)
    tail, demand = chance.uniform(0.0, 50.0, (12, 7)), chance.uniform(0.5, 5.0, (12, 7))
    front, rear = (np.sort(chance.uniform(-0.05, 0.3, (2, 12, 7)), axis=0) for _ in range(2))
    whole = least_aside(tail, demand, front, rear, 0.2)
    for row in range(12):
        for place in range(7):
            alone = least_aside(tail[row, place], demand[row, place], front[:, row, place], rear[:, row, place], 0.2)
            assert whole[row, place] == pytest.approx(float(alone))
    assert (whole > 0.0).sum() > 30
