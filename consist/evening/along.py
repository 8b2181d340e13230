"""A train's figures all along its way, for those who draw them: every car's side use, and the worst moment."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.trains import LegRun, Trip

__all__ = ["Moment", "UseAlong", "moment_of", "use_along"]

Floats = NDArray[np.float64]

MOST_STRETCHES = 240
"""More stretches than this cannot be told apart in a drawing as wide as a hand."""
STEPS_A_STRETCH = 2.0
"""A stretch holds at least two table steps, so that none is left without a figure."""


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
    length = trip.train.route.length_mm
    step_mm = trip.legs[0].tables.step_mm
    stretches = int(np.clip(length / (STEPS_A_STRETCH * step_mm), 1, MOST_STRETCHES))
    edges = np.linspace(0.0, length, stretches + 1)
    use = np.full((len(trip.train.cars), stretches), np.nan)
    row_of = {car.car.name: row for row, car in enumerate(trip.train.cars)}
    for leg in trip.legs:
        rows = np.array([row_of[car.car.name] for car in leg.cars], dtype=np.intp)
        peaks, cars = leg.peaks.use, slice(leg.first_car, leg.first_car + len(rows))
        heads, uses = leg.uses_along()
        _take(use, rows, _stretch(edges, heads), np.minimum(uses[cars], peaks.value[cars, None]))
        at_peak = _stretch(edges, peaks.head_mm[cars])
        use[rows, at_peak] = np.fmax(use[rows, at_peak], peaks.value[cars])
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
        return _moment(worst, float(worst.peaks.use.head_mm[np.argmax(worst.peaks.use.value)]))
    hardest = max(legs, key=lambda leg: float(leg.peaks.tension.value.max()))
    return _moment(hardest, float(hardest.peaks.tension.head_mm[np.argmax(hardest.peaks.tension.value)]))


def _moment(leg: LegRun, head_mm: float) -> Moment:
    spots = {car.car.name: car.spot for car in leg.cars}
    cars = range(leg.first_car, leg.first_car + len(leg.cars))
    return Moment(
        head_mm=head_mm,
        names=leg.names,
        spots=tuple(spots[name] if number in cars else None for number, name in enumerate(leg.names)),
        length_mm=leg.vehicles.length_mm,
        weight_g=leg.vehicles.weight_g,
        tension_g=leg.tension_at(head_mm),
        most_tension_g=leg.peaks.tension.value,
        most_buff_g=leg.peaks.buff.value,
    )
