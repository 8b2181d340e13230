"""The greatest figures of a run, and where the head stands at each."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Peak", "Peaks"]

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]


@dataclass
class Peak:
    """Running maxima of some figures, one a row, and the head position (mm) at which each occurs."""

    value: Floats
    head_mm: Floats

    @classmethod
    def of(cls, rows: int) -> Peak:
        """Nothing seen yet, for that many figures."""
        return cls(np.full(rows, -np.inf), np.zeros(rows))

    def take(self, heads_mm: Floats, values: Floats) -> None:
        """Take in values of shape (rows, heads); the first of equals stays."""
        if values.size:
            at = np.argmax(values, axis=1)
            top = values[np.arange(len(values)), at]
            higher = top > self.value
            self.value[higher] = top[higher]
            self.head_mm[higher] = heads_mm[at[higher]]


@dataclass(frozen=True)
class Peaks:
    """The peaks of a run.

    Of vehicles, of shape (vehicles,): `use`, 0 for engines, and `in_buff`, whether the coupling that pulls most
    aside at that peak is pushing. Of couplings, of shape (vehicles - 1,): `tension`, and `buff`, the greatest
    push (both in gram-force, negative where there is none). Of the train, of shape (1,): `power_use`, the greatest
    share of their usable pull that engines give, and `hold_use`, of what they can hold back.
    """

    use: Peak
    in_buff: Mask
    tension: Peak
    buff: Peak
    power_use: Peak
    hold_use: Peak
