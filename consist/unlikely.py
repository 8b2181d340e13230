"""Bounds past which a figure is possible but hardly meant: data, in `unlikely.toml`, each with its source."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH, SCALES, Scale

__all__ = [
    "MM_PER_FOOT", "Bounds", "asked", "bound", "bounds", "car_lengths", "least_rise_mm", "likely_length",
    "likely_weight", "of_most", "radii",
]  # fmt: skip

MM_PER_FOOT = 12.0 * MM_PER_INCH
SLIPS_OF_LENGTH: Mapping[str, Mapping[str, float]] = {
    "mm": {"inches": MM_PER_INCH},
    "in": {"feet": 12.0, "millimetres": 1.0 / MM_PER_INCH},
    "": {"inches": MM_PER_INCH, "millimetres": 1.0 / MM_PER_INCH},
}
"""By the unit that a length is written in, what it may have been meant in, and how many times as long it then is."""
LEAST_ALIKE = 3
"""So many figures with one slip are taken for one slip of their file (assumption)."""


@dataclass(frozen=True)
class Bounds:
    """The least and the most that a figure likely is.

    >>> bounds("weight").hold(1.0), bounds("weight").hold(28.0)
    (True, False)
    """

    least: float
    most: float

    def hold(self, value: float) -> bool:
        """Whether a figure lies within, or on a bound."""
        return self.least * (1.0 - 1e-9) <= value <= self.most * (1.0 + 1e-9)

    def times(self, size: float) -> Bounds:
        """Bounds so many times as large."""
        return Bounds(self.least * size, self.most * size)

    def passed_by(self, value: float) -> float:
        """The bound that a figure is past."""
        return self.least if value < self.least else self.most


@cache
def _declared() -> dict[str, dict[str, Any]]:
    return tomllib.loads((files("consist") / "unlikely.toml").read_text(encoding="utf-8"))


def bound(what: str, name: str = "most") -> float:
    """One bound of a figure."""
    return float(_declared()[what][name])


def bounds(what: str) -> Bounds:
    """The bounds of a figure, in the unit that the file says."""
    return Bounds(bound(what, "least"), bound(what, "most"))


def radii(scale: Scale) -> Bounds:
    """The radii (mm) that a curve of a scale likely has.

    >>> radii(SCALES["HO"])
    Bounds(least=114.3, most=6858.0)
    """
    usual: dict[str, float] = _declared()["radius"]["usual_least_mm"]
    by = scale.gauge_mm / SCALES["HO"].gauge_mm if scale.is_narrow else scale.by_ratio(1.0)
    return bounds("radius").times(usual.get(scale.name, usual["HO"] * by))


def car_lengths(scale: Scale) -> Bounds:
    """The lengths (mm) over couplers that a car of a scale likely has.

    >>> round(car_lengths(SCALES["HO"]).least, 1), round(car_lengths(SCALES["HOn30"]).least, 1)
    (52.5, 21.0)
    """
    feet = Bounds(bound("car", "narrow_least" if scale.is_narrow else "least"), bound("car"))
    return feet.times(MM_PER_FOOT / scale.ratio)


def least_rise_mm(scale: Scale) -> float:
    """How much a curve that passes over itself rises at least in a full circle.

    >>> round(least_rise_mm(SCALES["HO"]))
    77
    """
    return bound("turn", "narrow_least_ft" if scale.is_narrow else "least_ft") * MM_PER_FOOT / scale.ratio


def likely_length(mm: float, likely: Bounds, written_in: str = "") -> str:
    """The unit that a length out of its bounds may have been meant in; empty where none mends it.

    `written_in` is the unit that it is written in, `in` or `mm`, empty where that is not known.

    >>> likely_length(30.0, Bounds(114.3, 6858.0)), likely_length(12000.0, Bounds(114.3, 6858.0))
    ('inches', 'millimetres')
    >>> likely_length(50.8, Bounds(114.3, 6858.0), "in"), likely_length(12000.0, Bounds(114.3, 6858.0), "mm")
    ('feet', '')
    """
    return _likely(mm, likely, SLIPS_OF_LENGTH[written_in])


def likely_weight(grams: float, likely: Bounds) -> str:
    """The same for a weight.

    >>> likely_weight(3.8, Bounds(35.0, 310.0))
    'ounces'
    """
    return _likely(grams, likely, {"ounces": GRAMS_PER_OUNCE, "grams": 1.0 / GRAMS_PER_OUNCE})


def _likely(value: float, likely: Bounds, slips: Mapping[str, float]) -> str:
    return next((unit for unit, times in slips.items() if likely.hold(value * times)), "")


def asked(unit: str, otherwise: str) -> str:
    """The question whether a figure was meant in a unit; `otherwise` where no unit mends it."""
    return f"was it meant in {unit}?" if unit else otherwise


def of_most(alike: int, among: int) -> str:
    """How many have a slip, in words, where most have it, at least three, so that it is the file's; else empty.

    >>> of_most(3, 5), of_most(4, 4), of_most(2, 2), of_most(3, 6)
    ('3 of the 5', 'All 4', '', '')
    """
    if alike < LEAST_ALIKE or 2 * alike <= among:
        return ""
    return f"All {among}" if alike == among else f"{alike} of the {among}"
