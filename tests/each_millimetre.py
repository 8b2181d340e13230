"""The peaks of a train worked out at every millimetre of its run, and at each joint under each truck.

By the package's own evaluator, head by head, since the plain model takes too long for as many trains;
`tests/mechanics/test_evaluate_against_plain.py` holds that evaluator against the plain model.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from builders import World
from numpy.typing import NDArray

from consist.mechanics import Limits, RouteTables, Vehicles, batches, evaluate
from consist.mechanics.evaluate import Figures

__all__ = ["MillimetrePeaks", "each_millimetre", "each_millimetre_of", "figures_at", "side_pulls"]

Floats = NDArray[np.float64]

STEP_MM = 1.0
BESIDE_MM = 1e-6


@dataclass(frozen=True)
class MillimetrePeaks:
    """Greatest figures by vehicle (`use`), by coupling (`tension`, `buff`, both swings), of the train (shape (1,)).

    `swing_ahead` is the sine of a coupling with the vehicle ahead of it, `swing_behind` with the one behind.
    """

    use: Floats
    tension: Floats
    buff: Floats
    swing_ahead: Floats
    swing_behind: Floats
    power_use: Floats
    hold_use: Floats


def figures_at(of: World, *heads_mm: float) -> Figures:
    """The whole train with its head at each of those places."""
    return evaluate(of.vehicles, of.tables, np.array(heads_mm), of.limits)


def side_pulls(at: Figures) -> tuple[Floats, Floats]:
    """The pulls to a vehicle's left at its front and its rear, of shape (vehicles, heads)."""
    front, rear = np.zeros_like(at.use), np.zeros_like(at.use)
    front[1:] = at.forces.tension * at.standing.behind
    rear[:-1] = at.forces.tension * at.standing.ahead
    return front, rear


def each_millimetre(of: World) -> MillimetrePeaks:
    """The peaks of a world's train over the whole route, its end included."""
    return each_millimetre_of(of.vehicles, of.tables, of.limits, 0.0, of.length_mm)


def each_millimetre_of(
    train: Vehicles, tables: RouteTables, limits: Limits, from_mm: float, to_mm: float
) -> MillimetrePeaks:
    """The peaks of a train with its head going from one distance to another, both included."""
    heads = _heads(train, tables, from_mm, to_mm)
    tension, buff, swing_ahead, swing_behind = (np.full(len(train) - 1, -np.inf) for _ in range(4))
    found = MillimetrePeaks(np.zeros(len(train)), tension, buff, swing_ahead, swing_behind, np.zeros(1), np.zeros(1))
    for part in batches(train, heads):
        at = evaluate(train, tables, heads[part], limits)
        share = at.forces.engine_share[None, :]
        for most, seen in (
            (found.use, at.use),
            (found.tension, at.forces.tension),
            (found.buff, -at.forces.tension),
            (found.swing_ahead, np.abs(at.standing.ahead)),
            (found.swing_behind, np.abs(at.standing.behind)),
            (found.power_use, share),
            (found.hold_use, -share),
        ):
            np.maximum(most, seen.max(axis=1), out=most)
    return found


def _heads(train: Vehicles, tables: RouteTables, from_mm: float, to_mm: float) -> Floats:
    joints = np.append(tables.joints.distance_mm, 0.0)
    half = 0.5 * train.truck_centers_mm
    under = (joints[:, None] + np.concatenate((train.middle_mm - half, train.middle_mm + half))).ravel()
    heads = np.concatenate((np.arange(from_mm, to_mm, STEP_MM), under - BESIDE_MM, under + BESIDE_MM, [to_mm]))
    return np.unique(heads[(heads >= from_mm) & (heads <= to_mm)])
