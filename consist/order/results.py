"""What planning an order returns: the figures of its JSON output, typed.

Orders name cars, head end first. No figure is rounded. `margin` is None where no car feels any side pull.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["FrontierStep", "Move", "OrderFigures", "OrderPlan"]


@dataclass(frozen=True)
class Move:
    """A cut of neighbouring cars set in behind `after`; None is the head end."""

    cars: tuple[str, ...]
    after: str | None


@dataclass(frozen=True)
class OrderFigures:
    """A standing order checked in full. `uses` is each car's greatest side use, in the same order."""

    order: tuple[str, ...]
    side_use: float
    margin: float | None
    heavy_forward: float | None
    uses: tuple[float, ...]


@dataclass(frozen=True)
class FrontierStep:
    """The best order found with at most `cars_moved` cars moved, checked in full, and the moves that make it.

    `proven` is whether no order with as few cars moved is better by more than the model's tolerance.
    """

    cars_moved: int
    moves: tuple[Move, ...]
    figures: OrderFigures
    proven: bool


@dataclass(frozen=True)
class OrderPlan:
    """A train's order now, the best found, and what each further moved car gains on the way there.

    `proven` is whether no allowed order's worst use is lower than the best's by more than half a hundredth, and
    `bound` a side use that no allowed order can be below. `notes` tell what is odd about the train's blocks. `enough`
    is the least number of cars moved that makes the train go by its side pull, None where none does or none need be.
    `interrupted` is whether the search was stopped before its end.
    """

    train: str
    now: OrderFigures
    best: OrderFigures
    proven: bool
    bound: float
    frontier: tuple[FrontierStep, ...]
    enough: int | None
    interrupted: bool = False
    notes: tuple[str, ...] = ()

    @property
    def gap(self) -> float:
        """By what share of the best order's use the bound lies below it."""
        return 1.0 - self.bound / self.best.side_use if self.best.side_use > 0.0 else 0.0
