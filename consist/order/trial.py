"""Trying standing orders quickly on the full model.

Which way couplings pull depends on neighbours and place alone, and without a helper the force in a coupling is what
the cars behind it take. A train is therefore worked out from its rear end forward, out of the route's tables: a tail
of cars stands where it stands whatever stands ahead of it, and orders that share a tail share its work.

A trial looks at every few table steps and keeps no bounds: it is close enough to tell orders apart. Whatever order is
chosen is checked in full afterwards.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import Limits, RouteTables, Vehicles
from consist.mechanics.forces import forces
from consist.mechanics.sidepull import side_use
from consist.mechanics.tables import PairTable
from consist.session import Session, Train
from consist.stock import Engine
from consist.trip import leg_vehicles, limits_of

__all__ = ["Order", "Standing", "Tail", "Trial"]

Floats = NDArray[np.float64]
Order = tuple[int, ...]
"""A standing order: numbers into the train's cars, head end first."""

STRIDE = 2
"""Every so many table steps a trial looks at the train: 13 mm in HO."""


@dataclass(frozen=True)
class _LegTail:
    """The rear of a train on one leg: what it has come to so far.

    `front` is the number of its foremost vehicle on the leg, None where there is none yet; `length_mm` its length;
    `tension` the force in the coupling ahead of it and `rear_pull` the side pull at the rear end of its foremost
    vehicle, both by head.
    """

    front: int | None
    length_mm: float
    tension: Floats
    rear_pull: Floats


@dataclass(frozen=True)
class Tail:
    """The rear of a train on every leg, and the greatest side use of each car that has its neighbours.

    `uses` is of shape (cars,), 0 for cars not in the tail; `worst` is the greatest of them.
    """

    legs: tuple[_LegTail, ...]
    uses: Floats
    worst: float


@dataclass(frozen=True)
class Standing:
    """A standing order worked out, with every tail of it: `tails[k]` is that of the cars from place k on.

    `uses` is the greatest side use of each car, of shape (cars,), and `worst` the greatest of all.
    """

    order: Order
    tails: tuple[Tail, ...]
    uses: Floats
    worst: float


@dataclass(frozen=True)
class _Leg:
    """One leg ready to be tried: its vehicles, the numbers of its cars among them, and its heads.

    `pairs` are the tables of couplings met so far, by the vehicles ahead and behind.
    """

    vehicles: Vehicles
    vehicle_of: dict[int, int]
    pairs: dict[tuple[int, int], PairTable]
    first_car: int
    from_mm: float
    count: int


class Trial:
    """Works out the side use of a train's cars in any standing order, over all legs of its trip.

    `engines` are those it runs behind. Orders are tuples of numbers into `train.cars`. `stride` is how many table
    steps lie between two heads looked at.
    """

    def __init__(
        self,
        session: Session,
        train: Train,
        tables: RouteTables,
        engines: Sequence[Engine],
        stride: int = STRIDE,
    ) -> None:
        self._tables, self._stride = tables, stride
        self._limits: Limits = limits_of(session)
        self.cars = len(train.cars)
        self.has_helper = bool(train.helpers)
        self.tried = 0
        """How many orders have been worked out, in part or whole."""
        numbers = {car.car.name: number for number, car in enumerate(train.cars)}
        self._legs = []
        for leg in train.legs:
            from_mm, to_mm = train.leg_mm(leg)
            own = [numbers[car.car.name] for car in leg.cars]
            self._legs.append(
                _Leg(
                    vehicles=leg_vehicles(session, engines, leg.cars, train.helpers),
                    vehicle_of={car: len(engines) + k for k, car in enumerate(own)},
                    pairs={},
                    first_car=len(engines),
                    from_mm=from_mm,
                    count=int((to_mm - from_mm) / (stride * tables.step_mm)) + 1,
                )
            )
        self.heads = sum(leg.count for leg in self._legs)
        self._traits = [self._traits_of(car) for car in range(self.cars)]

    def alike(self, one: int, other: int) -> bool:
        """Whether two cars may stand in for each other: the same sizes, weights and legs."""
        return self._traits[one] == self._traits[other]

    def worst(self, order: Order) -> float:
        """The greatest side use of any car in a standing order."""
        return self.standing(order).worst

    def uses(self, order: Order) -> Floats:
        """The greatest side use of each of the train's cars in a standing order, of shape (cars,)."""
        return self.standing(order).uses

    def standing(self, order: Order) -> Standing:
        """A standing order worked out from its rear end to its head."""
        self.tried += 1
        tails = [self.empty(order)]
        for car in reversed(order):
            tails.append(self.extended(tails[-1], car))
        whole = self.closed(tails[-1])
        return Standing(order, tuple(reversed(tails)), whole.uses, whole.worst)

    def below(self, bar: float, order: Order, known: Standing) -> float | None:
        """The worst use of an order if it is below `bar`, else None, sharing the tail it has with a known one.

        The order is given up as soon as one car reaches the bar.
        """
        self.tried += 1
        place = len(order)
        if self.has_helper:
            tail = self.empty(order)
        else:
            while place and order[place - 1] == known.order[place - 1]:
                place -= 1
            tail = known.tails[place]
        for car in reversed(order[:place]):
            if tail.worst >= bar:
                return None
            tail = self.extended(tail, car)
        worst = self.closed(tail).worst
        return worst if worst < bar else None

    def empty(self, order: Order | None = None) -> Tail:
        """The tail before any car. Behind helpers it depends on the whole order, which is then to be given."""
        return Tail(tuple(self._empty_leg(leg, order) for leg in self._legs), np.zeros(self.cars), 0.0)

    def extended(self, tail: Tail, car: int) -> Tail:
        """The tail with one more car ahead of it."""
        uses, legs = tail.uses.copy(), []
        for leg, rear in zip(self._legs, tail.legs, strict=True):
            vehicle = leg.vehicle_of.get(car)
            legs.append(rear if vehicle is None else self._ahead(leg, rear, vehicle, uses))
        return Tail(tuple(legs), uses, float(uses.max(initial=0.0)))

    def closed(self, tail: Tail) -> Tail:
        """The tail of all cars with the engines ahead of it, which settles the foremost car's use."""
        uses = tail.uses.copy()
        for leg, rear in zip(self._legs, tail.legs, strict=True):
            if leg.first_car:
                self._join(leg, rear, leg.first_car - 1, uses)
            elif rear.front is not None:
                self._settle(leg, rear.front, np.zeros(leg.count), rear.rear_pull, uses)
        return Tail(tail.legs, uses, float(uses.max(initial=0.0)))

    def _traits_of(self, car: int) -> tuple[tuple[float, ...] | None, ...]:
        """What a trial knows of a car, leg by leg; None on legs it does not ride."""
        traits: list[tuple[float, ...] | None] = []
        for leg in self._legs:
            k, train = leg.vehicle_of.get(car), leg.vehicles
            columns = (train.length_mm, train.truck_centers_mm, train.pivot_mm, train.weight_g, train.rolling)
            traits.append(None if k is None else tuple(float(column[k]) for column in columns))
        return tuple(traits)

    def _empty_leg(self, leg: _Leg, order: Order | None) -> _LegTail:
        none = np.zeros(leg.count)
        helpers = range(leg.first_car + len(leg.vehicle_of), len(leg.vehicles))
        if not helpers:
            return _LegTail(None, 0.0, none, none)
        if order is None:
            raise ValueError("behind helpers a tail depends on the whole order")
        standing = [leg.vehicle_of[car] for car in order if car in leg.vehicle_of]
        train = leg.vehicles.in_order(np.array([*range(leg.first_car), *standing, *helpers], dtype=np.intp))
        share = np.stack(
            [
                self._read(self._tables.share(float(centers)).share, leg, float(offset))
                for centers, offset in zip(train.truck_centers_mm, train.middle_mm, strict=True)
            ]
        )
        tension = forces(train, share).tension
        coupling = leg.first_car + len(standing) - 1
        if coupling < 0:
            return _LegTail(helpers[0], 0.0, none, none)
        length = float(leg.vehicles.length_mm[helpers.start :].sum())
        return _LegTail(helpers[0], length, tension[coupling], none)

    def _ahead(self, leg: _Leg, rear: _LegTail, vehicle: int, uses: Floats) -> _LegTail:
        """The rear of a leg's train with a car ahead of it; what that settles goes into `uses`."""
        pull = self._join(leg, rear, vehicle, uses)
        train = leg.vehicles
        length = rear.length_mm + float(train.length_mm[vehicle])
        middle = train.total_length_mm - length + 0.5 * float(train.length_mm[vehicle])
        demand = self._read(self._tables.share(float(train.truck_centers_mm[vehicle])).share, leg, middle)
        demand += float(train.rolling[vehicle])
        demand *= float(train.weight_g[vehicle])
        demand += rear.tension
        return _LegTail(vehicle, length, demand, pull)

    def _join(self, leg: _Leg, rear: _LegTail, vehicle: int, uses: Floats) -> Floats:
        """Couple a vehicle ahead of the rear of a leg's train; the side pull at its own rear end."""
        if rear.front is None:
            return np.zeros(leg.count)
        pair = leg.pairs.get((vehicle, rear.front))
        if pair is None:
            pair = leg.pairs[vehicle, rear.front] = self._tables.pair(leg.vehicles, vehicle, rear.front)
        face = leg.vehicles.total_length_mm - rear.length_mm
        front_pull = self._read(pair.behind, leg, face)
        front_pull *= rear.tension
        self._settle(leg, rear.front, front_pull, rear.rear_pull, uses)
        pull = self._read(pair.ahead, leg, face)
        pull *= rear.tension
        return pull

    def _settle(self, leg: _Leg, vehicle: int, front_pull: Floats, rear_pull: Floats, uses: Floats) -> None:
        train = leg.vehicles
        if train.is_engine[vehicle]:
            return
        sizes = (train.weight_g[vehicle], train.pivot_mm[vehicle], train.truck_centers_mm[vehicle])
        car = self._car_of(leg, vehicle)
        uses[car] = max(uses[car], float(side_use(front_pull, rear_pull, *sizes, self._limits).max()))

    @staticmethod
    def _car_of(leg: _Leg, vehicle: int) -> int:
        return next(car for car, number in leg.vehicle_of.items() if number == vehicle)

    def _read(self, column: Floats, leg: _Leg, offset_mm: float) -> Floats:
        index, fraction = self._tables.lookup(leg.from_mm - offset_mm)
        stop = index + self._stride * (leg.count - 1) + 1
        row = column[index : stop : self._stride] * (1.0 - fraction)
        row += fraction * column[index + 1 : stop + 1 : self._stride]
        return row
