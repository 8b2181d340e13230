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
        """Take in values of shape (rows, heads); the first of equals stays."""
        if values.size:
            at = np.argmax(values, axis=1)
            top = values[np.arange(len(values)), at]
            higher = top > self.value
            self.value[higher] = top[higher]
            self.head_mm[higher] = heads_mm[at[higher]]

    def add(self, other: Peak) -> None:
        """Take in the peaks of a run farther on."""
        higher = other.value > self.value
        self.value[higher], self.head_mm[higher] = other.value[higher], other.head_mm[higher]


@dataclass(frozen=True)
class Peaks:
    """The peaks of a run.

    Of vehicles, of shape (vehicles,): `use`, 0 for engines. Of couplings, of shape (vehicles - 1,): `tension`, and
    `buff`, the greatest push (both in gram-force, negative where there is none), and `strain`, which is over 1 where
    one cannot stand, and 0 where none comes near to that. `hauling` and `pushed` work out, when asked, what the
    others hold.
    """

    use: Peak
    tension: Peak
    buff: Peak
    strain: Peak
    hauling: Callable[[], tuple[Peak, Peak]]
    pushed: Callable[[], Mask]

    @property
    def power_use(self) -> Peak:
        """The greatest share of their usable pull that the engines give, of shape (1,)."""
        return self._engines[0]

    @property
    def hold_use(self) -> Peak:
        """The greatest share that the engines hold back of what they can, of shape (1,)."""
        return self._engines[1]

    @cached_property
    def _engines(self) -> tuple[Peak, Peak]:
        return self.hauling()

    @cached_property
    def in_buff(self) -> Mask:
        """By vehicle, whether the coupling that pulls most aside at its peak is pushing."""
        return self.pushed()
