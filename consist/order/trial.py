"""Trying standing orders quickly on the full model.

Each order is worked out from the route's tables at a coarser step than a check, without bounds: close enough to
tell orders apart. Whatever order is chosen is checked in full afterwards.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import Limits, RouteTables, Vehicles
from consist.mechanics.forces import forces
from consist.mechanics.sidepull import side_use
from consist.session import Session, Train
from consist.stock import Engine
from consist.trip import leg_vehicles, limits_of

__all__ = ["Order", "Trial"]

Floats = NDArray[np.float64]
Order = tuple[int, ...]
"""A standing order: numbers into the train's cars, head end first."""

STRIDE = 3
"""Every so many table steps a trial looks at the train: 12 mm in HO."""


@dataclass(frozen=True)
class _LegTrial:
    """One leg, ready to be tried: its vehicles in the given order, and which of the train's cars they are."""

    vehicles: Vehicles
    cars: tuple[int, ...]
    first_car: int
    from_mm: float
    count: int


class Trial:
    """Works out the side use of a train's cars in any standing order, over all legs of its trip.

    `engines` are those it runs behind. Orders are tuples of numbers into `train.cars`.
    """

    def __init__(self, session: Session, train: Train, tables: RouteTables, engines: Sequence[Engine]) -> None:
        self._tables = tables
        self._limits: Limits = limits_of(session)
        self._known: dict[Order, Floats] = {}
        self.cars = len(train.cars)
        numbers = {car.car.name: number for number, car in enumerate(train.cars)}
        self._legs = []
        for leg in train.legs:
            from_mm, to_mm = train.leg_mm(leg)
            self._legs.append(
                _LegTrial(
                    vehicles=leg_vehicles(session, engines, leg.cars, train.helpers),
                    cars=tuple(numbers[car.car.name] for car in leg.cars),
                    first_car=len(engines),
                    from_mm=from_mm,
                    count=int((to_mm - from_mm) / (STRIDE * tables.step_mm)) + 1,
                )
            )

    @property
    def tried(self) -> int:
        """How many different orders have been worked out."""
        return len(self._known)

    def uses(self, order: Order) -> Floats:
        """The greatest side use of each of the train's cars in a standing order, of shape (cars,)."""
        known = self._known.get(order)
        if known is None:
            known = np.zeros(self.cars)
            for leg in self._legs:
                self._take_leg(leg, order, known)
            self._known[order] = known
        return known

    def worst(self, order: Order) -> float:
        """The greatest side use of any car in a standing order."""
        return float(self.uses(order).max(initial=0.0))

    def _take_leg(self, leg: _LegTrial, order: Order, uses: Floats) -> None:
        place = {car: leg.first_car + k for k, car in enumerate(leg.cars)}
        standing = [car for car in order if car in place]
        if not standing:
            return
        after = range(leg.first_car + len(standing), len(leg.vehicles))
        train = leg.vehicles.in_order(
            np.array([*range(leg.first_car), *(place[car] for car in standing), *after], dtype=np.intp)
        )
        worst = self._worst_by_vehicle(train, leg)
        for k, car in enumerate(standing):
            uses[car] = max(uses[car], worst[leg.first_car + k])

    def _worst_by_vehicle(self, train: Vehicles, leg: _LegTrial) -> Floats:
        tables = self._tables
        share = np.stack(
            [
                self._read(tables.share(float(centers)).share, leg, float(offset))
                for centers, offset in zip(train.truck_centers_mm, train.middle_mm, strict=True)
            ]
        )
        tension = forces(train, share).tension
        faces = np.cumsum(train.length_mm)
        worst = np.zeros(len(train))
        front = np.zeros(leg.count)
        for k in range(len(train)):
            rear = next_front = np.zeros(leg.count)
            if k < len(train) - 1:
                pair = tables.pair(train, k)
                rear = tension[k] * self._read(pair.ahead, leg, float(faces[k]))
                next_front = tension[k] * self._read(pair.behind, leg, float(faces[k]))
            if not train.is_engine[k]:
                sizes = (train.weight_g[k], train.pivot_mm[k], train.truck_centers_mm[k])
                worst[k] = side_use(front, rear, *sizes, self._limits).max()
            front = next_front
        return worst

    def _read(self, column: Floats, leg: _LegTrial, offset_mm: float) -> Floats:
        index, fraction = self._tables.lookup(leg.from_mm - offset_mm)
        stop = index + STRIDE * (leg.count - 1) + 1
        row = column[index:stop:STRIDE] * (1.0 - fraction)
        row += fraction * column[index + 1 : stop + 1 : STRIDE]
        return row
