"""Forces and side pulls worked out exactly, with the head at given positions."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.forces import Forces, forces, power_use
from consist.mechanics.limits import Limits
from consist.mechanics.peaks import Peak
from consist.mechanics.sidepull import side_use
from consist.mechanics.standing import angles_at, track_share_at
from consist.mechanics.tables import RouteTables
from consist.mechanics.vehicles import Vehicles

__all__ = ["Exact", "SidePull", "forces_at", "side_pull_at"]

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

EXACT_AT_ONCE = 1024


@dataclass(frozen=True)
class SidePull:
    """Side pulls at vehicles' ends (gram-force, to their left) and the use they make."""

    front: Floats
    rear: Floats
    use: Floats


def forces_at(train: Vehicles, tables: RouteTables, heads_mm: Floats) -> Forces:
    """Forces along the train with its head at each of `heads_mm`, of shape (heads,), exactly."""
    return forces(train, track_share_at(train, tables.track, heads_mm, tables.curve_share))


def side_pull_at(
    train: Vehicles,
    vehicle: Indices,
    tables: RouteTables,
    heads_mm: Floats,
    tension: tuple[Floats, Floats],
    limits: Limits,
) -> SidePull:
    """Side pulls and use of vehicles, each with the head at a position of its own, exactly.

    `vehicle` and `heads_mm` are of one shape, as are the answers. `tension` holds the forces in the couplings ahead
    of and behind each vehicle there, 0 at an end of the train.
    """
    last = len(train) - 1
    ahead, behind = (angles_at(train, np.clip(vehicle - k, 0, last - 1), tables.track, heads_mm) for k in (1, 0))
    front = np.where(vehicle > 0, tension[0] * ahead.behind, 0.0)
    rear = np.where(vehicle < last, tension[1] * behind.ahead, 0.0)
    sizes = (train.weight_g[vehicle], train.pivot_mm[vehicle], train.truck_centers_mm[vehicle])
    return SidePull(front, rear, side_use(front, rear, *sizes, limits))


class Exact:
    """The greatest figures worked out exactly."""

    def __init__(self, train: Vehicles, tables: RouteTables, limits: Limits) -> None:
        vehicles = len(train)
        self._train, self._tables, self._limits = train, tables, limits
        self.use = Peak(np.zeros(vehicles), np.zeros(vehicles))
        self.in_buff = np.zeros(vehicles, dtype=bool)
        self.tension, self.buff = Peak.of(vehicles - 1), Peak.of(vehicles - 1)
        self.power_use, self.resistance = Peak.of(1), Peak.of(1)

    def take_forces(self, heads_mm: Floats) -> None:
        """Work out the forces with the head at each of `heads_mm`."""
        along = forces_at(self._train, self._tables, heads_mm)
        self.tension.take(heads_mm, along.tension)
        self.buff.take(heads_mm, -along.tension)
        self.power_use.take(heads_mm, power_use(along.resistance, along.usable)[None, :])
        self.resistance.take(heads_mm, along.resistance[None, :])

    def take_uses(self, heads_mm: dict[int, Floats], knots_mm: Floats | None = None) -> dict[int, Floats]:
        """Work out vehicles' use, each with the head at positions of its own; the uses there.

        Forces are worked out at `knots_mm`, between which they go evenly, or where not given at every head.
        """
        if not heads_mm or len(self._train) < 2:
            return {k: np.zeros(len(heads)) for k, heads in heads_mm.items()}
        vehicle = np.repeat(list(heads_mm), [len(heads) for heads in heads_mm.values()])
        heads = np.concatenate(list(heads_mm.values()))
        knots = np.unique(heads) if knots_mm is None else knots_mm
        tension = self._tension_at(heads_mm, knots)
        pull = side_pull_at(self._train, vehicle, self._tables, heads, tension, self._limits)
        pushed = np.where(np.abs(pull.front) >= np.abs(pull.rear), *tension) < 0.0
        uses, first = {}, 0
        for k, own in heads_mm.items():
            uses[k] = pull.use[first : first + len(own)]
            at = self.use.take_row(k, own, uses[k])
            if at is not None:
                self.in_buff[k] = pushed[first + at]
            first += len(own)
        return uses

    def _tension_at(self, heads_mm: dict[int, Floats], knots_mm: Floats) -> tuple[Floats, Floats]:
        """Forces in the couplings ahead of and behind vehicles at heads of their own, 0 at an end of the train."""
        batches = range(0, len(knots_mm), EXACT_AT_ONCE)
        tension = np.concatenate(
            [forces_at(self._train, self._tables, knots_mm[k : k + EXACT_AT_ONCE]).tension for k in batches], axis=1
        )
        ahead, behind = (
            [
                np.interp(heads, knots_mm, tension[k]) if 0 <= k < len(tension) else np.zeros(len(heads))
                for k, heads in ((vehicle + shift, own) for vehicle, own in heads_mm.items())
            ]
            for shift in (-1, 0)
        )
        return np.concatenate(ahead), np.concatenate(behind)
