"""The greatest figures of a train over a run."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from plain.standing import figures
from plain.stock import House, Vehicle
from plain.track import Track

__all__ = ["Peak", "Peaks", "heads", "peaks"]

BESIDE_MM = 1e-6
"""How far before and after a joint it is looked at."""


class Peak(NamedTuple):
    """The greatest figure of a run, and the first place of the head with it."""

    value: float
    head_mm: float


@dataclass(frozen=True)
class Peaks:
    """The greatest figures of a run: `use` by vehicle, `tension` and `buff` by coupling, the others of the train.

    `buff` is the greatest push, so negative in a coupling that is never pushed, as `tension` is in one never pulled.
    """

    use: list[Peak]
    tension: list[Peak]
    buff: list[Peak]
    resistance: Peak
    power_use: Peak
    hold_use: Peak


def peaks(
    train: Sequence[Vehicle], track: Track, house: House, from_mm: float, to_mm: float, step_mm: float = 1.0
) -> Peaks:
    """The greatest figures of a run with the head going from one distance to another, both included."""
    couplings = max(len(train) - 1, 0)
    use, tension, buff = _Greatest(len(train)), _Greatest(couplings), _Greatest(couplings)
    of_train = _Greatest(3)
    for head in heads(train, track, from_mm, to_mm, step_mm):
        at = figures(train, track, house, head)
        use.see(at.use, head)
        tension.see(at.tension, head)
        buff.see([-force for force in at.tension], head)
        of_train.see([at.resistance, at.power_use, at.hold_use], head)
    return Peaks(use.peaks(), tension.peaks(), buff.peaks(), *of_train.peaks())


def heads(train: Sequence[Vehicle], track: Track, from_mm: float, to_mm: float, step_mm: float = 1.0) -> list[float]:
    """Where a run is looked at: every step, both ends, and just before and after each joint under each truck."""
    found = {from_mm, to_mm, *(from_mm + k * step_mm for k in range(int((to_mm - from_mm) / step_mm) + 1))}
    face = 0.0
    for vehicle in train:
        middle, half = face + vehicle.length_mm / 2.0, vehicle.truck_centers_mm / 2.0
        for behind in (middle - half, middle + half):
            for joint in track.joints:
                found.update((joint + behind - BESIDE_MM, joint + behind + BESIDE_MM))
        face += vehicle.length_mm
    return sorted(head for head in found if from_mm <= head <= to_mm)


class _Greatest:
    """The greatest values seen so far of a list of figures, and where."""

    def __init__(self, count: int) -> None:
        self.values, self.where = [-math.inf] * count, [math.nan] * count

    def see(self, values: Sequence[float], head_mm: float) -> None:
        for k, value in enumerate(values):
            if value > self.values[k]:
                self.values[k], self.where[k] = value, head_mm

    def peaks(self) -> list[Peak]:
        return [*map(Peak, self.values, self.where)]
