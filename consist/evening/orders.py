"""Orders planned for a session's trains, and which of a plan's orders a crew is told to make.

That is the first with which the train goes, else the best.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import ClassVar

from consist.errors import InputError, Problem
from consist.evening.check import check_train
from consist.evening.results import TrainCheck
from consist.frames import Columns, Framed
from consist.order import HoldError, Move, OrderFigures, OrderPlan, plan_order
from consist.session import Session, Train
from consist.side_by_side import Progress
from consist.trains import prepared

__all__ = ["Choice", "PlannedTrain", "SessionOrders", "chosen", "find_order", "moved_train"]


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


@dataclass(frozen=True)
class PlannedTrain:
    """A train's order planned, the order to make, and its check; None where only free blocks can keep its holds."""

    plan: OrderPlan
    choice: Choice
    check: TrainCheck | None


@dataclass(frozen=True)
class SessionOrders(Framed):
    """The trains planned, and the names of those passed over since their check says go.

    As frames: its `trains`, the `steps` of each, which tell what a further moved car gains, and the `moves` to make.
    `on_hold` names the trains that no order found takes off hold by its side pull; `only_one` is whether one train
    was asked for by its name.
    """

    _tables: ClassVar = {
        "trains": Columns(
            "trains.plan",
            "train margin=now.margin best_margin=best.margin side_use=now.side_use best_side_use=best.side_use "
            "proven bound gap cars_to_move=choice.cars_moved enough=choice.enough",
        ),
        "steps": Columns(
            "trains.plan.frontier",
            "train cars_moved margin=figures.margin side_use=figures.side_use proven order=figures.order",
        ),
        "moves": Columns("trains.choice.moves", "train=plan.train cars after"),
    }
    trains: tuple[PlannedTrain, ...]
    passed_over: tuple[str, ...] = ()
    on_hold: tuple[str, ...] = ()
    only_one: bool = False

    @property
    def to_make(self) -> tuple[PlannedTrain, ...]:
        """The trains with an order to make: where none was named, those that need it."""
        return tuple(train for train in self.trains if train.choice.moves and (train.choice.needed or self.only_one))


def find_order(
    session: Session,
    only: str | None = None,
    *,
    free_blocks: bool = False,
    seconds: float = 10.0,
    seed: int = 1,
    progress: Progress | None = None,
) -> SessionOrders:
    """Plan the order of every train whose check says hold or care, or of the one named whatever its check says.

    `free_blocks` lets whole blocks change places. `seconds` is about how long each train may take; the same `seed`
    gives the same plan. Ctrl-C ends a train's search with the best found so far. Raises `UnknownNameError` where
    there is no such train, and `InputError` with every contradiction of the holds of all trains.

    >>> import consist
    >>> session = consist.load("sample_sessions/sunday_shelf")
    >>> orders = consist.find_order(session, "Creamery 5", seconds=0.5)
    >>> orders.on_hold, orders.to_frame()[["train", "best_margin"]].shape
    ((), (1, 2))
    """
    planned: list[PlannedTrain] = []
    passed_over: list[str] = []
    problems: list[Problem] = []
    trains = session.only(only)
    for number, train in enumerate(trains):
        if progress is not None:
            progress(train.name, number, len(trains))
        checked: TrainCheck | None = None
        with suppress(HoldError):
            checked = check_train(session, train)
        if only is None and checked is not None and checked.verdict == "go":
            passed_over.append(train.name)
            continue
        try:
            plan = plan_order(prepared(session, train), free_blocks=free_blocks, seconds=seconds, seed=seed)
        except HoldError as error:
            problems.extend(error.problems)
        else:
            planned.append(PlannedTrain(plan, chosen(session, plan), checked))
    if problems:
        raise InputError(problems)
    on_hold = (each.plan for each in planned if session.house.level_of(each.plan.best.side_use) == "hold")
    return SessionOrders(tuple(planned), tuple(passed_over), tuple(plan.train for plan in on_hold), only is not None)


def chosen(session: Session, plan: OrderPlan) -> Choice:
    """The step that is enough, else the best order, else that of the last step where the best is hardly better."""
    now = plan.now
    steps = [step for step in plan.frontier if step.cars_moved == plan.enough]
    if steps:
        return Choice(steps[0].figures, steps[0].moves, enough=True)
    if plan.best.order != now.order and plan.frontier:
        same = (step for step in plan.frontier if step.figures.order == plan.best.order)
        step = next(same, plan.frontier[-1])
        needed = session.house.level_of(now.side_use) != "go" or step.figures.side_use > now.side_use
        return Choice(step.figures, step.moves, needed=needed)
    return Choice(now, (), needed=False)


def moved_train(train: Train, order: Sequence[str]) -> Train:
    """The train with its cars in another standing order, its spot numbers given out again from the head end."""
    by_name = {car.car.name: car for car in train.cars}
    spots = zip(order, sorted(car.spot for car in train.cars), strict=True)
    return replace(train, cars=tuple(replace(by_name[name], spot=spot) for name, spot in spots))
