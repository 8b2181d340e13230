"""Fields: what a column of a table or a key of a TOML file may hold, declared once, in `fields.toml`.

From a declaration follow how its cell or key is read, what is said of a bad one, and the explanations in new
files.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from itertools import groupby
from string import Template
from typing import Any

from consist.house import GuestPractice, House, Spread
from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH, SCALES
from consist.tolerances import AS_HEAVY_G, AS_LONG_MM

__all__ = ["FILES_OWN", "POSITIVE", "UNITS", "Bounds", "Field", "at_odds", "declared", "declared_tables", "explained"]

FILES_OWN = "length of the file"
A_LINE = 13  # scales named on a line of a new file
"""The kind of a length in the unit that its file says."""
UNITS: Mapping[str, Mapping[str, float]] = {
    "weight": {"g": 1.0, "oz": GRAMS_PER_OUNCE},
    "length": {"mm": 1.0, "in": MM_PER_INCH},
    "percent": {"percent": 1.0},
    "degrees": {"deg": 1.0},
    "number": {},
    FILES_OWN: {},
}
"""The kinds of number: what one of each unit is in the program's own, which comes first."""
YES_AND_NO = dict.fromkeys(("yes", "y", "true", "1", "x"), True) | dict.fromkeys(("no", "n", "false", "0"), False)
APART = {"mm": AS_LONG_MM, "g": AS_HEAVY_G}
"""How far apart two figures of a unit may be and still be the same."""


@dataclass(frozen=True)
class Bounds:
    """What a number may be. `above` and `below` leave out the bound itself; `zero` lets 0 be as well."""

    low: float
    high: float
    above: bool = False
    below: bool = False
    zero: bool = False

    def hold(self, value: float) -> bool:
        """Whether the value lies within."""
        low = value > self.low if self.above else value >= self.low
        high = value < self.high if self.below else value <= self.high
        return (self.zero and value == 0) or (math.isfinite(value) and low and high)

    @property
    def words(self) -> str:
        """The bounds in words.

        >>> Bounds(0, 15, above=True).words, Bounds(0.001, 15, zero=True).words
        ('a number over 0 and up to 15', '0 or a number from 0.001 to 15')
        """
        low = "over" if self.above else "from"
        high = "and under" if self.below else "and up to" if self.above else "to"
        return f"{'0 or ' if self.zero else ''}a number {low} {self.low:.12g} {high} {self.high:.12g}"


POSITIVE = Bounds(0.001, 1_000_000)
"""A model of under a thousandth of a unit or over a million of them is a slip of the pen in any scale."""


@dataclass(frozen=True, eq=False)
class Field:
    """One column or key; `fields.toml` says what each part is.

    `bounds` are those of a number. `words` are in small letters.
    """

    name: str
    help: str
    kind: str = "text"
    bounds: Bounds = POSITIVE
    words: Mapping[str, object] = field(default_factory=dict)
    fault: str = ""
    cure: str = "correct the number or leave the cell empty"
    needed: str = ""
    once: bool = False
    default: object = None
    sample: str = ""
    stored: str = ""

    @property
    def is_number(self) -> bool:
        """Whether it holds a number, with a unit or without."""
        return self.kind in UNITS

    @property
    def columns(self) -> dict[str, float]:
        """The columns that may hold it, each with its unit in the program's own.

        >>> list(Field("pull", "How hard it pulls.", "weight").columns)
        ['pull_g', 'pull_oz']
        """
        return {f"{self.name}_{unit}": size for unit, size in UNITS.get(self.kind, {}).items()} or {self.name: 1.0}

    @property
    def goes_on_as(self) -> str:
        """The name by which the value goes on, in the program's own unit."""
        return self.stored or next(iter(self.columns))

    @property
    def range_words(self) -> str:
        """What it may hold, in words; empty where anything will do."""
        if self.is_number:
            return self.bounds.words
        if self.kind == "choice":
            return " or ".join(self.words)
        return self.needed or self.fault.removeprefix("expected ")

    @property
    def default_words(self) -> str:
        """What is taken where it is left out, as a host would write it; empty where nothing is.

        >>> [Field("x", "", default=value).default_words for value in (1.0, 60.0, 0.15, False, None)]
        ['1.0', '60', '0.15', 'false', '']
        """
        if isinstance(self.default, float) and self.default >= 10:
            return f"{self.default:g}"
        said = "" if self.default is None else str(self.default)
        return said.lower() if isinstance(self.default, bool) else said


@cache
def _declarations() -> dict[str, dict[str, Any]]:
    return tomllib.loads((files("consist.intake") / "fields.toml").read_text(encoding="utf-8"))


def declared_tables() -> tuple[str, ...]:
    """The tables of `fields.toml` that declare fields, in order."""
    return tuple(table for table in _declarations() if table != "checks")


@cache
def declared(*tables: str) -> tuple[Field, ...]:
    """The fields of tables of `fields.toml`, in order.

    >>> [each.name for each in declared("own_standard")]
    ['name', 'base_g', 'base_oz', 'per_mm_g', 'per_in_oz']
    """
    defaults = {"house": vars(House()), "guest_practice": vars(GuestPractice()), "spread": vars(Spread())}
    return tuple(
        _field(name, {"default": defaults.get(table, {}).get(name), **row})
        for table in tables
        for name, row in _declarations()[table].items()
    )


def _field(name: str, row: dict[str, Any]) -> Field:
    low = row.pop("from", POSITIVE.low)
    high = row.pop("to", POSITIVE.high)
    above, below = "over" in row, "under" in row
    bounds = Bounds(row.pop("over", low), row.pop("under", high), above, below, row.pop("zero", False))
    if row.get("kind") == "name":
        row = {"fault": f"expected the {name}'s name", "cure": "name it or clear the row", **row}
    elif row.get("kind") == "yes or no":
        row |= {"words": YES_AND_NO | row["words"], "fault": "an unclear yes or no"}
    row["help"] = Template(row["help"]).safe_substitute(scales=_known_scales())
    return Field(name, bounds=bounds, **row)


def _known_scales() -> str:
    known = [f'"{scale}"' for scale in SCALES]
    return ",\n".join(", ".join(known[at : at + A_LINE]) for at in range(0, len(known), A_LINE))


def at_odds(table: str, values: Mapping[str, Any], filled: Set[str]) -> Iterator[tuple[str, str]]:
    """Where what one row or table of keys holds contradicts itself or is not enough, and what is said of it.

    `values` are by the names they go on by; `filled` are the fields that hold something, be it bad.
    """
    for check in _declarations()["checks"].get(table, ()):
        if "low" in check:
            # no comparison holds with a figure that is not given
            low, high = (values.get(check[end], math.nan) for end in ("low", "high"))
            apart = APART.get(check["low"].rpartition("_")[2], 0.0)
            wrong = low >= high - apart if check.get("under") else low > high + apart
        else:
            lacking = filled.isdisjoint(check.get("lacks", ()))
            beside = "beside" not in check or not filled.isdisjoint(check["beside"])
            wrong = filled >= {*check.get("has", ())} and lacking and beside
        if wrong:
            yield check["at"], check["text"].format_map(values)


def explained(fields: Sequence[Field], *, keys: bool = False) -> str:
    """The fields in lines of comment: as columns with their names, or as keys with what a new file has for them.

    Neighbours that the same words explain share them.
    """
    lines: list[str] = []
    for said, group in groupby(fields, key=lambda each: each.help.replace("\n", "\n# ")):
        together = list(group)
        if keys:
            lines += [f"# {said}", *(f"{each.name} = {each.sample or each.default_words}" for each in together)]
        else:
            names = " and ".join(" or ".join(each.columns) for each in together)
            lines.append(f"# {names}: {said}")
    return "\n".join(lines)
