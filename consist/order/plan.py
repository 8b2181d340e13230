"""A train's order planned: the best a yard may make of it, and the fewest moves that get there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from consist.mechanics import RouteTables
from consist.order.budget import Budget, ended_by_ctrl_c, trials_in
from consist.order.exact import Found, best_of_all
from consist.order.frontier import Step, frontier
from consist.order.heavy_forward import heavy_forward
from consist.order.holds import yard_of
from consist.order.moves import moves_between
from consist.order.results import FrontierStep, Move, OrderFigures, OrderPlan
from consist.order.search import search
from consist.order.trial import Order, Trial
from consist.order.yard import Yard
from consist.session import Session, Train
from consist.stock import Engine
from consist.trip import run_trip

__all__ = ["Planner", "plan_order"]

FEW_ORDERS = 5040
"""Up to so many orders, all those of seven cars, the best is sought among all of them."""
ROUGH_STRIDE = 4
"""How wide the steps are by which most orders are ruled out; a multiple of the fine ones."""
EXACT_STRIDE = 1
"""Where all orders are tried, a trial looks at every table step, so that a proof is within a hundredth."""
SEARCH_SHARE = 0.5
"""Of the time, so much goes to finding the best order, the rest to the moves that lead there."""
WORTH_A_MOVE = 0.005
"""A step must lower the worst use by more than this share: less is the tolerance of a full check."""
PROVEN_WITHIN = 0.01
"""How close a proof is: trials are that near to a full check."""


@dataclass(frozen=True)
class Planner:
    """Plans orders of one train behind given engines, out of one set of tables.

    `given` is the train as it stands.
    """

    session: Session
    train: Train
    engines: tuple[Engine, ...]
    tables: RouteTables
    yard: Yard

    @cached_property
    def trial(self) -> Trial:
        """Trials close enough to tell orders apart."""
        return Trial(self.session, self.train, self.tables, self.engines)

    @property
    def heads(self) -> int:
        """How many positions of the head a trial looks at, over all legs."""
        return self.trial.heads

    @property
    def given(self) -> Order:
        """The numbers of the train's cars as they stand."""
        return tuple(range(len(self.train.cars)))

    def figures(self, order: Order) -> OrderFigures:
        """An order checked in full."""
        cars = [self.train.cars[number] for number in order]
        trip = run_trip(self.session, self.train, self.tables, self.engines, cars)
        uses = {car.car.name: 0.0 for car in cars}
        for leg in trip.legs:
            for place, car in enumerate(leg.cars):
                use = float(leg.peaks.use.value[leg.first_car + place])
                uses[car.car.name] = max(uses[car.car.name], use)
        worst = max(uses.values(), default=0.0)
        return OrderFigures(
            order=tuple(car.car.name for car in cars),
            side_use=worst,
            margin=1.0 / worst if worst > 0.0 else None,
            heavy_forward=heavy_forward(trip.worst_leg.cars),
            uses=tuple(uses[car.car.name] for car in cars),
        )

    def step(self, step: Step) -> FrontierStep:
        """A step of the frontier checked in full."""
        return FrontierStep(step.cars_moved, self.moves(step.order), self.figures(step.order), step.proven)

    def best(self, budget: Budget, seed: int) -> Found:
        """The best order found, among all of them where they are few."""
        trial = self.trial
        known = [self.given] if self.yard.allowed(self.given) else []
        if self.yard.count(FEW_ORDERS + 1) > FEW_ORDERS:
            return search(trial, self.yard, self.train.cars, known, budget, seed)
        start = search(trial, self.yard, self.train.cars, known, Budget(len(self.given) ** 2), seed)
        fine = Trial(self.session, self.train, self.tables, self.engines, EXACT_STRIDE)
        rough = Trial(self.session, self.train, self.tables, self.engines, ROUGH_STRIDE)
        return best_of_all(rough, fine, self.yard, start.order, budget)

    def steps(self, best: Found, budget: Budget, enough: float = 0.0) -> Iterator[Step]:
        """Steps from the train as it stands toward the best order."""
        return frontier(self.trial, self.yard, self.given, best, budget, enough)

    def moves(self, order: Order) -> tuple[Move, ...]:
        """The moves that make an order of the train as it stands, cars by name."""
        names = [car.car.name for car in self.train.cars]
        return tuple(
            Move(tuple(names[car] for car in move.cars), None if move.after is None else names[move.after])
            for move in moves_between(self.given, order)
        )


def plan_order(
    session: Session,
    train: Train,
    engines: tuple[Engine, ...],
    tables: RouteTables,
    *,
    free_blocks: bool = False,
    seconds: float = 10.0,
    seed: int = 1,
) -> OrderPlan:
    """Plan a train's order behind `engines`, in about so many `seconds` on a middling machine.

    The same seed gives the same plan. Ctrl-C ends the search with the best found so far. Raises `HoldError` where
    holds contradict each other.
    """
    planner = Planner(session, train, engines, tables, yard_of(train.name, train.cars, free_blocks=free_blocks))
    now = planner.figures(planner.given)
    if len(planner.given) < 2:
        return OrderPlan(train.name, now, now, True, now.side_use, (), None)
    trials = trials_in(seconds, len(planner.given), planner.heads)
    search_budget = Budget(SEARCH_SHARE * trials, seconds)
    steps_budget = Budget((1.0 - SEARCH_SHARE) * trials, seconds)
    with ended_by_ctrl_c(search_budget, steps_budget):
        found = planner.best(search_budget, seed)
        steps = list(planner.steps(found, steps_budget))
    care_use = 1.0 / session.house.care_margin
    checked = [planner.step(step) for step in steps]
    gaining = _gaining(checked, now.side_use if planner.yard.allowed(planner.given) else float("inf"))
    best = planner.figures(found.order)
    reached = [best, *(step.figures for step in gaining)]
    if planner.yard.allowed(planner.given):
        reached.append(now)
    nearest = min(reached, key=lambda figures: figures.side_use)
    return OrderPlan(
        train=train.name,
        now=now,
        best=nearest,
        proven=found.complete,
        bound=(1.0 - PROVEN_WITHIN) * nearest.side_use if found.complete else None,
        frontier=gaining,
        enough=next((step.cars_moved for step in gaining if step.figures.side_use <= care_use < now.side_use), None),
        interrupted=search_budget.stopped or steps_budget.stopped,
    )


def _gaining(steps: Sequence[FrontierStep], now: float) -> tuple[FrontierStep, ...]:
    """The steps that, checked in full, gain on those before them."""
    gaining: list[FrontierStep] = []
    for step in steps:
        if step.figures.side_use < (1.0 - WORTH_A_MOVE) * (gaining[-1].figures.side_use if gaining else now):
            gaining.append(step)
    return tuple(gaining)
