"""The one evaluator of a train: how it stands, the forces along it and what its cars use, at any positions.

A position is one of the train's head along the route. All positions asked for are worked out at once, and so are
several orders of a train, since `Vehicles` may hold one or many.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.forces import Forces, Standing, forces
from consist.mechanics.sidepull import NO_GAP_MM, Limits, bearing, coupling_sines, side_use
from consist.mechanics.tables import Lookup, RouteTables
from consist.mechanics.vehicles import Vehicles

__all__ = ["Figures", "batches", "evaluate", "stand", "track_share", "worked_out"]

Floats = NDArray[np.float64]

CELLS_AT_ONCE = 8_000
"""Vehicles times positions of one batch: what of it is under way at a time stays in a processor's own memory."""


@dataclass(frozen=True)
class Figures:
    """A train at each position: how it stands, its forces, and the use of its vehicles, 0 for engines."""

    standing: Standing
    forces: Forces
    use: Floats


def batches(train: Vehicles, heads_mm: Floats) -> Iterator[slice]:
    """Parts of the positions, as many at a time as are worked out fastest."""
    each = max(CELLS_AT_ONCE // max(len(train), 1), 1)
    for first in range(0, len(heads_mm), each):
        yield slice(first, min(first + each, len(heads_mm)))


def stand(train: Vehicles, tables: RouteTables, heads_mm: Floats) -> Standing:
    """How a train, its fields as columns, stands with its head at each of `heads_mm`, of shape (heads,)."""
    at_front, at_rear = _trucks(train, tables, heads_mm)
    front, rear = tables.plan(at_front), tables.plan(at_rear)
    axis = front - rear
    axis *= 1.0 / np.maximum(np.abs(axis), NO_GAP_MM)
    middles = front
    middles += rear
    middles *= 0.5
    reach = train.pivot_mm * axis
    rear_pivot, front_pivot = (middles - reach)[:-1], (middles + reach)[1:]
    sines = coupling_sines(rear_pivot, axis[:-1], front_pivot, axis[1:])
    return Standing(_share(train, tables, at_front, at_rear), *sines)


def track_share(train: Vehicles, tables: RouteTables, heads_mm: Floats) -> Floats:
    """Slope plus curve resistance under each vehicle of a train as a share of its weight, likewise."""
    return _share(train, tables, *_trucks(train, tables, heads_mm))


def _trucks(train: Vehicles, tables: RouteTables, heads_mm: Floats) -> tuple[Lookup, Lookup]:
    """Where the front and the rear truck of each vehicle stand."""
    middle, half = heads_mm - train.middle_mm, 0.5 * train.truck_centers_mm
    return tables.lookup(middle + half), tables.lookup(middle - half)


def _share(train: Vehicles, tables: RouteTables, front: Lookup, rear: Lookup) -> Floats:
    ahead, behind = tables.profile(front), tables.profile(rear)
    share: Floats = ahead.imag + behind.imag
    share *= 0.5 * tables.curve_share
    share += (ahead.real - behind.real) / train.truck_centers_mm
    return share


def evaluate(train: Vehicles, tables: RouteTables, heads_mm: Floats, limits: Limits) -> Figures:
    """A train worked out with its head at each of `heads_mm`, of shape (heads,).

    Answers have the vehicles or couplings along their first axis and the heads along their last.
    """
    train = train.columns
    return worked_out(train, stand(train, tables, heads_mm), tables.flange_drag, limits)


def worked_out(train: Vehicles, standing: Standing, flange_drag: float, limits: Limits) -> Figures:
    """A train, its fields as columns, worked out as it stands."""
    along = forces(train, standing, flange_drag)
    front, rear = np.zeros_like(standing.share), np.zeros_like(standing.share)
    np.multiply(along.tension, standing.behind, out=front[1:])
    np.multiply(along.tension, standing.ahead, out=rear[:-1])
    use = side_use(front, rear, bearing(train, limits))
    use[: train.ahead] = 0.0
    use[len(train) - train.behind :] = 0.0
    return Figures(standing, along, use)
