"""Scales of model railways (in `scales.toml`, each with its source), units, and lengths that follow from a scale.

HO's coupler height, 0.391 in above the rail, is from NMRA S-2; other scales have it by ratio.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from consist.errors import refuse
from consist.names import did_you_mean, nearest, quoted, tidy

__all__ = [
    "GRAMS_PER_OUNCE",
    "HO_RATIO",
    "MM_PER_FOOT",
    "MM_PER_INCH",
    "SCALES",
    "Scale",
    "known_scale",
    "scale_hint",
    "scale_named",
    "scale_words",
]

MM_PER_INCH = 25.4
MM_PER_FOOT = 12 * MM_PER_INCH
GRAMS_PER_OUNCE = 28.349523125
"""Exact, by definition of the avoirdupois pound."""
HO_RATIO = 87.1
NARROW_UNDER_MM = 1250.0
HO_COUPLER_HEIGHT_MM = 9.93
HO_PIVOT_SETBACK_MM = 8.9  # coupler pivot behind the pulling face, body-mounted
HO_COUPLED_OVER_BODY_MM = 12.7  # coupled length less body length


@dataclass(frozen=True)
class Scale:
    """A scale: its name, ratio (full size over model), track gauge and coupler height above the rail, and its source.

    >>> SCALES["HO"].gauge_mm
    16.5
    >>> round(SCALES["N"].by_ratio(8.9), 2)  # HO's pivot setback, taken to N
    4.84
    """

    name: str
    ratio: float
    gauge_mm: float
    coupler_height_mm: float
    source: str = ""

    @property
    def is_narrow(self) -> bool:
        """Whether it is narrow gauge, by NEM 010 under 1250 mm of full size.

        >>> [SCALES[name].is_narrow for name in ("HO", "OO", "H0m", "On30")]
        [False, False, True, True]
        """
        return self.gauge_mm * self.ratio < NARROW_UNDER_MM

    def by_ratio(self, ho_mm: float) -> float:
        """The length in this scale of what measures `ho_mm` in HO."""
        return ho_mm * HO_RATIO / self.ratio

    @property
    def pivot_setback_mm(self) -> float:
        """How far a body-mounted coupler's pivot lies behind its pulling face."""
        return self.by_ratio(HO_PIVOT_SETBACK_MM)

    @property
    def coupled_over_body_mm(self) -> float:
        """What the couplers add to a car's body length where only that is known."""
        return self.by_ratio(HO_COUPLED_OVER_BODY_MM)


@cache
def _declared() -> dict[str, dict[str, Any]]:
    return tomllib.loads((files("consist") / "scales.toml").read_text(encoding="utf-8"))


SCALES: dict[str, Scale] = {
    name: Scale(name, row["ratio"], row["gauge_mm"], HO_COUPLER_HEIGHT_MM * HO_RATIO / row["ratio"], row["source"])
    for name, row in _declared().items()
}
"""Known scales by name."""


@cache
def _spellings() -> dict[str, Scale]:
    """Known scales by every way to write them: as they are declared, then with the letter O for each 0."""
    spelled = {
        written.casefold(): SCALES[name]
        for name, row in _declared().items()
        for written in (name, *row.get("also", ()))
    }
    return {_with_letters(written): scale for written, scale in reversed(spelled.items())} | spelled


def _with_letters(written: str) -> str:
    return "".join(written.casefold().replace("0", "o").replace("-", "").split())


def scale_hint(name: str) -> str:
    """The half sentence that mends a name of a scale that is not known.

    >>> scale_hint("HP"), scale_hint("gauge")
    ("did you mean 'HO'?", "'consist explain scale' lists them")
    """
    return did_you_mean(name, SCALES) if nearest(name, SCALES) else "'consist explain scale' lists them"


def scale_words(name: str) -> str:
    """A scale in print, with its ratio where another is written alike.

    >>> scale_words("HO"), scale_words("O"), scale_words("0")
    ('HO scale', 'O scale (1:48)', '0 scale (1:45)')
    """
    alike = [other for other in SCALES if _with_letters(other) == _with_letters(name)]
    return f"{name} scale (1:{SCALES[name].ratio:g})" if len(alike) > 1 else f"{name} scale"


def known_scale(name: str) -> Scale | None:
    """The known scale of that name, in any case, with O for 0 or 0 for O where no two scales differ by that alone.

    >>> [known_scale(name).name for name in ("h0", "HOe", "0n30", "II", "O", "0")]
    ['HO', 'H0e', 'On30', '2', 'O', '0']

    None if there is none.
    """
    found = _spellings().get(tidy(name).casefold())
    return found or _spellings().get(_with_letters(name))


def scale_named(scale: str | Scale) -> Scale:
    """The known scale of that name. Raises `InputError`, naming the nearest."""
    known = scale if isinstance(scale, Scale) else known_scale(scale)
    if known is None:
        raise refuse("--scale", f"found {quoted(str(scale))}, expected a known scale; {scale_hint(str(scale))}")
    return known
