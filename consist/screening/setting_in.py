"""A guest car set into a train, all others as they stand, and what of the route it then rides over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from consist.session import CarInTrain, Train
from consist.track import Line

__all__ = ["guest_in", "lines_ridden", "places_ridden", "train_with", "train_without"]


def train_without(train: Train, name: str) -> Train:
    """The train less the car of that name, its spots numbered from 1 without a gap."""
    return _standing(train, [car for car in train.cars if car.car.name != name])


def train_with(others: Train, guest: CarInTrain, spot: int) -> Train:
    """The train with a car more in a spot, 1 being next to the head-end power."""
    return _standing(others, [*others.cars[: spot - 1], guest, *others.cars[spot - 1 :]])


def guest_in(train: Train, guest: CarInTrain) -> tuple[CarInTrain, int | None]:
    """The guest as it rides in a train with the spot it stands in, or riding all the way where it is not in it."""
    for spot, car in enumerate(train.cars, start=1):
        if car.car.name == guest.car.name:
            return car, spot
    return replace(guest, block=None, hold=None, joins=0, leaves=len(train.route.stops) - 1), None


def lines_ridden(train: Train, guest: CarInTrain) -> list[Line]:
    """The lines of the route that a car of the train rides over, in order."""
    first, last = _ridden_mm(train, guest)
    starts = [start for _, start in train.route.places]
    lines = zip(starts, train.route.lines, strict=False)
    return [line for start, line in lines if start < last and start + line.length_mm > first]


def places_ridden(train: Train, guest: CarInTrain) -> list[str]:
    """The places of the route that a car of the train comes to, in order, each once."""
    first, last = _ridden_mm(train, guest)
    return list(dict.fromkeys(place for place, there in train.route.places if first <= there <= last))


def _ridden_mm(train: Train, guest: CarInTrain) -> tuple[float, float]:
    return train.route.stops_mm[guest.joins], train.route.stops_mm[guest.leaves]


def _standing(train: Train, cars: Sequence[CarInTrain]) -> Train:
    return replace(train, cars=tuple(replace(car, spot=spot) for spot, car in enumerate(cars, start=1)))
