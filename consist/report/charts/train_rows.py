"""A train's vehicles set in rows at one scale, for a drawing that is narrower than the train is long."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from consist.evening.overview import TrainOverview
from consist.report.words import clean
from consist.session import Train
from consist.stock import Engine

__all__ = ["Placed", "TrainRows", "Vehicle", "vehicles_of"]

MOST = 96.0
"""The shortest vehicle is drawn no longer than that in a short train."""
WIDEST_SHARE = 0.5
"""No vehicle is drawn longer than this share of a row."""
FILLED = 0.9
"""How full rows are on the whole, since no vehicle is parted between two."""


@dataclass(frozen=True)
class Vehicle:
    """What is drawn of a vehicle: `spot` and `use` are None for an engine, `was` where it did not move."""

    name: str
    length_mm: float
    truck_centers_mm: float
    weight_g: float
    spot: int | None = None
    use: float | None = None
    was: int | None = None
    worst: bool = False


@dataclass(frozen=True)
class Placed:
    """A vehicle in a row, row 0 the first, from `left` to `right` in drawing units."""

    vehicle: Vehicle
    row: int
    left: float
    right: float

    @property
    def middle(self) -> float:
        """Its middle."""
        return 0.5 * (self.left + self.right)

    @property
    def length(self) -> float:
        """How long it is drawn."""
        return self.right - self.left


class TrainRows:
    """Vehicles from the head end, left to right and row by row; all rows have the same scale, `per_mm`.

    The shortest vehicle is drawn at least `least` long, so that its words fit.
    """

    def __init__(self, vehicles: Sequence[Vehicle], left: float, right: float, least: float) -> None:
        lengths = [vehicle.length_mm for vehicle in vehicles]
        self.per_mm = _scale(lengths, right - left, least)
        rows = _rows(lengths, (right - left) / self.per_mm)
        self.count = rows[-1] + 1
        self.placed: list[Placed] = []
        at, row = left, 0
        for vehicle, its_row in zip(vehicles, rows, strict=True):
            if its_row != row:
                at, row = left, its_row
            end = at + vehicle.length_mm * self.per_mm
            self.placed.append(Placed(vehicle, row, at, end))
            at = end


def vehicles_of(
    seen: TrainOverview, train: Train, uses: Mapping[str, float], was: Mapping[str, int]
) -> list[Vehicle]:
    """A train's engines, cars and helpers; by car, `uses` is its side use and `was` the spot that it stood in."""
    worst = max(uses, key=lambda name: uses[name], default="")
    cars = [
        Vehicle(
            clean(one.car.name),
            one.car.coupled_length_mm,
            one.car.truck_centers_mm,
            one.weight_g,
            one.spot,
            uses.get(one.car.name, 0.0),
            was[one.car.name] if was[one.car.name] != one.spot else None,
            one.car.name == worst and uses[worst] > 0.0,
        )
        for one in train.cars
    ]
    return [*map(_engine, seen.engines), *cars, *map(_engine, train.helpers)]


def _engine(engine: Engine) -> Vehicle:
    return Vehicle(clean(engine.name), engine.coupled_length_mm, engine.truck_centers_mm, engine.weight_g)


def _scale(lengths: Sequence[float], row: float, shortest: float) -> float:
    """The scale at which the shortest vehicle has room for its words, enlarged to fill the rows that it takes.

    It is the same for any order of the same vehicles, so that two orders can be held side by side.
    """
    most = WIDEST_SHARE * row / max(lengths)
    least = min(shortest / min(lengths), most)
    total = sum(lengths)
    if total * least <= row:
        return max(least, min(row / total, MOST / min(lengths), most))
    rows = ceil(total * least / (FILLED * row))
    return max(least, min(FILLED * rows * row / total, most))


def _rows(lengths: Sequence[float], row_mm: float) -> list[int]:
    """The row of each vehicle, a row being that long."""
    rows, row, taken = [], 0, 0.0
    for length in lengths:
        if taken > 0.0 and taken + length > row_mm * (1.0 + 1e-9):
            row, taken = row + 1, 0.0
        taken += length
        rows.append(row)
    return rows
