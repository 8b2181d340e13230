"""The peaks of a train worked out at every millimetre of its run, by the package's exact figures.

`tests/mechanics/test_exact_against_plain.py` holds those figures against the plain model.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from builders import World
from numpy.typing import NDArray

from consist.mechanics.exact import SidePull, forces_at, side_pull_at
from consist.mechanics.forces import Forces, power_use
from consist.mechanics.standing import angles_at

__all__ = ["MillimetrePeaks", "each_millimetre", "exact_side_pull"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class MillimetrePeaks:
    """Greatest figures: by vehicle (`use`), by coupling (`tension`, `buff`, both swings), of the train."""

    use: Floats
    tension: Floats
    buff: Floats
    swing_ahead: Floats
    swing_behind: Floats
    power_use: float
    resistance: float


def exact_side_pull(of: World, vehicle: int, heads_mm: Floats, along: Forces) -> SidePull:
    """One vehicle's side pulls and use with the head at each of `heads_mm`, the forces there being `along`."""
    none = np.zeros(len(heads_mm))
    ahead = along.tension[vehicle - 1] if vehicle > 0 else none
    behind = along.tension[vehicle] if vehicle < len(of.vehicles) - 1 else none
    which = np.full(len(heads_mm), vehicle, dtype=np.intp)
    return side_pull_at(of.vehicles, which, of.tables, heads_mm, (ahead, behind), of.limits)


def each_millimetre(of: World, step_mm: float = 1.0) -> MillimetrePeaks:
    """The peaks over the whole route, its end included."""
    train, tables = of.vehicles, of.tables
    heads = np.append(np.arange(0.0, of.length_mm, step_mm), of.length_mm)
    along = forces_at(train, tables, heads)
    use = np.zeros(len(train))
    for vehicle in train.cars if len(train) > 1 else []:
        use[vehicle] = exact_side_pull(of, int(vehicle), heads, along).use.max()
    couplings = np.arange(len(train) - 1)
    swings = [angles_at(train, np.full(len(heads), k), tables.track, heads) for k in couplings]
    return MillimetrePeaks(
        use=use,
        tension=along.tension.max(axis=1),
        buff=(-along.tension).max(axis=1),
        swing_ahead=np.array([np.abs(one.ahead).max() for one in swings]),
        swing_behind=np.array([np.abs(one.behind).max() for one in swings]),
        power_use=float(power_use(along.resistance, along.usable).max()),
        resistance=float(along.resistance.max()),
    )
