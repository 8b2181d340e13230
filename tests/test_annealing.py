"""The annealing for the tests alone, on trains whose best order is known."""

from __future__ import annotations

import itertools
import random
import time
from collections.abc import Sequence

import pytest
from annealing import Order, anneal, one_by_one

__all__: list[str] = []


class Cars:
    """Made-up cars, a pull behind each that grows by what each takes."""

    def __init__(self, count: int, seed: int) -> None:
        rng = random.Random(seed)
        self.weight = [rng.uniform(20.0, 200.0) for _ in range(count)]
        self.length = [rng.uniform(100.0, 300.0) for _ in range(count)]
        self.takes = [weight * rng.uniform(0.01, 0.03) for weight in self.weight]

    def alone(self, order: Order) -> float:
        """The worst of pull times length over weight: Lawler's rule gives the least it can be."""
        pull = worst = 0.0
        for car in reversed(order):
            pull += self.takes[car]
            worst = max(worst, pull * self.length[car] / self.weight[car])
        return worst

    def least_alone(self) -> float:
        """Lawler (1973): from the head end on, always the car that is cheapest there."""
        rest, pull, worst = set(range(len(self.weight))), sum(self.takes), 0.0
        while rest:
            cost = {car: pull * self.length[car] / self.weight[car] for car in rest}
            first = min(rest, key=cost.__getitem__)
            worst = max(worst, cost[first])
            rest.discard(first)
            pull -= self.takes[first]
        return worst

    def between_neighbours(self, order: Order) -> float:
        """The same with the angle to both neighbours, which no rule gives the least of."""
        pull = worst = 0.0
        for place in reversed(range(len(order))):
            car = order[place]
            ahead, behind = (
                self.length[order[other]] if 0 <= other < len(order) else 200.0 for other in (place - 1, place + 1)
            )
            side = pull * (self.length[car] + behind)
            pull += self.takes[car]
            worst = max(worst, (side + pull * (self.length[car] + ahead)) / self.weight[car])
        return worst


def _anything(order: Order) -> bool:
    return True


@pytest.mark.parametrize("seed", [1, 2])
def test_thirty_cars_come_near_the_least_that_is_possible(seed: int) -> None:
    cars = Cars(30, seed)
    found = anneal(range(30), one_by_one(cars.alone), _anything, seed, trials=40_000, chains=2, rounds=1)
    assert sorted(found.order) == list(range(30))
    assert found.use == cars.alone(found.order)
    assert cars.least_alone() <= found.use * (1.0 + 1e-12)
    assert found.use < 1.03 * cars.least_alone() < 0.3 * cars.alone(tuple(range(30)))


@pytest.mark.parametrize("seed", range(6))
def test_seven_cars_are_put_in_the_best_order_of_all(seed: int) -> None:
    cars = Cars(7, seed)
    best = min(map(cars.between_neighbours, itertools.permutations(range(7))))
    found = anneal(range(7), one_by_one(cars.between_neighbours), _anything, seed, trials=6000)
    assert found.use == pytest.approx(best, rel=1e-12)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("held", [frozenset[int](), frozenset({2})])
def test_blocks_and_held_cars_stay_together_and_the_best_is_found(seed: int, held: frozenset[int]) -> None:
    """Three blocks that may change places, of eight cars; only what the yard allows is ever judged."""
    cars, blocks = Cars(8, seed), [0, 0, 0, 1, 1, 2, 2, 2]

    def allowed(order: Order) -> bool:
        runs = [block for block, _ in itertools.groupby(order, key=blocks.__getitem__)]
        return len(runs) == 3 and all(order[car] == car for car in held)

    judged: set[Order] = set()

    def worst(orders: Sequence[Order]) -> list[float]:
        judged.update(orders)
        return [cars.between_neighbours(order) for order in orders]

    found = anneal(range(8), worst, allowed, seed, trials=6000, blocks=blocks, held=held)
    possible = [order for order in itertools.permutations(range(8)) if allowed(order)]
    assert judged <= set(possible)
    assert found.use == pytest.approx(min(map(cars.between_neighbours, possible)), rel=1e-12)


def test_the_same_seed_gives_the_same_order() -> None:
    cars = Cars(20, 5)

    def again(seed: int) -> Order:
        return anneal(range(20), one_by_one(cars.between_neighbours), _anything, seed, trials=2000).order

    assert again(3) == again(3) != again(4)


def test_it_stops_when_its_seconds_are_spent() -> None:
    cars = Cars(12, 5)
    began = time.perf_counter()
    found = anneal(range(12), one_by_one(cars.alone), _anything, 1, seconds=0.2)
    assert 0.2 <= time.perf_counter() - began < 1.0
    assert found.use < cars.alone(tuple(range(12)))
    assert found.trials > 100


def test_nothing_allowed_leaves_the_train_as_it_stands() -> None:
    cars = Cars(5, 1)
    found = anneal((3, 1, 0, 4, 2), one_by_one(cars.alone), lambda order: False, 1, trials=50)
    assert found.order == (3, 1, 0, 4, 2)
