"""A train's figures all along its way, for those who draw them: every car's side use, and the worst moment."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.exact import forces_at
from consist.mechanics.sweep import sweep
from consist.trip import LegRun, Trip, limits_of

__all__ = ["Moment", "UseAlong", "moment_of", "use_along"]

Floats = NDArray[np.float64]

MOST_STRETCHES = 240
"""More stretches than this cannot be told apart in a drawing as wide as a hand."""
STEPS_A_STRETCH = 2.0
"""A stretch holds at least two table steps, so that none is left without a figure."""
NO_BOUNDS_WANTED = 1e12


@dataclass(frozen=True)
class UseAlong:
    """The greatest side use of each car of a train while its head is in each stretch of the route.

    `edges_mm`, of shape (stretches + 1,), parts the route; `use`, of shape (cars, stretches), has the cars in the
    train's order, and NaN where a car is not in the train.
    """

    edges_mm: Floats
    use: Floats


@dataclass(frozen=True)
class Moment:
    """The train with its head at one place, from the head end back.

    `names`, `spots` (None for an engine), `length_mm` and `weight_g` are of the vehicles. Of the couplings:
    `tension_g`, the force in each just then, negative in buff, and `most_tension_g` and `most_buff_g`, the greatest
    of either over the leg (negative where there is none).
    """

    head_mm: float
    names: tuple[str, ...]
    spots: tuple[int | None, ...]
    length_mm: Floats
    weight_g: Floats
    tension_g: Floats
    most_tension_g: Floats
    most_buff_g: Floats

    @property
    def total_mm(self) -> float:
        """The length of the train over everything."""
        return float(self.length_mm.sum())


def use_along(trip: Trip) -> UseAlong:
    """Side use by car and stretch; where a car is at its worst the figure is that of the check."""
    train, tables = trip.train, trip.tables
    length = train.route.length_mm
    stretches = int(np.clip(length / (STEPS_A_STRETCH * tables.step_mm), 1, MOST_STRETCHES))
    edges = np.linspace(0.0, length, stretches + 1)
    use = np.full((len(train.cars), stretches), np.nan)
    row_of = {car.car.name: row for row, car in enumerate(train.cars)}
    for leg in trip.legs:
        rows = np.array([row_of[car.car.name] for car in leg.cars], dtype=np.intp)
        vehicles = leg.first_car + np.arange(len(rows))
        peaks = leg.peaks.use.value[vehicles]
        for samples in sweep(leg.vehicles, tables, leg.from_mm, leg.to_mm, limits_of(trip.session), NO_BOUNDS_WANTED):
            seen = np.minimum(samples.use[vehicles], peaks[:, None])
            _take(use, rows, _stretch(edges, samples.heads_mm), seen)
        heads = leg.peaks.use.head_mm[vehicles]
        at_peak = _stretch(edges, heads)
        use[rows, at_peak] = np.fmax(use[rows, at_peak], peaks)
    return UseAlong(edges, use)


def _stretch(edges: Floats, heads_mm: Floats) -> NDArray[np.intp]:
    """The number of the stretch that each head is in."""
    return np.clip(np.searchsorted(edges, heads_mm, side="right") - 1, 0, len(edges) - 2)


def _take(use: Floats, rows: NDArray[np.intp], stretch: NDArray[np.intp], seen: Floats) -> None:
    """Raise the figures of `rows` to the greatest seen in each stretch; the heads come in order."""
    starts = np.flatnonzero(np.diff(stretch, prepend=-1))
    greatest = np.maximum.reduceat(seen, starts, axis=1) if len(rows) else seen[:, starts]
    cells = np.ix_(rows, stretch[starts])
    use[cells] = np.fmax(use[cells], greatest)


def moment_of(trip: Trip) -> Moment | None:
    """The moment of the worst car's greatest side use; of the greatest drawbar pull where no car feels any.

    None where the train has no coupling at all.
    """
    legs = [leg for leg in trip.legs if len(leg.vehicles) > 1]
    if not legs:
        return None
    worst = trip.worst_leg
    if worst.worst_use > 0.0:
        return _moment(trip, worst, float(worst.peaks.use.head_mm[np.argmax(worst.peaks.use.value)]))
    hardest = max(legs, key=lambda leg: float(leg.peaks.tension.value.max()))
    return _moment(trip, hardest, float(hardest.peaks.tension.head_mm[np.argmax(hardest.peaks.tension.value)]))


def _moment(trip: Trip, leg: LegRun, head_mm: float) -> Moment:
    spots = {car.car.name: car.spot for car in leg.cars}
    vehicles, peaks = leg.vehicles, leg.peaks
    cars = range(leg.first_car, leg.first_car + len(leg.cars))
    return Moment(
        head_mm=head_mm,
        names=leg.names,
        spots=tuple(spots[name] if number in cars else None for number, name in enumerate(leg.names)),
        length_mm=vehicles.length_mm,
        weight_g=vehicles.weight_g,
        tension_g=forces_at(vehicles, trip.tables, np.array([head_mm])).tension[:, 0],
        most_tension_g=peaks.tension.value,
        most_buff_g=peaks.buff.value,
    )
