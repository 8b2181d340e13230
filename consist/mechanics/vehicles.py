"""Trains as arrays: one entry a vehicle along the first axis, engines, cars and helpers in running order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from consist.scales import Scale
from consist.stock import Car, Engine

__all__ = ["Vehicles", "vehicles"]

Floats = NDArray[np.float64]

NO_SETBACK_MM = 1e-6
"""Pivots are no nearer than this to the pulling face."""


@dataclass(frozen=True)
class Vehicles:
    """A train, or trains of the same vehicles in several orders, as arrays.

    Fields are of shape (vehicles,), or (vehicles, orders, 1) for several orders at once, the last axis being that of
    positions of the head. Lengths in mm, weights and
    pulls in gram-force. `pivot_mm` is the distance of each coupler pivot from the middle; `rolling` a share of
    weight, 0 for an engine; `pull_g` the level pull net of the house's reserve, 0 for a car. The first `ahead` and
    the last `behind` vehicles are engines, all others cars. Those behind give as large a share of what they can as
    those ahead do, or `helper_part` times that, of shape (orders, 1). Where there is no engine somebody's hand draws
    the cars from ahead, or pushes them from behind where `hand_behind`.
    """

    length_mm: Floats
    truck_centers_mm: Floats
    pivot_mm: Floats
    weight_g: Floats
    rolling: Floats
    pull_g: Floats
    on_truck: NDArray[np.bool_]
    ahead: int
    behind: int
    helper_part: Floats | None = None
    hand_behind: bool = False

    def __len__(self) -> int:
        return len(self.length_mm)

    @cached_property
    def total_length_mm(self) -> float:
        """Over the pulling faces of the first and the last vehicle."""
        return float(self.length_mm.sum())

    @cached_property
    def middle_mm(self) -> Floats:
        """How far each vehicle's middle lies behind the head of the train."""
        return np.cumsum(self.length_mm, axis=0) - 0.5 * self.length_mm

    @property
    def columns(self) -> Vehicles:
        """The same with an axis for positions of the head in every field."""
        return self if self.length_mm.ndim > 1 else self._columns

    @cached_property
    def _columns(self) -> Vehicles:
        return self.pick(np.arange(len(self))[:, None])

    @cached_property
    def swing_mm(self) -> float:
        """How far any coupling swings at most from any vehicle, in radians times the radius, on slight curves.

        On a curve a pivot lies aside of the track by about (setback² + |e² - B²/4|)/2R at most, whatever the track
        next to it, and the vehicle is turned by C/2R from the track where the two meet.
        """
        setback = np.maximum(0.5 * self.length_mm - self.pivot_mm, NO_SETBACK_MM)
        aside = 0.5 * (setback + np.abs(self.pivot_mm**2 - 0.25 * self.truck_centers_mm**2) / setback)
        return float(aside.max(initial=0.0) + 0.5 * self.length_mm.max(initial=0.0))

    @property
    def cars(self) -> range:
        """The numbers of the cars."""
        return range(self.ahead, len(self) - self.behind)

    @property
    def engines(self) -> list[int]:
        """The numbers of the engines, helpers included."""
        return [*range(self.ahead), *range(len(self) - self.behind, len(self))]

    def pick(self, order: NDArray[np.intp] | slice | tuple[NDArray[np.intp], NDArray[np.intp]]) -> Vehicles:
        """The vehicles of those numbers, engines where this one has them.

        An `order` of shape (vehicles, orders, 1) gives several trains. Of several trains it may be a pair: numbers of
        shape (vehicles, orders), and the train each is taken from.
        """
        return self._with([column[order] for column in self._floats], self.on_truck[order])

    def orders(self, part: slice | NDArray[np.intp]) -> Vehicles:
        """Some of several trains."""
        return self._with([column[:, part] for column in self._floats], self.on_truck[:, part])

    def behind_engines(self, engines: Vehicles) -> Vehicles:
        """The same train with other engines at its head end, as many as `engines` has vehicles."""
        own = self.pick(slice(self.ahead, None))
        both = zip(engines._floats, own._floats, strict=True)
        on_truck = np.concatenate((engines.on_truck, own.on_truck))
        return replace(own._with([np.concatenate(pair) for pair in both], on_truck), ahead=len(engines))

    @property
    def _floats(self) -> list[Floats]:
        return [
            self.length_mm, self.truck_centers_mm, self.pivot_mm, self.weight_g, self.rolling, self.pull_g,
        ]  # fmt: skip

    def _with(self, floats: list[Floats], on_truck: NDArray[np.bool_]) -> Vehicles:
        length, centers, pivot, weight, rolling, pull = floats
        ends = self.ahead, self.behind, self.helper_part, self.hand_behind
        return Vehicles(length, centers, pivot, weight, rolling, pull, on_truck, *ends)


def vehicles(
    engines: Sequence[Engine],
    cars: Sequence[tuple[Car, bool]],
    helpers: Sequence[Engine],
    scale: Scale,
    pull_reserve: float,
) -> Vehicles:
    """A train of engines, cars (each with whether it is loaded) and helpers, as arrays."""
    stock: list[Engine | Car] = [*engines, *(car for car, _ in cars), *helpers]
    weights = [
        *(engine.weight_g for engine in engines),
        *(car.running_weight_g(loaded) for car, loaded in cars),
        *(engine.weight_g for engine in helpers),
    ]
    length = _floats(item.coupled_length_mm for item in stock)
    centers = _floats(item.truck_centers_mm for item in stock)
    on_truck = np.array([isinstance(item, Car) and item.coupler_mount == "truck" for item in stock], dtype=bool)
    return Vehicles(
        length_mm=length,
        truck_centers_mm=centers,
        pivot_mm=np.where(on_truck, 0.5 * centers, 0.5 * length - scale.pivot_setback_mm),
        weight_g=_floats(weights),
        rolling=_floats(item.rolling if isinstance(item, Car) else 0.0 for item in stock),
        pull_g=_floats(item.pull_g * (1.0 - pull_reserve) if isinstance(item, Engine) else 0.0 for item in stock),
        on_truck=on_truck,
        ahead=len(engines),
        behind=len(helpers),
    )


def _floats(values: object) -> Floats:
    return np.array(list(values), dtype=np.float64)  # type: ignore[call-overload]
