"""Weight standards: what a car of a given length ought to weigh.

The published tables are data, one TOML file a standard in `tables/`, each with its source. A standard's
name is its file's name.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from consist.errors import ConsistError
from consist.house import OwnStandard
from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH, Scale

__all__ = ["NEAR_ENOUGH", "OVER_ENOUGH", "StandardError", "WeightStandard", "published_standards", "weight_standard"]

NEAR_ENOUGH = 0.10
"""A car this share under its target is near enough: 0.1 oz on an N car of 1 oz. Common practice, no source."""
OVER_ENOUGH = 0.30
"""A car this share over its target is still to the standard: NEM 302 allows up to 30 % more."""

PASSENGER_KINDS = ("coach", "passenger", "sleeper", "diner", "baggage", "lounge", "observation")


class StandardError(ConsistError):
    """A weight standard that is not known, or that has no figures for the scale."""


@dataclass(frozen=True)
class WeightStandard:
    """A standard for one scale: target = base_g + per_mm_g × the length it counts.

    >>> rp = weight_standard("nmra-rp-20.1", "HO")
    >>> round(rp.target_g(5.5 * 25.4, 150.0) / GRAMS_PER_OUNCE, 3)
    3.75
    """

    name: str
    title: str
    length: Literal["body", "coupled"]
    base_g: float
    per_mm_g: float
    passenger_per_mm_g: float | None = None

    def target_g(self, body_length_mm: float, coupled_length_mm: float, kind: str = "") -> float:
        """The weight in grams that a car of these lengths ought to have."""
        length = body_length_mm if self.length == "body" else coupled_length_mm
        per_mm = self.per_mm_g
        if self.passenger_per_mm_g is not None and any(word in kind.lower() for word in PASSENGER_KINDS):
            per_mm = self.passenger_per_mm_g
        return self.base_g + per_mm * length

    @property
    def length_words(self) -> str:
        """Which length the standard counts, in words for the user."""
        return "body length" if self.length == "body" else "length over buffers or couplers"


@cache
def published_standards() -> dict[str, dict[str, Any]]:
    """The tables of the published standards by name, in order."""
    tables = sorted((files("consist.stock") / "tables").iterdir(), key=lambda table: table.name)
    return {table.name.removesuffix(".toml"): tomllib.loads(table.read_text(encoding="utf-8")) for table in tables}


def weight_standard(wanted: str | OwnStandard, scale: Scale | str) -> WeightStandard:
    """The standard of that name for a scale, or the host's own.

    Raises `StandardError` for a name that is not known, or a scale that the standard has no figures for.
    """
    if isinstance(wanted, OwnStandard):
        return WeightStandard(wanted.name, wanted.name, "body", wanted.base_g, wanted.per_mm_g)
    known = published_standards()
    if wanted not in known:
        from difflib import get_close_matches

        near = get_close_matches(wanted.lower(), known, n=1, cutoff=0.4)
        hint = f"did you mean '{near[0]}'? " if near else ""
        raise StandardError(f"no weight standard is called '{wanted[:40]}'; {hint}known: {', '.join(known)}")
    title, figures = known[wanted]["title"], known[wanted]["scale"]
    scale_name = scale if isinstance(scale, str) else scale.name
    if scale_name not in figures:
        others = [name for name, other in known.items() if scale_name in other["scale"]]
        have = f"but {' and '.join(others)} {'have' if len(others) > 1 else 'has'}" if others else "nor has another"
        raise StandardError(
            f"{title} has no figures for scale {scale_name}, {have}; name another standard, "
            'or give your own as { name = "...", base_g = 0.0, per_mm_g = 0.0 }'
        )
    row = figures[scale_name]
    base_g = row.get("base_oz", 0.0) * GRAMS_PER_OUNCE
    per_mm_g = row["per_in_oz"] * GRAMS_PER_OUNCE / MM_PER_INCH if "per_in_oz" in row else row["per_mm_g"]
    return WeightStandard(wanted, title, known[wanted]["length"], base_g, per_mm_g, row.get("passenger_per_mm_g"))
