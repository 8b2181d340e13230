"""Standing orders of a train tried at the few places that decide.

Few positions of the head decide how hard a car is pulled aside: those where cars are at their worst in the orders
that were worked out in full. Many orders are worked out there at once. A figure at few places is never above the full
one, so that what they rule out is ruled out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import Couplings, Figures, Vehicles, evaluate, worked_out
from consist.trains.prepared import Prepared
from consist.trains.trip import LegRun, Trip

__all__ = ["AtPlaces", "LegOrders", "Orders"]

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]
Order = tuple[int, ...]

CELLS_AT_ONCE = 20_000
"""Orders times places times vehicles worked out at once: what of them is under way stays in a processor's memory."""
NEAR_MM = 0.5
"""Places nearer than this are one."""
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

    `leg` is the leg's number, and the head goes from one distance to the other on it. `standing` are the numbers of
    the leg's vehicles, engines and all, of shape (vehicles, orders).
    """

    leg: int
    from_mm: float
    to_mm: float
    numbers: Numbers
    standing: Numbers
    trains: Vehicles

    def part(self, part: slice | Numbers) -> LegOrders:
        """Some of them."""
        return replace(
            self, numbers=self.numbers[part], standing=self.standing[:, part], trains=self.trains.orders(part)
        )

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
    couplings: Couplings
    places_mm: list[float] = field(default_factory=list)

    def add(self, head_mm: float) -> None:
        """Let a place join."""
        if all(abs(head_mm - known) > NEAR_MM for known in self.places_mm):
            self.places_mm.append(head_mm)


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
            self._legs.append(_Leg(vehicles, np.array(vehicle_of, dtype=np.intp), Couplings(vehicles, of.tables)))
        self._known: dict[Order, Trip] = {}

    @property
    def places(self) -> int:
        """How many positions of the head `at_places` looks at by now."""
        return sum(len(leg.places_mm) for leg in self._legs)

    @property
    def heads(self) -> int:
        """About how many positions `in_full` looks at."""
        return int(self._of.train.route.length_mm / self._of.tables.step_mm)

    def trip(self, order: Sequence[int]) -> Trip:
        """An order worked out in full; the places where its cars are then at their worst join the few."""
        key = tuple(int(number) for number in order)
        if key not in self._known:
            self.know(key, self._of.in_order([self._of.train.cars[number] for number in key]).run())
        return self._known[key]

    def know(self, order: Order, trip: Trip) -> None:
        """Take in an order that was worked out in full."""
        self._known[order] = trip
        for leg, run in zip(self._legs, trip.legs, strict=True):
            _take_places(leg, run, trip.worst_use)

    def in_full(self, order: Sequence[int]) -> Floats:
        """Each car's greatest side use in an order, in full, of shape (cars,) by number."""
        uses = self.trip(order).uses
        return np.array([uses[car.car.name] for car in self._of.train.cars])

    def at_places(self, orders: Numbers) -> Floats:
        """Each car's greatest side use at the few places, of shape (orders, cars) by number.

        `orders` is of the same shape, a row the numbers of cars in standing order. Figures are never above those in
        full.
        """
        return self.at(orders, lambda on: np.array(self._legs[on.leg].places_mm)).uses

    def at(self, orders: Numbers, heads: Heads, closer: Closer | None = None) -> AtPlaces:
        """Orders at whatever heads are asked for on each leg; `closer` may ask for more once those are known."""
        found = AtPlaces(np.zeros(orders.shape), np.zeros(len(orders)))
        for whole in self._on_legs(orders):
            at = np.asarray(heads(whole))
            if not at.size:
                continue
            couplings = self._legs[whole.leg].couplings
            rows = couplings.rows(whole.standing, at) if at.ndim == 1 and couplings.able else None
            each = max(CELLS_AT_ONCE // (len(whole.trains) * at.shape[-1]), 1)
            for first in range(0, len(orders), each):
                part = slice(first, first + each)
                on, here = whole.part(part), at if at.ndim == 1 else at[part]
                if rows is None:
                    figures = evaluate(on.trains, self._of.tables, here, self._of.limits)
                else:
                    stand = couplings.standing(rows[:, part])
                    figures = worked_out(on.trains, stand, self._of.tables.flange_drag, self._of.limits)
                numbers = np.arange(len(orders))[part]
                _raise(found, numbers, on, figures)
                some, here = closer(on, here, figures) if closer is not None else (numbers[:0], here)
                if len(some):
                    on = on.part(some)
                    _raise(found, numbers[some], on, evaluate(on.trains, self._of.tables, here, self._of.limits))
        return found

    def _on_legs(self, orders: Numbers) -> Iterator[LegOrders]:
        for number, leg in enumerate(self._legs):
            vehicle = leg.vehicle_of[orders]
            riding = vehicle >= 0
            count = len(leg.vehicles.cars)
            if not count:
                continue
            cars = vehicle[riding].reshape(len(orders), count)
            lead, helpers = (
                np.broadcast_to(np.array(engines, dtype=np.intp), (len(orders), len(engines)))
                for engines in (range(leg.vehicles.ahead), range(leg.vehicles.ahead + count, len(leg.vehicles)))
            )
            standing = np.concatenate((lead, cars, helpers), axis=1).T
            stretch = self._of.train.leg_mm(self._of.train.legs[number])
            numbers = orders[riding].reshape(len(orders), count)
            yield LegOrders(number, *stretch, numbers, standing, leg.vehicles.pick(standing[:, :, None]))

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
            leg.add(float(heads[vehicle]))


def _raise(found: AtPlaces, orders: Numbers, on: LegOrders, figures: Figures) -> None:
    """Raise what was found of some orders to what they come to on a leg."""
    cars = on.trains.cars
    worst = figures.use[cars.start : cars.stop].max(axis=2).T
    rows = orders[:, None]
    found.uses[rows, on.numbers] = np.maximum(found.uses[rows, on.numbers], worst)
    shares = np.abs(figures.forces.engine_share).max(axis=1)
    found.engine_share[orders] = np.maximum(found.engine_share[orders], shares)
