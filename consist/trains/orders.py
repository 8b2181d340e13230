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
from consist.session import Leg
from consist.trains.few_places import CELLS_AT_ONCE, FewPlaces
from consist.trains.prepared import Prepared, turned_about
from consist.trains.trip import Trip

__all__ = ["AtPlaces", "LegOrders", "Orders"]

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]
Order = tuple[int, ...]

MATTERS = 0.5
"""A car's worst place joins the few where its use is more than this share of the train's worst."""


@dataclass(frozen=True)
class AtPlaces:
    """Orders at few places: each car's greatest side use, of shape (orders, cars) by number, and of shape (orders,)
    the greatest share that engines give of what they can pull or hold back."""

    uses: Floats
    engine_share: Floats

    def take(self, orders: Numbers, on: LegOrders, figures: Figures) -> None:
        """Raise what was found of some orders to what they come to on a leg."""
        cars, at = on.trains.cars, (orders[:, None], on.numbers)
        self.uses[at] = np.maximum(self.uses[at], figures.use[cars.start : cars.stop].max(axis=2).T)
        shares = np.abs(figures.forces.engine_share).max(axis=1)
        self.engine_share[orders] = np.maximum(self.engine_share[orders], shares)


@dataclass(frozen=True)
class LegOrders:
    """Orders on one leg: the cars' numbers, of shape (orders, cars), and the trains they make.

    All are from the end that leads on it. The head goes from one distance to the other.
    """

    leg: Leg
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


class Orders:
    """A train whose cars, by number as they stand in it, are tried in other orders."""

    def __init__(self, of: Prepared) -> None:
        self._of = of
        self.cars = len(of.train.cars)
        self._known: dict[Order, Trip] = {}
        self._placed: set[Order] = set()
        # by leg, the number among its vehicles of each car of the train, -1 for none
        self._vehicle_of: list[Numbers] = []
        self._few: list[FewPlaces] = []
        for leg in of.train.legs:
            ahead, cars, _ = turned_about(leg, of.engines, leg.cars, of.train.helpers)
            vehicle = {car.car.name: number for number, car in enumerate(cars, start=len(ahead))}
            numbers = [vehicle.get(car.car.name, -1) for car in of.train.cars]
            self._vehicle_of.append(np.array(numbers, dtype=np.intp))
            whole = of.on_leg(leg, of.engines, leg.cars, of.train.helpers)
            self._few.append(FewPlaces(whole, of.tables(leg), of.limits))

    @property
    def places(self) -> int:
        """How many positions of the head `at_places` looks at by now."""
        return sum(map(len, self._few))

    @property
    def looked(self) -> int:
        """How often `at_places` has looked at one car at one position of the head by now."""
        return sum(few.looked for few in self._few)

    @property
    def heads(self) -> int:
        """About how many positions of the head `trip` looks at."""
        return int(self._of.train.route.length_mm / self._of.step_mm)

    @cached_property
    def kinds(self) -> Numbers:
        """By car, the first car that may stand in for it: of the same sizes, weight and legs."""
        cars = self._of.train.cars
        one = self._of.arrays((), cars, ())
        sizes = one.length_mm, one.truck_centers_mm, one.pivot_mm, one.weight_g, one.rolling, one.on_truck
        traits = zip(*sizes, [(car.joins, car.leaves) for car in cars], strict=True)
        first: dict[tuple[object, ...], int] = {}
        return np.array([first.setdefault(own, number) for number, own in enumerate(traits)], dtype=np.intp)

    def trip(self, order: Sequence[int]) -> Trip:
        """An order worked out in full; the places where its cars are then at their worst join the few."""
        key = tuple(int(number) for number in order)
        if key not in self._known:
            cars = tuple(self._of.train.cars[number] for number in key)
            self._known[key] = self._of.in_order(cars).run()
        self.know(key, self._known[key])
        return self._known[key]

    def know(self, order: Order, trip: Trip) -> None:
        """Take in an order that was worked out in full: its hardest pressed cars' places first."""
        self._known[order] = trip
        if order in self._placed:
            return
        self._placed.add(order)
        for few, run in zip(self._few, trip.legs, strict=True):
            uses, heads = run.peaks.use.value, run.peaks.use.head_mm
            for vehicle in sorted(run.vehicles.cars, key=lambda vehicle: -uses[vehicle]):
                if uses[vehicle] > MATTERS * trip.worst_use:
                    few.add(float(heads[vehicle]))

    def begin_anew(self, orders: Sequence[Order]) -> None:
        """Leave no places among the few but those of some orders: where others decide little, few are fast."""
        self._placed.clear()
        for few in self._few:
            few.clear()
        for order in orders:
            self.trip(order)

    def at_places(self, orders: Numbers, limits: Floats | None = None) -> Floats:
        """Each car's greatest side use at the few places, of shape (orders, cars) by number.

        `orders` is of the same shape, a row the numbers of cars in standing order. Figures are never above those in
        full. An order that comes to its limit, of shape (orders,), at some places is not looked at at others.
        """
        found = np.zeros(orders.shape)
        left = np.arange(len(orders))
        for leg in sorted(range(len(self._few)), key=lambda leg: -self._few[leg].ruled_out.sum()):
            if len(self._few[leg].vehicles.cars) and len(self._few[leg]):
                standing, numbers = self._standing(leg, orders[left])
                uses, still = self._few[leg].uses(standing, None if limits is None else limits[left])
                at = left[:, None], numbers
                found[at] = np.maximum(found[at], uses.T)
                left = left[still]
        return found

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
                on, here, numbers = whole.part(part), at if at.ndim == 1 else at[part], np.arange(len(orders))[part]
                tables = self._of.tables(on.leg)
                figures = evaluate(on.trains, tables, here, self._of.limits)
                found.take(numbers, on, figures)
                some, here = closer(on, here, figures) if closer is not None else (numbers[:0], here)
                if len(some):
                    on = on.part(some)
                    found.take(numbers[some], on, evaluate(on.trains, tables, here, self._of.limits))
        return found

    def _on_legs(self, orders: Numbers) -> Iterator[LegOrders]:
        for number, leg in enumerate(self._of.train.legs):
            if leg.cars:
                standing, numbers = self._standing(number, orders)
                trains = self._few[number].vehicles.pick(standing[:, :, None])
                yield LegOrders(leg, *self._of.train.leg_mm(leg), numbers, trains)

    def _standing(self, leg: int, orders: Numbers) -> tuple[Numbers, Numbers]:
        """A leg's vehicles by number, of shape (vehicles, orders), and its cars by number in the train, by order."""
        if self._of.train.legs[leg].backing:
            orders = orders[:, ::-1]
        vehicles, vehicle = self._few[leg].vehicles, self._vehicle_of[leg][orders]
        riding = vehicle >= 0
        by_order = len(orders), len(vehicles.cars)
        standing = np.repeat(np.arange(len(vehicles))[:, None], len(orders), axis=1)
        standing[vehicles.cars.start : vehicles.cars.stop] = vehicle[riding].reshape(by_order).T
        return standing, orders[riding].reshape(by_order)
