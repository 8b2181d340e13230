"""The inks and shades of every picture, and the levels that side use is shaded by.

The shades go evenly from light to dark, so that they stay apart in grey print and for eyes that see hues alike;
care and hold are hatched as well.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from consist.house import House
from consist.wording import limit_percent

__all__ = [
    "BUFF", "CARE", "CURVE", "ENGINE", "FAINT", "GROUND", "HOLD", "INK", "MUTED", "PAPER", "SHADES", "TENSION",
    "Levels", "Shade",
]  # fmt: skip

INK = "#1f262d"
MUTED = "#55606a"
FAINT = "#c6cdd3"
GROUND = "#e9edf0"
PAPER = "#ffffff"


@dataclass(frozen=True)
class Shade:
    """A fill, with the hatch and its ink that tell it apart without colour."""

    fill: str
    hatch: str = ""
    hatch_ink: str = INK


SHADES = (
    Shade("#e6edf2"),
    Shade("#c3d3de"),
    Shade("#a0b8c7"),
    Shade("#c2821f", "/"),
    Shade("#7c1a1f", "/\\", "#f3d9d2"),
)
"""Side use from the least to the most; the last two are care and hold."""
CARE, HOLD = 3, 4
"""The levels that begin where the house takes care and where it holds."""
ENGINE = Shade("#3b464f")
CURVE = Shade("#8c969e")
TENSION = Shade("#7f9db2")
BUFF = Shade("#e2bd7a", "\\")


@dataclass(frozen=True)
class Levels:
    """The shares of side use past which the levels above the lowest begin, ascending; the last two are the house's.

    >>> Levels.of(House()).legend()
    ('to 22 %', 'to 44 %', 'to 67 %', 'care: to 100 %', 'hold: above')
    """

    bounds: tuple[float, float, float, float]

    @classmethod
    def of(cls, house: House) -> Levels:
        """The levels of a house; below care they are parted in thirds, in round figures."""
        care, hold = 1.0 / house.care_margin, 1.0 / house.hold_margin
        return cls((float(f"{care / 3.0:.2g}"), float(f"{2.0 * care / 3.0:.2g}"), care, hold))

    def level(self, use: ArrayLike) -> NDArray[np.intp]:
        """The level of each share, 0 to 4: a share right on a bound is still below it."""
        return np.searchsorted(np.array(self.bounds), np.asarray(use, dtype=np.float64), side="left")

    def legend(self) -> tuple[str, ...]:
        """The levels in words."""
        low, middle, care, hold = map(limit_percent, self.bounds)
        return f"to {low}", f"to {middle}", f"to {care}", f"care: to {hold}", "hold: above"
