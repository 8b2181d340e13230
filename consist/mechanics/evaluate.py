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
from consist.mechanics.strain import CAN, at_ease, straight_gap_mm, strain
from consist.mechanics.tables import Lookup, RouteTables
from consist.mechanics.vehicles import Vehicles

__all__ = [
    "Figures", "Strained", "batches", "evaluate", "stand", "strained", "swings", "track_share", "worked_out",
]  # fmt: skip

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

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
    trucks = _trucks(train, tables, heads_mm)
    axis, *pivots = _couplings(train, tables, *trucks)
    ahead, behind = coupling_sines(pivots[0], axis[:-1], pivots[1], axis[1:])
    share = _share(train, tables, *trucks)
    if at_ease(train, tables.sharpest):
        return Standing(share, ahead, behind)
    asked = np.max(_strains(train, tables, axis, pivots[1] - pivots[0], heads_mm), axis=0)
    can = asked <= CAN
    return Standing(share, ahead * can, behind * can, asked)


def swings(train: Vehicles, tables: RouteTables, heads_mm: Floats) -> tuple[Floats, Floats]:
    """The sines that each coupling makes with its vehicles, likewise, where it cannot stand too."""
    axis, rear_pivot, front_pivot = _couplings(train, tables, *_trucks(train, tables, heads_mm))
    return coupling_sines(rear_pivot, axis[:-1], front_pivot, axis[1:])


@dataclass(frozen=True)
class Strained:
    """A coupling at one position: its strain by its trucks, its angle and its gap, and how wide that gap is there and
    on straight track."""

    trucks: float
    angle: float
    gap: float
    gap_mm: float
    straight_gap_mm: float


def strained(train: Vehicles, tables: RouteTables, coupling: int, head_mm: float) -> Strained:
    """What a coupling of a train is asked with the train's head there."""
    train = train.columns
    heads_mm = np.array([head_mm])
    axis, rear_pivot, front_pivot = _couplings(train, tables, *_trucks(train, tables, heads_mm))
    gap = front_pivot - rear_pivot
    by_trucks, angle, reach = (float(each[coupling, 0]) for each in _strains(train, tables, axis, gap, heads_mm))
    usual_mm = float(straight_gap_mm(train)[coupling, 0])
    return Strained(by_trucks, angle, reach, abs(complex(gap[coupling, 0])), usual_mm)


def _strains(
    train: Vehicles, tables: RouteTables, axis: Complexes, gap: Complexes, heads_mm: Floats
) -> tuple[Floats, Floats, Floats]:
    sharp = tables.sharper_than(2.0 / float(train.truck_centers_mm.max(initial=NO_GAP_MM)))
    return strain(train, axis, gap, heads_mm - train.middle_mm, sharp)


def _couplings(
    train: Vehicles, tables: RouteTables, at_front: Lookup, at_rear: Lookup
) -> tuple[Complexes, Complexes, Complexes]:
    """Each vehicle's axis, and each coupling's pivots, that of the vehicle ahead of it and that of the next."""
    front, rear = tables.plan(at_front), tables.plan(at_rear)
    axis = front - rear
    axis *= 1.0 / np.maximum(np.abs(axis), NO_GAP_MM)
    middles = front
    middles += rear
    middles *= 0.5
    reach = train.pivot_mm * axis
    return axis, (middles - reach)[:-1], (middles + reach)[1:]


def track_share(train: Vehicles, tables: RouteTables, heads_mm: Floats) -> Floats:
    """Slope plus curve resistance under each vehicle of a train as a share of its weight, likewise."""
    return _share(train, tables, *_trucks(train, tables, heads_mm))


def _trucks(train: Vehicles, tables: RouteTables, heads_mm: Floats) -> tuple[Lookup, Lookup]:
    """Where the front and the rear truck of each vehicle stand."""
    middle, half = heads_mm - train.middle_mm, 0.5 * train.truck_centers_mm
    return tables.lookup(middle + half), tables.lookup(middle - half)


def _share(train: Vehicles, tables: RouteTables, front: Lookup, rear: Lookup) -> Floats:
    ahead, behind = tables.profile(front), tables.profile(rear)
    bend_ahead, bend_behind = ahead.imag, behind.imag
    if 0.5 * tables.sharpest * train.truck_centers_mm.max(initial=0.0) > 1.0:
        bends = bend_ahead, bend_behind
        # what a car takes where it cannot stand is no figure
        bend_ahead, bend_behind = (np.where(0.5 * train.truck_centers_mm * bend > 1.0, 0.0, bend) for bend in bends)
    share: Floats = bend_ahead + bend_behind
    share *= 0.5 * tables.curve_share
    share += (ahead.real - behind.real) / train.truck_centers_mm
    return share


def evaluate(train: Vehicles, tables: RouteTables, heads_mm: Floats, limits: Limits) -> Figures:
    """A train worked out with its head at each of `heads_mm`, of shape (heads,).

    Answers have the vehicles or couplings along their first axis and the heads along their last.
    """
    train = train.columns
    return worked_out(train, stand(train, tables, heads_mm), tables.flange_drag, limits)


def worked_out(train: Vehicles, standing: Standing, flange_drag: float | Floats, limits: Limits) -> Figures:
    """A train, its fields as columns, worked out as it stands."""
    along = forces(train, standing, flange_drag)
    front, rear = np.zeros_like(standing.share), np.zeros_like(standing.share)
    np.multiply(along.tension, standing.behind, out=front[1:])
    np.multiply(along.tension, standing.ahead, out=rear[:-1])
    use = side_use(front, rear, bearing(train, limits))
    use[: train.ahead] = 0.0
    use[len(train) - train.behind :] = 0.0
    if standing.strain is not None:
        can = standing.strain <= CAN
        use[1:] *= can
        use[:-1] *= can
    return Figures(standing, along, use)
