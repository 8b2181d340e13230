"""The greatest figures of a run, and where the head stands at each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

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
        """Take in values of shape (rows, heads)."""
        if values.size:
            at = np.argmax(values, axis=1)
            top = values[np.arange(len(values)), at]
            higher = top > self.value
            self.value[higher] = top[higher]
            self.head_mm[higher] = heads_mm[at[higher]]

    def take_row(self, row: int, heads_mm: Floats, values: Floats) -> int | None:
        """Take in values of one row, of shape (heads,); the number of the head with a new peak, if any."""
        if not len(values):
            return None
        at = int(np.argmax(values))
        if values[at] <= self.value[row]:
            return None
        self.value[row], self.head_mm[row] = values[at], heads_mm[at]
        return at


@dataclass(frozen=True)
class Peaks:
    """The peaks of a run.

    Of vehicles, of shape (vehicles,): `use`, 0 for engines, and `in_buff`, whether the coupling that pulls most
    aside at that peak is pushing. Of couplings, of shape (vehicles - 1,): `tension`, and `buff`, the greatest
    push (both in gram-force, negative where there is none). Of the train, of shape (1,): `power_use` and
    `resistance`. `swings` works out, when asked, what `swing_ahead` and `swing_behind` then hold for each coupling.
    """

    use: Peak
    in_buff: Mask
    tension: Peak
    buff: Peak
    power_use: Peak
    resistance: Peak
    swings: Callable[[], tuple[Peak, Peak]]

    @cached_property
    def swing_ahead(self) -> Peak:
        """The greatest sines that couplings make with the axes of the vehicles ahead of them."""
        return self._both_swings[0]

    @cached_property
    def swing_behind(self) -> Peak:
        """The greatest sines that couplings make with the axes of the vehicles behind them."""
        return self._both_swings[1]

    @cached_property
    def _both_swings(self) -> tuple[Peak, Peak]:
        return self.swings()
