"""Forces along a train in steady running."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.resistance import car_resistance, engine_shares, usable_pull
from consist.mechanics.vehicles import Vehicles

__all__ = ["Forces", "forces", "power_use", "sums_behind"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Forces:
    """Forces of a train at each position of its head, in gram-force.

    `tension` is of shape (vehicles - 1, heads), coupling k lying behind vehicle k; negative is buff.
    `resistance` is what the cars take together and `usable` what the engines have, both of shape (heads,).
    """

    tension: Floats
    resistance: Floats
    usable: Floats

    def cut(self, heads: slice) -> Forces:
        """The forces at some of the heads."""
        return Forces(self.tension[:, heads], self.resistance[heads], self.usable[heads])


def forces(train: Vehicles, track_share: Floats) -> Forces:
    """Coupling forces of a train from what the track asks of each vehicle.

    `track_share` is slope plus curve resistance as a share of weight, of shape (vehicles, heads). A car takes
    W·(slope + curve + rolling). The force in a coupling is what the cars behind it take, less what engines
    behind it give. Without an engine the first car is drawn by hand.
    """
    demand = car_resistance(train.weight_g[:, None], track_share, train.rolling[:, None], 0.0)
    engines = train.engines
    resistance = demand[train.cars].sum(axis=0)
    usable = usable_pull(train.pull_g[engines, None], train.weight_g[engines, None], track_share[engines], 0.0)
    if len(engines):
        demand[engines] = -engine_shares(resistance, usable)
    return Forces(sums_behind(demand), resistance, usable.sum(axis=0))


def sums_behind(column: Floats) -> Floats:
    """For each coupling, the sum over the vehicles behind it, of a figure of shape (vehicles, heads).

    >>> sums_behind(np.array([[1.0], [2.0], [3.0]])).ravel()
    array([5., 3.])
    """
    sums = column[1:].copy()
    # row by row, since summing along the first axis of a large array runs against the cache
    for k in range(len(sums) - 2, -1, -1):
        sums[k] += sums[k + 1]
    return sums


def power_use(resistance_g: Floats, usable_g: Floats) -> Floats:
    """Resistance over usable pull; 0 where the train would run away, infinite where there is no pull to use.

    >>> power_use(np.array([50.0, -10.0, 5.0]), np.array([100.0, 100.0, -1.0]))
    array([0.5, 0. , inf])
    """
    use = np.divide(resistance_g, usable_g, out=np.full_like(resistance_g, np.inf), where=usable_g > 0.0)
    return np.where(resistance_g > 0.0, use, 0.0)
