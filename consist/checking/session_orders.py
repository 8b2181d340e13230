"""Orders planned for a session's trains: those that do not simply go, or the one that is named."""

from __future__ import annotations

from dataclasses import dataclass

from consist.checking.check import Progress, check_train
from consist.checking.order_choice import Choice, chosen, side_level
from consist.checking.ordering import plan_train
from consist.checking.results import TrainCheck
from consist.errors import InputError, Problem
from consist.order import HoldError, OrderPlan
from consist.session import Session, Train

__all__ = ["PlannedTrain", "SessionOrders", "plan_session"]


@dataclass(frozen=True)
class PlannedTrain:
    """A train's order planned, the order to make, and its check; None where only free blocks can keep its holds."""

    plan: OrderPlan
    choice: Choice
    check: TrainCheck | None


@dataclass(frozen=True)
class SessionOrders:
    """The trains planned, and the names of those passed over since their check says go.

    `on_hold` names the trains that no order found takes off hold by its side pull; `only_one` is whether one train
    was asked for by its name.
    """

    trains: tuple[PlannedTrain, ...]
    passed_over: tuple[str, ...] = ()
    on_hold: tuple[str, ...] = ()
    only_one: bool = False

    @property
    def to_make(self) -> tuple[PlannedTrain, ...]:
        """The trains with an order to make: where none was named, those that need it."""
        return tuple(train for train in self.trains if train.choice.moves and (train.choice.needed or self.only_one))


def plan_session(
    session: Session,
    only: str | None = None,
    *,
    free_blocks: bool = False,
    seconds: float = 10.0,
    seed: int = 1,
    progress: Progress | None = None,
) -> SessionOrders:
    """Plan the order of every train whose check says hold or care, or of the one named whatever its check says.

    `seconds` is about how long each train may take. Raises `InputError` with every contradiction of the holds of all
    trains.
    """
    planned: list[PlannedTrain] = []
    passed_over: list[str] = []
    problems: list[Problem] = []
    trains = [train for train in session.trains if only in (None, train.name)]
    for number, train in enumerate(trains):
        if progress is not None:
            progress(train.name, number, len(trains))
        checked = _checked(session, train)
        if only is None and checked is not None and checked.verdict == "go":
            passed_over.append(train.name)
            continue
        try:
            plan = plan_train(session, train, free_blocks=free_blocks, seconds=seconds, seed=seed)
        except HoldError as error:
            problems.extend(error.problems)
        else:
            planned.append(PlannedTrain(plan, chosen(session, plan), checked))
    if problems:
        raise InputError(problems)
    on_hold = (each.plan for each in planned if side_level(session, each.plan.best.side_use) == "hold")
    return SessionOrders(tuple(planned), tuple(passed_over), tuple(plan.train for plan in on_hold), only is not None)


def _checked(session: Session, train: Train) -> TrainCheck | None:
    try:
        return check_train(session, train)
    except HoldError:
        return None
