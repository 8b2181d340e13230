"""A train's figures all along its way, for those who draw them: every car's side use, and the worst moment."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.trains import LegRun, Trip

__all__ = ["Moment", "UseAlong", "hardest_coupling", "moment_of", "use_along"]

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
    """The train with the end that leads at one place, in its own order, from the head end back.

    `run` is the number of the route's run that it is on. `names`, `spots` (None for an engine), `length_mm` and
    `weight_g` are of the vehicles. Of the couplings: `tension_g`, the force in each just then, negative in buff, and
    `most_tension_g` and `most_buff_g`, the greatest of either over the leg (negative where there is none).
    """

    head_mm: float
    run: int
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
        np.fmax.at(use, (rows[:, None], _stretch(edges, heads)), np.minimum(uses[cars], peaks.value[cars, None]))
        np.fmax.at(use, (rows, _stretch(edges, peaks.head_mm[cars])), peaks.value[cars])
    return UseAlong(edges, use)


def _stretch(edges: Floats, heads_mm: Floats) -> NDArray[np.intp]:
    """The number of the stretch that each head is in."""
    return np.clip(np.searchsorted(edges, heads_mm, side="right") - 1, 0, len(edges) - 2)


def hardest_coupling(trip: Trip) -> tuple[LegRun, int] | None:
    """The leg with the greatest drawbar pull and the number of its coupling; None where nothing is coupled."""
    legs = [leg for leg in trip.legs if len(leg.vehicles) > 1]
    if not legs:
        return None
    leg = max(legs, key=lambda leg: float(leg.peaks.tension.value.max()))
    return leg, int(np.argmax(leg.peaks.tension.value))


def moment_of(trip: Trip) -> Moment | None:
    """The moment of the worst car's greatest side use; of the greatest drawbar pull where no car feels any.

    None where the train has no coupling at all.
    """
    hardest = hardest_coupling(trip)
    if hardest is None:
        return None
    felt = trip.worst_use > 0.0
    leg = trip.worst_leg if felt else hardest[0]
    peak = leg.peaks.use if felt else leg.peaks.tension
    head_mm = float(peak.head_mm[np.argmax(peak.value)])
    behind = len(leg.names) - leg.first_car - len(leg.cars)
    spots = (*[None] * leg.first_car, *(car.spot for car in leg.cars), *[None] * behind)
    own = slice(None, None, -1 if leg.leg.backing else 1)
    return Moment(
        head_mm=head_mm,
        run=leg.leg.run,
        names=leg.names[own],
        spots=spots[own],
        length_mm=leg.vehicles.length_mm[own],
        weight_g=leg.vehicles.weight_g[own],
        tension_g=leg.tension_at(head_mm)[own],
        most_tension_g=leg.peaks.tension.value[own],
        most_buff_g=leg.peaks.buff.value[own],
    )
