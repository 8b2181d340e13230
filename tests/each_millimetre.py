"""The peaks of a train worked out at every millimetre of its run, and at each joint under each truck.

By the package's own evaluator, head by head, since the plain model takes too long for as many trains;
`tests/mechanics/test_evaluate_against_plain.py` holds that evaluator against the plain model.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from builders import World
from numpy.typing import NDArray

from consist.mechanics import batches, evaluate
from consist.mechanics.evaluate import Figures

__all__ = ["MillimetrePeaks", "each_millimetre", "figures_at", "side_pulls"]

Floats = NDArray[np.float64]

BESIDE_MM = 1e-6


@dataclass(frozen=True)
class MillimetrePeaks:
    """Greatest figures: by vehicle (`use`), by coupling (`tension`, `buff`, both swings), of the train.

    `swing_ahead` is the sine of a coupling with the vehicle ahead of it, `swing_behind` with the one behind.
    """

    use: Floats
    tension: Floats
    buff: Floats
    swing_ahead: Floats
    swing_behind: Floats
    power_use: float
    hold_use: float


def figures_at(of: World, *heads_mm: float) -> Figures:
    """The whole train with its head at each of those places."""
    return evaluate(of.vehicles, of.tables, np.array(heads_mm), of.limits)


def side_pulls(at: Figures) -> tuple[Floats, Floats]:
    """The pulls to a vehicle's left at its front and its rear, of shape (vehicles, heads)."""
    front, rear = np.zeros_like(at.use), np.zeros_like(at.use)
    front[1:] = at.forces.tension * at.standing.behind
    rear[:-1] = at.forces.tension * at.standing.ahead
    return front, rear


def each_millimetre(of: World, step_mm: float = 1.0) -> MillimetrePeaks:
    """The peaks over the whole route, its end included."""
    heads = _heads(of, step_mm)
    vehicles = len(of.vehicles)
    use = np.zeros(vehicles)
    tension, buff, swing_ahead, swing_behind = (np.full(vehicles - 1, -np.inf) for _ in range(4))
    share: list[float] = []
    for part in batches(of.vehicles, heads):
        at = evaluate(of.vehicles, of.tables, heads[part], of.limits)
        for most, seen in (
            (use, at.use),
            (tension, at.forces.tension),
            (buff, -at.forces.tension),
            (swing_ahead, np.abs(at.standing.ahead)),
            (swing_behind, np.abs(at.standing.behind)),
        ):
            np.maximum(most, seen.max(axis=1), out=most)
        share += [float(at.forces.engine_share.max()), float(at.forces.engine_share.min())]
    return MillimetrePeaks(
        use, tension, buff, swing_ahead, swing_behind, max(*share, 0.0), max(*(-one for one in share), 0.0)
    )


def _heads(of: World, step_mm: float) -> Floats:
    train = of.vehicles
    joints = np.array([0.0, *of.train.route.centreline.stretches.start_mm[1:], of.length_mm])
    trucks = np.concatenate((train.middle_mm - train.truck_centers_mm / 2, train.middle_mm + train.truck_centers_mm / 2))
    under = (joints[:, None] + trucks[None, :]).ravel()
    heads = np.concatenate((np.arange(0.0, of.length_mm, step_mm), under - BESIDE_MM, under + BESIDE_MM))
    return np.unique(np.append(heads[(heads >= 0.0) & (heads <= of.length_mm)], of.length_mm))
