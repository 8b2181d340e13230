"""What any engines have in hand over the whole route of one train.

The exact figure is within half a per cent of working out every millimetre. The rough one adds up tables made once for
the train, so that hundreds of combinations of engines can be looked at; it is never above the exact one by more than
rounding, since it only smooths what it reads.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import RouteTables
from consist.mechanics.forces import forces, power_use
from consist.mechanics.pulling import Pulling
from consist.mechanics.sweep import TableReader
from consist.power.closely import pulling_closely
from consist.session import CarInTrain, Leg, Session, Train
from consist.stock import Engine
from consist.trip import leg_vehicles, tables_of

__all__ = ["MOST_TOGETHER", "TrainPull", "Worst"]

Floats = NDArray[np.float64]
MOST_TOGETHER = 6
"""The most engines that are put on one train together."""


@dataclass(frozen=True)
class Worst:
    """The greatest use of the engines' usable pull (infinite where they have none), the least pull to spare in
    gram-force, and where the head is at the greatest use (mm along the route)."""

    use: float
    clears_g: float
    head_mm: float


class TrainPull:
    """One train of a session, ready to be tried behind any engines."""

    def __init__(self, session: Session, train: Train, tables: RouteTables | None = None) -> None:
        self.session, self.train = session, train
        self.tables = tables_of(session, train) if tables is None else tables
        self._rough_legs: list[_RoughLeg] | None = None

    def with_cars(self, cars: Sequence[CarInTrain]) -> TrainPull:
        """The same train with some of its cars only."""
        return TrainPull(self.session, replace(self.train, cars=tuple(cars)), self.tables)

    def worst(
        self, engines: Sequence[Engine], helpers: Sequence[Engine] = (), between: tuple[float, float] | None = None
    ) -> Worst:
        """The worst of the route, or of its stretch from one distance to another (mm), behind those engines."""
        worst = Worst(0.0, np.inf, 0.0)
        for along in self.along(engines, helpers, between):
            use, clears = along.use, float(np.min(along.usable - along.resistance))
            k = int(np.argmax(use))
            tighter = float(use[k]) > worst.use or (worst.use == 0.0 and clears < worst.clears_g)
            if tighter and use[k] == 0.0:
                k = int(np.argmin(along.usable - along.resistance))
            head_mm = float(along.heads_mm[k]) if tighter else worst.head_mm
            worst = Worst(max(worst.use, float(use[k])), min(worst.clears_g, clears), head_mm)
        return worst

    def along(
        self, engines: Sequence[Engine], helpers: Sequence[Engine] = (), between: tuple[float, float] | None = None
    ) -> Iterator[Pulling]:
        """Resistance and usable pull on each leg, or on as much of it as lies in the stretch."""
        low, high = (0.0, self.train.route.length_mm) if between is None else between
        for leg in self.train.legs:
            from_mm, to_mm = self.train.leg_mm(leg)
            from_mm, to_mm = max(from_mm, low), min(to_mm, high)
            if from_mm < to_mm:
                arrays = leg_vehicles(self.session, engines, leg.cars, helpers)
                yield pulling_closely(arrays, self.tables, from_mm, to_mm)

    def roughly(self, engines: Sequence[Engine]) -> float:
        """The greatest use of usable pull, within a few per cent."""
        if self._rough_legs is None:
            self._rough_legs = [_RoughLeg(self, leg) for leg in self.train.legs]
        return max(leg.use(engines) for leg in self._rough_legs)


class _RoughLeg:
    """A leg's car resistance, tabled by where the first car's front is."""

    def __init__(self, of: TrainPull, leg: Leg) -> None:
        self._tables, self._reserve = of.tables, of.session.house.pull_reserve
        self._from_mm, to_mm = of.train.leg_mm(leg)
        step = self._tables.step_mm
        longest = max((engine.coupled_length_mm for engine in of.session.engines.values()), default=0.0)
        # how many steps the first car may stand behind the head, and one more to interpolate
        self._behind = int(np.ceil(MOST_TOGETHER * longest / step)) + 1
        self._heads = int(np.floor((to_mm - self._from_mm) / step)) + 1
        count = self._behind + self._heads + 1
        self._resistance = np.zeros(count)
        if leg.cars:
            arrays = leg_vehicles(of.session, (), leg.cars, ())
            reader = TableReader(arrays, self._tables, self._from_mm - self._behind * step, couplings=False)
            self._resistance = forces(arrays, reader.shares(0, count)).resistance

    def use(self, engines: Sequence[Engine]) -> float:
        """The greatest use on the leg."""
        usable, length = np.zeros(self._heads), 0.0
        for engine in engines:
            share = self._tables.share(engine.truck_centers_mm).share
            first, part = self._tables.lookup(self._from_mm - length - 0.5 * engine.coupled_length_mm)
            usable += engine.pull_g * (1.0 - self._reserve) - engine.weight_g * self._between(share, first, part)
            length += engine.coupled_length_mm
        place = self._behind - length / self._tables.step_mm
        first = int(np.floor(place))
        return float(np.max(power_use(self._between(self._resistance, first, place - first), usable)))

    def _between(self, table: Floats, first: int, part: float) -> Floats:
        """A table's values at even steps from a point and a part of a step past it."""
        last = first + self._heads
        return (1.0 - part) * table[first:last] + part * table[first + 1 : last + 1]
