"""A train as arrays: one entry a vehicle, engines, cars and helpers in running order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from consist.scales import Scale
from consist.stock import Car, Engine

__all__ = ["Vehicles", "vehicles"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Vehicles:
    """Vehicles in running order, each field an array of shape (vehicles,).

    Lengths in mm, weights and pulls in gram-force. `pivot_mm` is the distance of each coupler pivot from the
    middle; `rolling` a share of weight, 0 for an engine; `pull_g` the level pull net of the house's reserve, 0
    for a car.
    """

    length_mm: Floats
    truck_centers_mm: Floats
    pivot_mm: Floats
    weight_g: Floats
    rolling: Floats
    pull_g: Floats
    is_engine: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.length_mm)

    @cached_property
    def total_length_mm(self) -> float:
        """Over the pulling faces of the first and the last vehicle."""
        return float(self.length_mm.sum())

    @cached_property
    def middle_mm(self) -> Floats:
        """How far each vehicle's middle lies behind the head of the train."""
        return np.cumsum(self.length_mm) - 0.5 * self.length_mm

    @cached_property
    def cars(self) -> NDArray[np.intp]:
        """Indices of the cars."""
        return np.flatnonzero(~self.is_engine)

    @cached_property
    def engines(self) -> NDArray[np.intp]:
        """Indices of the engines, helpers included."""
        return np.flatnonzero(self.is_engine)

    def in_order(self, order: NDArray[np.intp]) -> Vehicles:
        """The same vehicles in another order, `order` holding indices of this one."""
        return Vehicles(
            self.length_mm[order],
            self.truck_centers_mm[order],
            self.pivot_mm[order],
            self.weight_g[order],
            self.rolling[order],
            self.pull_g[order],
            self.is_engine[order],
        )


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
        is_engine=np.array([isinstance(item, Engine) for item in stock], dtype=bool),
    )


def _floats(values: object) -> Floats:
    return np.array(list(values), dtype=np.float64)  # type: ignore[call-overload]
