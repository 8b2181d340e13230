"""Fields: what a column of a table or a key of a TOML file may hold, declared once.

From a declaration follow how its cell or key is read, what is said of a bad one, the explanations in the files that
`consist new` writes, and the reference of columns and keys.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH

__all__ = [
    "FILES_OWN",
    "LENGTH",
    "NOT_NEGATIVE",
    "NO_MEASURE",
    "PERCENT",
    "POSITIVE",
    "WEIGHT",
    "Bounds",
    "Field",
    "Kind",
    "explained",
    "yes_or_no",
]

WEIGHT: Mapping[str, float] = {"g": 1.0, "oz": GRAMS_PER_OUNCE}
LENGTH: Mapping[str, float] = {"mm": 1.0, "in": MM_PER_INCH}
FILES_OWN: Mapping[str, float] = {"": 1.0}
"""For a length in the unit that its file says."""
PERCENT: Mapping[str, float] = {"percent": 1.0}
NO_MEASURE: Mapping[str, float] = {}
"""For a bare number, such as a share."""

Kind = Literal[
    "text",
    "name",
    "number",
    "whole number",
    "choice",
    "yes or no",
    "true or false",
    "time",
    "list",
    "table",
    "tables",
]


@dataclass(frozen=True)
class Bounds:
    """What a number may be. `above` and `below` leave out the bound itself."""

    low: float
    high: float
    above: bool = False
    below: bool = False

    def hold(self, value: float) -> bool:
        """Whether the value lies within."""
        low = value > self.low if self.above else value >= self.low
        high = value < self.high if self.below else value <= self.high
        return math.isfinite(value) and low and high

    @property
    def words(self) -> str:
        """The bounds in words.

        >>> Bounds(0, 15, above=True).words
        'a number over 0 and up to 15'
        """
        low = f"over {self.low:.12g}" if self.above else f"from {self.low:.12g}"
        if self.below:
            return f"a number {low} and under {self.high:.12g}"
        return f"a number {low} {'and up ' if self.above else ''}to {self.high:.12g}"


# A model of under a thousandth of a unit or over a million of them is a slip of the pen in any scale.
POSITIVE = Bounds(0.001, 1_000_000)
NOT_NEGATIVE = Bounds(0, 1_000_000)


@dataclass(frozen=True)
class Field:
    """One column or key: its name without a unit, what it is for in a sentence or two, and what it may hold.

    `units` gives what one unit is in the program's own; the first is the program's. A number keeps within `bounds`.
    `words` are what may be written and what each means. `fault` and `cure` are what is said of a bad cell: what was
    expected, and what to do. `needed` is what a key that may not be left out must hold. `sample` is what a new file
    has for a key where that is not the default, and `stored` the name by which the value goes on.
    """

    name: str
    help: str
    kind: Kind = "text"
    units: Mapping[str, float] = field(default_factory=dict)
    bounds: Bounds = POSITIVE
    words: Mapping[str, object] = field(default_factory=dict)
    fault: str = ""
    cure: str = "correct the number or leave the cell empty"
    needed: str = ""
    default: object = None
    sample: str = ""
    stored: str = ""

    @property
    def columns(self) -> dict[str, float]:
        """The columns that may hold it, each with its unit in the program's own.

        >>> list(Field("pull", "How hard it pulls.", "number", WEIGHT).columns)
        ['pull_g', 'pull_oz']
        """
        columns = {f"{self.name}_{unit}".rstrip("_"): size for unit, size in self.units.items()}
        return columns or {self.name: 1.0}

    @property
    def goes_on_as(self) -> str:
        """The name by which the value goes on, in the program's own unit."""
        return self.stored or next(iter(self.columns))

    @property
    def range_words(self) -> str:
        """What it may hold, in words; empty where anything will do."""
        if self.kind == "number":
            return self.bounds.words
        return " or ".join(self.words) if self.kind == "choice" else self.needed

    @property
    def default_words(self) -> str:
        """What is taken where it is left out, in words; empty where nothing is."""
        if self.kind == "yes or no" and self.default is not None:
            return "yes" if self.default else "no"
        return "" if self.default is None else _written(self.default)

    @property
    def written(self) -> str:
        """The value that a new file has for a key: the sample, else the default, as a host would write it.

        >>> [Field("x", "", default=value).written for value in (1.0, 60.0, 0.15, False)]
        ['1.0', '60', '0.15', 'false']
        """
        return self.sample or _written(self.default)


def _written(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    return f"{value:g}" if isinstance(value, float) and value >= 10 else str(value)


def yes_or_no(name: str, help: str, cure: str, *, more: Mapping[str, bool], default: bool | None = None) -> Field:
    """A column of yes and no, in the ways that people write them; `more` are further ones."""
    words = {**dict.fromkeys(("yes", "y", "true", "1", "x"), True), **dict.fromkeys(("no", "n", "false", "0"), False)}
    fault = "an unclear yes or no"
    return Field(name, help, "yes or no", words={**words, **more}, fault=fault, cure=cure, default=default)


def explained(fields: Sequence[Field], *, keys: bool = False) -> str:
    """The fields in lines of comment: as columns with their names, or as keys with what a new file has for them.

    Neighbours that the same words explain share them.
    """
    lines: list[str] = []
    for together in _alike(fields):
        help = together[0].help.replace("\n", "\n# ")
        if keys:
            lines += [f"# {help}", *(f"{each.name} = {each.written}" for each in together)]
        else:
            names = " and ".join(" or ".join(each.columns) for each in together)
            lines.append(f"# {names}: {help}")
    return "\n".join(lines)


def _alike(fields: Sequence[Field]) -> Iterator[list[Field]]:
    together: list[Field] = []
    for each in fields:
        if together and each.help != together[-1].help:
            yield together
            together = []
        together.append(each)
    if together:
        yield together
