"""What any engines have in hand over the whole route of one train."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from consist.mechanics import MOVES, Hauling
from consist.power.results import Tightest
from consist.session import CarInTrain, Train
from consist.stock import Engine
from consist.trains import Prepared

__all__ = ["MOST_TOGETHER", "TrainPull", "Worst"]

MOST_TOGETHER = 6
"""The most engines that are put on one train together."""


@dataclass(frozen=True)
class Worst:
    """The greatest share of what engines can pull, or hold back where it `holds`, that is asked of them.

    It is infinite where they can do nothing. `clears_g` is the least pull to spare in gram-force, and `head_mm` where
    the head is then along the route.
    """

    use: float
    clears_g: float
    head_mm: float
    holds: bool = False

    @property
    def moves(self) -> bool:
        """Whether the engines move the train, and hold it, everywhere."""
        return self.use <= MOVES


@dataclass(frozen=True)
class TrainPull:
    """One train of a session, ready to be tried behind any engines."""

    of: Prepared

    @property
    def train(self) -> Train:
        """The train."""
        return self.of.train

    def with_cars(self, cars: Sequence[CarInTrain]) -> TrainPull:
        """The same train with some of its cars only."""
        return TrainPull(self.of.with_train(replace(self.train, cars=tuple(cars))))

    def worst(
        self, engines: Sequence[Engine], helpers: Sequence[Engine] = (), between: tuple[float, float] | None = None
    ) -> Worst:
        """The worst of the route, or of its stretch from one distance to another (mm), behind those engines."""
        return _worst(self.of.hauled(engines, helpers, between))

    def short_at(self, engines: Sequence[Engine], helpers: Sequence[Engine]) -> list[float]:
        """The heads (mm) that were looked at where the engines cannot move the train or hold it."""
        along = self.of.hauled(engines, helpers)
        return [float(head) for leg in along for head in leg.heads_mm[np.abs(leg.engine_share) > MOVES]]

    def moved_by(self, engines: Sequence[Engine]) -> Worst | None:
        """The worst of the route behind engines that move the train; None for engines that do not."""
        along = self.of.moved_by(engines)
        return None if along is None else _worst(along)

    def tightest(self, worst: Worst) -> Tightest:
        """Where that is."""
        return Tightest(self.train.route.place_at(worst.head_mm), worst.head_mm)


def _worst(along: Sequence[Hauling]) -> Worst:
    """The worst of all legs; where nothing is asked of the engines, the place with the least pull to spare."""
    if not along:
        return Worst(0.0, np.inf, 0.0)
    heads, shares, clears = (
        np.concatenate(arrays)
        for arrays in zip(*((leg.heads_mm, leg.engine_share, leg.clears_g) for leg in along), strict=True)
    )
    asked = np.abs(shares)
    at = int(np.argmax(asked)) if asked.any() else int(np.argmin(clears))
    return Worst(float(asked[at]), float(clears.min()), float(heads[at]), bool(shares[at] < 0.0))
