"""Standing orders of a train tried at the few places that decide.

Few positions of the head decide how hard a car is pulled aside: those where cars are at their worst in the orders
that were worked out in full. Many orders are worked out there at once. A figure at few places is never above the full
one, so that what they rule out is ruled out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import Figures, Vehicles, evaluate
from consist.trains.few_places import FewPlaces
from consist.trains.prepared import Prepared
from consist.trains.trip import LegRun, Trip

__all__ = ["AtPlaces", "LegOrders", "Orders"]

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]
Order = tuple[int, ...]

CELLS_AT_ONCE = 20_000
"""Orders times places times vehicles worked out at once: what of them is under way stays in a processor's memory."""
MATTERS = 0.5
"""A car's worst place joins the few where its use is more than this share of the train's worst."""


@dataclass(frozen=True)
class AtPlaces:
    """Orders at few places: each car's greatest side use, of shape (orders, cars) by number, and of shape (orders,)
    the greatest share that engines give of what they can pull or hold back."""

    uses: Floats
    engine_share: Floats


@dataclass(frozen=True)
class LegOrders:
    """Orders on one leg: the cars' numbers in standing order, of shape (orders, cars), and the trains they make.

    `leg` is the leg's number, and the head goes from one distance to the other on it.
    """

    leg: int
    from_mm: float
    to_mm: float
    numbers: Numbers
    trains: Vehicles

    def part(self, part: slice | Numbers) -> LegOrders:
        """Some of them."""
        return replace(self, numbers=self.numbers[part], trains=self.trains.orders(part))

    def middle_mm(self, place: Numbers) -> Floats:
        """How far the middle of the car at a place of each order lies behind the head, of shape (orders,)."""
        middles = self.trains.middle_mm[:, :, 0]
        return middles[self.trains.ahead + place, np.arange(len(self.numbers))]


Heads = Callable[[LegOrders], Floats]
"""The heads (mm) at which orders on a leg are worked out, of shape (heads,) or (orders, heads)."""
Closer = Callable[[LegOrders, Floats, Figures], tuple[Numbers, Floats]]
"""Some of the orders on a leg and more heads for those, of shape (orders, heads), from the heads at which all were
worked out and what they came to."""


@dataclass
class _Leg:
    """One leg: its vehicles, the number among them of each car of the train (-1 for none), and its few places."""

    vehicles: Vehicles
    vehicle_of: Numbers
    few: FewPlaces

    def standing(self, orders: Numbers) -> tuple[Numbers, Numbers]:
        """Its vehicles by number, of shape (vehicles, orders), and those of its cars in the train, (orders, cars)."""
        vehicle = self.vehicle_of[orders]
        riding = vehicle >= 0
        by_order = len(orders), len(self.vehicles.cars)
        standing = np.repeat(np.arange(len(self.vehicles))[:, None], len(orders), axis=1)
        standing[self.vehicles.cars.start : self.vehicles.cars.stop] = vehicle[riding].reshape(by_order).T
        return standing, orders[riding].reshape(by_order)


class Orders:
    """A train whose cars, by number as they stand in it, are tried in other orders."""

    def __init__(self, of: Prepared) -> None:
        self._of = of
        self.cars = len(of.train.cars)
        self._legs = []
        for leg in of.train.legs:
            names = [car.car.name for car in leg.cars]
            riding = [names.index(name) if (name := car.car.name) in names else None for car in of.train.cars]
            vehicle_of = [-1 if place is None else len(of.engines) + place for place in riding]
            vehicles = of.arrays(of.engines, leg.cars, of.train.helpers)
            few = FewPlaces(vehicles, of.tables, of.limits)
            self._legs.append(_Leg(vehicles, np.array(vehicle_of, dtype=np.intp), few))
        self.looked = 0
        self._known: dict[Order, Trip] = {}
        self._placed: set[Order] = set()

    @property
    def places(self) -> int:
        """How many positions of the head `at_places` looks at by now."""
        return sum(len(leg.few) for leg in self._legs)

    @property
    def heads(self) -> int:
        """About how many positions `in_full` looks at."""
        return int(self._of.train.route.length_mm / self._of.tables.step_mm)

    def trip(self, order: Sequence[int]) -> Trip:
        """An order worked out in full; the places where its cars are then at their worst join the few."""
        key = tuple(int(number) for number in order)
        if key not in self._known:
            self._known[key] = self._of.in_order([self._of.train.cars[number] for number in key]).run()
        self.know(key, self._known[key])
        return self._known[key]

    def know(self, order: Order, trip: Trip) -> None:
        """Take in an order that was worked out in full."""
        self._known[order] = trip
        if order not in self._placed:
            self._placed.add(order)
            for leg, run in zip(self._legs, trip.legs, strict=True):
                _take_places(leg, run, trip.worst_use)

    def begin_anew(self, orders: Sequence[Order]) -> None:
        """Leave no places among the few but those of some orders: where others decide little, few are fast."""
        self._placed.clear()
        for leg in self._legs:
            leg.few = FewPlaces(leg.vehicles, self._of.tables, self._of.limits)
        for order in orders:
            self.trip(order)

    def in_full(self, order: Sequence[int]) -> Floats:
        """Each car's greatest side use in an order, in full, of shape (cars,) by number."""
        uses = self.trip(order).uses
        return np.array([uses[car.car.name] for car in self._of.train.cars])

    def at_places(self, orders: Numbers, limits: Floats | None = None) -> Floats:
        """Each car's greatest side use at the few places, of shape (orders, cars) by number.

        `orders` is of the same shape, a row the numbers of cars in standing order. Figures are never above those in
        full. An order that comes to its limit, of shape (orders,), at some places is not looked at at others.
        """
        found = np.zeros(orders.shape)
        left = np.arange(len(orders))
        for leg in sorted(self._legs, key=lambda leg: -leg.few.ruled_out.sum()):
            if len(leg.vehicles.cars) and len(leg.few):
                left = self._on_leg(leg, orders, left, limits, found)
        return found

    def _on_leg(self, leg: _Leg, orders: Numbers, left: Numbers, limits: Floats | None, found: Floats) -> Numbers:
        """Raise what was found of those orders left to what they come to on a leg, and tell which are left then."""
        standing, numbers = leg.standing(orders[left])
        trains = leg.vehicles.pick(standing[:, :, None])
        rows = np.arange(len(left))
        for part in leg.few.parts:
            self.looked += len(rows) * numbers.shape[1] * len(part.places)
            coupled = part.rows(standing[:, rows])
            each = max(CELLS_AT_ONCE // (len(standing) * len(part.places)), 1)
            for some in (slice(first, first + each) for first in range(0, len(rows), each)):
                here = rows[some]
                uses = part.uses(trains.orders(here), None if coupled is None else coupled[:, some])
                at = left[here, None], numbers[here]
                found[at] = np.maximum(found[at], uses.max(axis=2).T)
                if limits is not None:
                    out = uses.max(axis=(0, 2)) >= limits[left[here]]
                    leg.few.count(part.places, uses[:, out].max(axis=0).argmax(axis=1))
            if limits is not None:
                rows = rows[found[left[rows]].max(axis=1) < limits[left[rows]]]
                if not len(rows):
                    break
        return left[rows]

    def at(self, orders: Numbers, heads: Heads, closer: Closer | None = None) -> AtPlaces:
        """Orders at whatever heads are asked for on each leg; `closer` may ask for more once those are known."""
        found = AtPlaces(np.zeros(orders.shape), np.zeros(len(orders)))
        for whole in self._on_legs(orders):
            at = np.asarray(heads(whole))
            if not at.size:
                continue
            each = max(CELLS_AT_ONCE // (len(whole.trains) * at.shape[-1]), 1)
            for first in range(0, len(orders), each):
                part = slice(first, first + each)
                on, here = whole.part(part), at if at.ndim == 1 else at[part]
                figures = evaluate(on.trains, self._of.tables, here, self._of.limits)
                numbers = np.arange(len(orders))[part]
                _raise(found, numbers, on, figures)
                some, here = closer(on, here, figures) if closer is not None else (numbers[:0], here)
                if len(some):
                    on = on.part(some)
                    _raise(found, numbers[some], on, evaluate(on.trains, self._of.tables, here, self._of.limits))
        return found

    def _on_legs(self, orders: Numbers) -> Iterator[LegOrders]:
        for number, leg in enumerate(self._legs):
            if not len(leg.vehicles.cars):
                continue
            standing, numbers = leg.standing(orders)
            stretch = self._of.train.leg_mm(self._of.train.legs[number])
            yield LegOrders(number, *stretch, numbers, leg.vehicles.pick(standing[:, :, None]))

    def alike(self, one: int, other: int) -> bool:
        """Whether two cars may stand in for each other: the same sizes, weights and legs."""
        return self._traits[one] == self._traits[other]

    @cached_property
    def _traits(self) -> list[tuple[object, ...]]:
        return [self._traits_of(car) for car in range(self.cars)]

    def _traits_of(self, car: int) -> tuple[object, ...]:
        own = self._of.train.cars[car]
        arrays = self._of.arrays((), [own], ())
        columns = (arrays.length_mm, arrays.truck_centers_mm, arrays.pivot_mm, arrays.weight_g, arrays.rolling)
        return own.joins, own.leaves, bool(arrays.on_truck[0]), *(float(column[0]) for column in columns)


def _take_places(leg: _Leg, run: LegRun, worst_use: float) -> None:
    """Let the places join at which the cars of a leg are at their worst, the hardest pressed first."""
    uses, heads = run.peaks.use.value, run.peaks.use.head_mm
    for vehicle in sorted(run.vehicles.cars, key=lambda vehicle: -uses[vehicle]):
        if uses[vehicle] > MATTERS * worst_use:
            leg.few.add(float(heads[vehicle]))


def _raise(found: AtPlaces, orders: Numbers, on: LegOrders, figures: Figures) -> None:
    """Raise what was found of some orders to what they come to on a leg."""
    cars = on.trains.cars
    worst = figures.use[cars.start : cars.stop].max(axis=2).T
    rows = orders[:, None]
    found.uses[rows, on.numbers] = np.maximum(found.uses[rows, on.numbers], worst)
    shares = np.abs(figures.forces.engine_share).max(axis=1)
    found.engine_share[orders] = np.maximum(found.engine_share[orders], shares)
