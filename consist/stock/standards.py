"""Weight standards: what a car of a given length ought to weigh.

The published tables are data, one TOML file a standard in `tables/`, each with its source. A standard's
name is its file's name.
"""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from math import log
from typing import Any, Literal

from consist.errors import ConsistError
from consist.house import PUBLISHED, OwnStandard
from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH, SCALES, Scale

__all__ = [
    "FAR_UNDER",
    "NEAR_ENOUGH",
    "OVER_ENOUGH",
    "StandardError",
    "WeightStandard",
    "published_standards",
    "weight_standard",
]

NEAR_ENOUGH = 0.10
"""A car this share under its target is near enough: 0.1 oz on an N car of 1 oz. Common practice, no source."""
FAR_UNDER = 0.30
"""A car this share under its target is a matter of care, not a note. Common practice, no source."""
OVER_ENOUGH = 0.30
"""A car this share over its target is still to the standard: NEM 302 allows up to 30 % more."""
BY_DEFAULT = (PUBLISHED, "nem-302", "amra")
"""The standards of which one is taken where none is named, the first among equals."""
LENDS_WITHIN = 1.10
"""Scales whose ratios are this near lend each other figures. A tenth in size is a fifth in weight for a length, less
than standards leave open (`OVER_ENOUGH`): assumption."""

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
    note: str = ""
    """What is taken for want of figures for the scale, in a sentence; empty where the standard has them."""

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


def weight_standard(wanted: str | OwnStandard | None, scale: Scale | str) -> WeightStandard:
    """The standard of that name for a scale, or the host's own; None is the one by default.

    A scale without figures of its own has those of the nearest scale by ratio, of like ratios the nearest by gauge.
    By default any standard may have them, `PUBLISHED` first among equals. `note` says what was taken for what.

    >>> weight_standard(None, "Z").note
    'NMRA RP-20.1 has no figures for scale Z; those of NEM 302 are taken.'
    >>> weight_standard("nmra-rp-20.1", "On30").note
    'NMRA RP-20.1 has no figures for scale On30; its figures for On3 are taken.'

    Raises `StandardError` for a name that is not known, and where no scale near enough has figures.
    """
    if isinstance(wanted, OwnStandard):
        return WeightStandard(wanted.name, wanted.name, "body", wanted.base_g, wanted.per_mm_g)
    known = published_standards()
    if wanted is not None and wanted not in known:
        from difflib import get_close_matches

        near = get_close_matches(wanted.lower(), known, n=1, cutoff=0.4)
        hint = f"did you mean '{near[0]}'? " if near else ""
        raise StandardError(f"no weight standard is called '{wanted[:40]}'; {hint}known: {', '.join(known)}")
    of = SCALES[scale] if isinstance(scale, str) else scale
    asked = wanted or PUBLISHED
    lenders = {each: lent for each, table in known.items() if (lent := _nearest(table["scale"], of)) is not None}
    able = [each for each in ((asked,) if wanted else BY_DEFAULT) if each in lenders]
    if not able:
        raise StandardError(_without_figures(known[asked]["title"], of, lenders))
    name = min(able, key=lambda each: _apart(lenders[each], of))
    table, lender = known[name], lenders[name].name
    row, note = table["scale"][lender], ""
    if (name, lender) != (asked, of.name):
        whose = "its figures" if name == asked else f"those of {table['title']}"
        theirs = "" if lender == of.name else f" for {lender}"
        note = f"{known[asked]['title']} has no figures for scale {of.name}; {whose}{theirs} are taken."
    base_g = row.get("base_oz", 0.0) * GRAMS_PER_OUNCE
    per_mm_g = row["per_in_oz"] * GRAMS_PER_OUNCE / MM_PER_INCH if "per_in_oz" in row else row["per_mm_g"]
    passenger = row.get("passenger_per_mm_g")
    return WeightStandard(name, table["title"], table["length"], base_g, per_mm_g, passenger, note)


def _nearest(figures: Iterable[str], scale: Scale) -> Scale | None:
    """The nearest scale that has figures, itself where it has some; None where none is near enough."""
    nearest = min((SCALES[name] for name in figures), key=lambda other: _apart(other, scale))
    return nearest if _apart(nearest, scale)[0] <= log(LENDS_WITHIN) else None


def _apart(one: Scale, other: Scale) -> tuple[float, float]:
    """How far two scales are apart: by their ratios, then by their gauges."""
    return abs(log(one.ratio / other.ratio)), abs(one.gauge_mm - other.gauge_mm)


def _without_figures(title: str, scale: Scale, others: Collection[str]) -> str:
    have = f"but {' and '.join(others)} {'have' if len(others) > 1 else 'has'}" if others else "nor has another"
    cure = ("name another standard, or " if others else "") + 'give your own as { name = "...", '
    return f"{title} has no figures for scale {scale.name}, {have}; {cure}base_g = 0.0, per_mm_g = 0.0 }}"
