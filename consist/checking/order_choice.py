"""Which of a plan's orders a crew is told to make: the first with which the train goes, else the best."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from consist.order import Move, OrderFigures, OrderPlan
from consist.rules.finding import Verdict
from consist.session import CarInTrain, Session, Train

__all__ = ["Choice", "chosen", "moved_train", "side_level"]


@dataclass(frozen=True)
class Choice:
    """The order to make, the moves that make it, and whether the train goes with it where it did not before."""

    figures: OrderFigures
    moves: tuple[Move, ...]
    enough: bool = False
    needed: bool = True
    """Whether it is for more than a wider margin: the train does not go as it stands, or its holds ask for it."""

    @property
    def cars_moved(self) -> int:
        """How many cars its moves take."""
        return sum(len(move.cars) for move in self.moves)


def chosen(session: Session, plan: OrderPlan) -> Choice:
    """The step that is enough, else the best order, else that of the last step where the best is hardly better."""
    now = plan.now
    steps = [step for step in plan.frontier if step.cars_moved == plan.enough]
    if steps:
        return Choice(steps[0].figures, steps[0].moves, enough=True)
    if plan.best.order != now.order and plan.frontier:
        same = (step for step in plan.frontier if step.figures.order == plan.best.order)
        step = next(same, plan.frontier[-1])
        needed = side_level(session, now.side_use) != "go" or step.figures.side_use > now.side_use
        return Choice(step.figures, step.moves, needed=needed)
    return Choice(now, (), needed=False)


def moved_train(train: Train, order: Sequence[str]) -> Train:
    """The train with its cars in another standing order, its spot numbers given out again from the head end."""
    by_name: dict[str, CarInTrain] = {car.car.name: car for car in train.cars}
    spots = sorted(car.spot for car in train.cars)
    return replace(
        train, cars=tuple(replace(by_name[name], spot=spot) for name, spot in zip(order, spots, strict=True))
    )


def side_level(session: Session, side_use: float) -> Verdict:
    """What a greatest side use alone makes of a train."""
    return session.house.level_of(side_use)
