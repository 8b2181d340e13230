"""What is predicted of a train before it runs: each car's side use between every two places of its route."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.intake import StretchUses
from consist.session import Session, Train
from consist.trains import LegRun, Trip, prepared

__all__ = ["MODEL", "Prediction", "predicted"]

MODEL = 1
"""The number of the model that predicts: it changes with any change of what a use or a power use means."""


@dataclass(frozen=True)
class Prediction:
    """What a train runs with, and what is predicted of it, as `LoggedRun` keeps it."""

    power_use: float | None
    engines: tuple[str, ...]
    cars: tuple[tuple[str, float], ...]
    uses: tuple[StretchUses, ...]


def predicted(session: Session, train: Train) -> Prediction:
    """The train run in full, its cars' greatest uses told by where each car then is."""
    trip = prepared(session, train).run()
    powered = all(leg.powered for leg in trip.legs)
    power = max(trip.power_use, trip.hold_use) if powered else None
    return Prediction(
        power_use=power if power is not None and np.isfinite(power) else None,
        engines=tuple(engine.name for engine in (*trip.engines, *trip.helpers)),
        cars=tuple((car.car.name, car.weight_g) for car in train.cars),
        uses=tuple(_by_stretch(train, trip)),
    )


def _by_stretch(train: Train, trip: Trip) -> list[StretchUses]:
    places = train.route.places
    edges = np.array([at for _, at in places])
    uses = np.full((len(places) - 1, len(train.cars)), np.nan)
    row_of = {car.car.name: row for row, car in enumerate(train.cars)}
    for leg in trip.legs:
        first = int(np.searchsorted(edges, leg.tables.track.start_mm, side="right")) - 1
        rows = np.array([row_of[car.car.name] for car in leg.cars], dtype=np.intp)
        for heads, seen in _seen(leg):
            middle = leg.vehicles.middle_mm[leg.first_car : leg.first_car + len(rows), None]
            stretch = np.searchsorted(edges, heads - middle, side="right") - 1
            # what stands where a run has not yet begun counts in its first stretch
            stretch = np.clip(stretch, first, len(edges) - 2)
            np.fmax.at(uses, (stretch, np.broadcast_to(rows[:, None], stretch.shape)), seen)
    return [
        StretchUses(start, finish, tuple(None if np.isnan(use) else float(use) for use in row))
        for ((start, _), (finish, _)), row in zip(itertools.pairwise(places), uses, strict=True)
    ]


def _seen(leg: LegRun) -> list[tuple[NDArray[np.float64], NDArray[np.float64]]]:
    """Heads and the cars' uses there, of shape (1 or cars, heads) and (cars, heads): all along, and where most."""
    cars = slice(leg.first_car, leg.first_car + len(leg.cars))
    heads, uses = leg.uses_along()
    peaks = leg.peaks.use
    return [(heads[None], uses[cars]), (peaks.head_mm[cars, None], peaks.value[cars, None])]
