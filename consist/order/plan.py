"""A train's order planned: the best a yard may make of it, and the fewest moves that get there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from consist.order.budget import Budget, ended_by_ctrl_c, looks_in
from consist.order.descent import descended, search
from consist.order.frontier import frontier
from consist.order.heavy_forward import heavy_forward
from consist.order.holds import yard_of
from consist.order.kindest import Kindest
from consist.order.lawler import by_rule, lawler_order
from consist.order.moves import moved_cars, moves_between
from consist.order.results import FrontierStep, Move, OrderFigures, OrderPlan
from consist.order.trials import PROVEN_WITHIN, Found, Trials
from consist.order.yard import Order, Yard, every_order
from consist.trains import Orders, Prepared, Trip

__all__ = ["Planner", "plan_order"]

FEW_ORDERS = 5040
"""Up to so many orders, all those of seven cars, are all tried."""
SEARCH_SHARE, AMONG_BLOCKS = 0.65, 0.8
"""Of the time, so much goes to finding the best order, more where blocks are free; the rest to the moves there."""
BOUNDED = 150
"""Of longer trains no bound is sought, which asks for each pair of cars at each place, nor a rule for free blocks."""
WORTH_A_MOVE = 0.005
"""A step must lower the worst use by more than this share: less is the tolerance of a full check."""
BLOCK_ORDERS = 120
"""Where blocks are free so many of their orders are drawn to start from: all there are of five blocks."""


class Planner:
    """Plans orders of one train behind its engines."""

    def __init__(self, of: Prepared, yard: Yard, now: Trip | None = None) -> None:
        """`now` is the train run in full as it stands, where that is known."""
        self.of, self.yard = of, yard
        self.orders = Orders(of)
        self.orders.know(self.given, of.run() if now is None else now)
        self._bounds: dict[Order, float] = {}

    @property
    def given(self) -> Order:
        """The numbers of the train's cars as they stand."""
        return tuple(range(len(self.of.train.cars)))

    def figures(self, order: Order) -> OrderFigures:
        """An order checked in full."""
        trip = self.orders.trip(order)
        worst = trip.worst_use
        return OrderFigures(
            order=tuple(trip.uses),
            side_use=worst,
            margin=1.0 / worst if worst > 0.0 else None,
            heavy_forward=heavy_forward(trip.worst_leg.leg.cars),
            uses=tuple(trip.uses.values()),
        )

    def step(self, step: Found) -> FrontierStep:
        """A step of the frontier checked in full."""
        moved = len(moved_cars(self.given, step.order))
        return FrontierStep(moved, self.moves(step.order), self.figures(step.order), step.proven)

    def best(self, budget: Budget, seed: int | None = None) -> Found:
        """The best order found within a budget; proven where all there are were tried, or where the bound says so.

        It is sought from the train as it stands, or with its holds kept, and from Lawler's rule.
        Without a seed the search goes no farther than to an order that none near it betters, and asks for no bound.
        """
        trials = Trials(self.orders, self.yard, budget)
        starts = [self.given, self.yard.start, self._by_rule(self.yard)]
        starts = [order for order in dict.fromkeys(starts) if self.yard.allowed(order)]
        found = Found(starts[0], trials.worst(starts[0]))
        found = trials.least([np.array(starts, dtype=np.intp)], found, PROVEN_WITHIN)
        if self.yard.count(FEW_ORDERS + 1) <= FEW_ORDERS:
            return trials.least(every_order(self.yard, trials.orders.kinds), found, PROVEN_WITHIN)
        if seed is None:
            return descended(trials, found)
        found = search(trials, found, self._by_blocks(seed, budget) if self.yard.free_blocks else (), seed)
        return replace(found, proven=self.bound(found, budget) >= found.use * (1.0 - PROVEN_WITHIN))

    def bound(self, best: Found, budget: Budget) -> float:
        """A side use that no allowed order can be below; 0 where none is sought, as when the search was stopped."""
        if best.proven:
            return best.use * (1.0 - PROVEN_WITHIN)
        if len(self.given) > BOUNDED or (budget.stopped and best.order not in self._bounds):
            return 0.0
        if best.order not in self._bounds:
            kindest = Kindest(self.of, [self.orders.trip(order) for order in (self.given, best.order)])
            self._bounds[best.order] = by_rule(self.yard, kindest)[1]
        return min(self._bounds[best.order], best.use)

    def steps(self, best: Found, budget: Budget, enough: float = 0.0) -> Iterator[Found]:
        """Steps from the train as it stands toward the best order."""
        self.orders.begin_anew([self.given, best.order])
        return frontier(Trials(self.orders, self.yard, budget), self.given, best, enough)

    def moves(self, order: Order) -> tuple[Move, ...]:
        """The moves that make an order of the train as it stands, cars by name."""
        names = [car.car.name for car in self.of.train.cars]
        return moves_between(names, [names[car] for car in order])

    def _by_rule(self, yard: Yard) -> Order:
        cars = self.of.train.cars
        if len(cars) > BOUNDED:
            # to choose among so many blocks each time takes too long
            yard = replace(yard, free_blocks=False)
        length, weight = ([car.car.coupled_length_mm for car in cars], [car.weight_g for car in cars])
        return lawler_order(yard, np.array(length), np.array(weight))

    def _by_blocks(self, seed: int, budget: Budget) -> list[Order]:
        """Orders with the blocks in places drawn at random, and the cars of each by Lawler's rule; few if late."""
        chance, yard = np.random.default_rng(seed), self.yard
        blocks = [tuple(car for car in yard.start if yard.block[car] == block) for block in dict.fromkeys(yard.block)]
        drawn = (chance.permutation(len(blocks)) for _ in range(BLOCK_ORDERS))
        starts = dict.fromkeys(tuple(car for block in order for car in blocks[block]) for order in drawn)
        return [
            self._by_rule(replace(yard, start=start, free_blocks=False))
            for start in starts
            if not budget.spent() and yard.allowed(start)
        ]


def plan_order(of: Prepared, *, free_blocks: bool = False, seconds: float = 10.0, seed: int = 1) -> OrderPlan:
    """Plan a train's order in no more than so many `seconds`.

    The same seed gives the same plan on any machine that is not very slow. Ctrl-C ends the search with the best found
    so far. Raises `HoldError` where holds contradict each other.
    """
    train = of.train
    planner = Planner(of, yard_of(train.name, train.cars, free_blocks=free_blocks))
    now = planner.figures(planner.given)
    if len(planner.given) < 2:
        return OrderPlan(train.name, now, now, True, now.side_use, (), None, notes=planner.yard.notes)
    searching, stepping = Budget(looks_in(seconds), seconds).split(AMONG_BLOCKS if free_blocks else SEARCH_SHARE)
    with ended_by_ctrl_c(searching, stepping):
        found = planner.best(searching, seed)
        stepping.stopped = stepping.stopped or searching.stopped
        steps = list(planner.steps(found, stepping))
    may_stand = planner.yard.allowed(planner.given)
    gaining = _gaining([planner.step(step) for step in steps], now.side_use if may_stand else float("inf"))
    reached = [planner.figures(found.order), *(step.figures for step in gaining), *([now] if may_stand else [])]
    best = min(reached, key=lambda figures: figures.side_use)
    care_use = 1.0 / of.session.house.care_margin
    return OrderPlan(
        train=train.name,
        now=now,
        best=best,
        proven=found.proven,
        bound=min(planner.bound(found, searching), best.side_use),
        frontier=gaining,
        enough=next((step.cars_moved for step in gaining if step.figures.side_use <= care_use < now.side_use), None),
        interrupted=any(budget.stopped or budget.late for budget in (searching, stepping)),
        notes=planner.yard.notes,
    )


def _gaining(steps: Sequence[FrontierStep], now: float) -> tuple[FrontierStep, ...]:
    """The steps that, checked in full, gain on those before them."""
    gaining: list[FrontierStep] = []
    for step in steps:
        if step.figures.side_use < (1.0 - WORTH_A_MOVE) * (gaining[-1].figures.side_use if gaining else now):
            gaining.append(step)
    return tuple(gaining)
