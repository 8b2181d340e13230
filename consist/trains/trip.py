"""A train's whole trip run leg by leg, with the cars then in it, and the peaks of each leg."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import (
    CAN,
    Limits,
    Peaks,
    RouteTables,
    Strained,
    Vehicles,
    batches,
    evaluate,
    even_heads,
    strained,
    swing_peaks,
)
from consist.session import CarInTrain, Leg, Train
from consist.stock import Engine

__all__ = ["LegRun", "Swing", "Trip"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Swing:
    """The greatest sine of the angle between a coupling and a vehicle's axis, and where the head is then (mm)."""

    sine: float
    head_mm: float


@dataclass(frozen=True)
class LegRun:
    """One leg run: its vehicles as arrays, their names, and the peaks, all from the end that leads on it."""

    leg: Leg
    from_mm: float
    to_mm: float
    tables: RouteTables
    limits: Limits
    vehicles: Vehicles
    names: tuple[str, ...]
    peaks: Peaks

    @property
    def cars(self) -> tuple[CarInTrain, ...]:
        """The cars on this leg, from the end that leads: where it backs the last in standing order first."""
        return self.leg.cars[::-1] if self.leg.backing else self.leg.cars

    @property
    def first_car(self) -> int:
        """The number of the first car among the vehicles, which is that of the engines ahead of it."""
        return self.vehicles.ahead

    @property
    def worst_use(self) -> float:
        """The greatest side use of any car, 0 where the leg has none."""
        return float(np.max(self.peaks.use.value, initial=0.0))

    @property
    def weight_g(self) -> float:
        """What the cars weigh together."""
        return float(self.vehicles.weight_g[self.vehicles.cars].sum())

    @property
    def powered(self) -> bool:
        """Whether it has an engine at either end."""
        return bool(self.vehicles.engines)

    def uses_along(self) -> tuple[Floats, Floats]:
        """Heads (mm) at every table step, and each vehicle's side use there, of shape (vehicles, heads)."""
        heads = even_heads(self.tables, self.from_mm, self.to_mm, 0.0)
        parts = (heads[part] for part in batches(self.vehicles, heads))
        uses = [evaluate(self.vehicles, self.tables, part, self.limits).use for part in parts]
        return heads, np.concatenate(uses, axis=1)

    def tension_at(self, head_mm: float) -> Floats:
        """The force in each coupling (gram-force) with the head there."""
        figures = evaluate(self.vehicles, self.tables, np.array([head_mm]), self.limits)
        return figures.forces.tension[:, 0]

    def swings(self, coupling: int) -> tuple[Swing, Swing]:
        """How far a coupling swings at most, at the vehicle ahead of it and at the one behind."""
        ahead, behind = swing_peaks(self.vehicles, coupling, self.tables, self.from_mm, self.to_mm)
        return Swing(*ahead), Swing(*behind)

    @property
    def cannot_stand(self) -> list[int]:
        """The couplings that cannot stand somewhere on the leg."""
        return [int(coupling) for coupling in np.flatnonzero(self.peaks.strain.value > CAN)]

    def strained(self, coupling: int) -> tuple[Strained, float]:
        """What is asked of a coupling where most is, and where the head is then (mm)."""
        head_mm = float(self.peaks.strain.head_mm[coupling])
        return strained(self.vehicles, self.tables, coupling, head_mm), head_mm

    def swings_of(self, vehicle: int) -> tuple[Swing, ...]:
        """How far the couplings at a vehicle's front and rear end swing at most at that vehicle."""
        couplings = range(max(vehicle - 1, 0), min(vehicle + 1, len(self.vehicles) - 1))
        return tuple(self.swings(coupling)[vehicle - coupling] for coupling in couplings)


@dataclass(frozen=True)
class Trip:
    """A train run over its whole route behind given engines."""

    train: Train
    engines: tuple[Engine, ...]
    helpers: tuple[Engine, ...]
    legs: tuple[LegRun, ...]

    @cached_property
    def worst_leg(self) -> LegRun:
        """The leg with the greatest side use; of equals the heaviest, then the first."""
        return max(self.legs, key=lambda leg: (leg.worst_use, leg.weight_g))

    @property
    def worst_use(self) -> float:
        """The greatest side use of any car on any leg."""
        return self.worst_leg.worst_use

    @cached_property
    def uses(self) -> dict[str, float]:
        """Each car's greatest side use over the trip, in standing order."""
        uses = {car.car.name: 0.0 for car in self.train.cars}
        for leg in self.legs:
            for vehicle, car in enumerate(leg.cars, start=leg.first_car):
                uses[car.car.name] = max(uses[car.car.name], float(leg.peaks.use.value[vehicle]))
        return uses

    @property
    def power_use(self) -> float:
        """The greatest share of their usable pull that the engines give, infinite where they have none."""
        return max(float(leg.peaks.power_use.value[0]) for leg in self.legs)

    @property
    def hold_use(self) -> float:
        """The greatest share that engines hold back of what they can, infinite where they can hold nothing."""
        return max(float(leg.peaks.hold_use.value[0]) for leg in self.legs)

    @property
    def worst_car(self) -> tuple[LegRun, int, float] | None:
        """The leg with the greatest side use, the vehicle whose it is, and where the head end is then; or None."""
        leg = self.worst_leg
        if leg.worst_use <= 0.0:
            return None
        vehicle = int(np.argmax(leg.peaks.use.value))
        return leg, vehicle, float(leg.peaks.use.head_mm[vehicle])

    def place_of(self, leg: LegRun, vehicle: int, head_mm: float) -> str:
        """Where the middle of a vehicle stands when the head is there, in words."""
        return self.train.route.place_at(head_mm - float(leg.vehicles.middle_mm[vehicle]), leg.leg.run)
