"""The marks of a strip to lay a car on: where along it each weight stands, and over how many sheets it runs.

A mark for the weight w stands (w - base) / per_mm from the zero line, so that a car whose one end stands on the zero
line reaches with the other to the weight that the standard asks of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor

from consist.bench.target import scale_named, standard_named
from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH, Scale
from consist.stock import WeightStandard

__all__ = ["LONGEST_CAR_FT", "PAPERS", "Mark", "Paper", "Ruled", "Strip", "strips_for"]

LONGEST_CAR_FT = 85.0
"""A full-length passenger car: a strip reaches as far as one in its scale."""
SPARE_MM = 5.0  # past the longest car, so that its mark is not the last
SHORTEST_PART_MM = 130.0  # a shorter last part has no room for its words
CLOSEST_MM = 0.6  # marks nearer to each other than this run together in print
LABEL_GAP_MM = 9.0
ROUNDING = 1e-6

OUNCE_STEPS = (0.05, 0.1, 0.25, 0.5, 1.0)
GRAM_STEPS = (0.5, 1.0, 2.0, 5.0, 10.0)
INCH_STEPS = (0.125,)
MM_STEPS = (1.0,)
LABEL_STEPS = (0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)


@dataclass(frozen=True)
class Paper:
    """A sheet laid on its long side, in mm, with what a printer may leave white at the ends of a strip."""

    name: str
    width_mm: float
    height_mm: float
    before_mm: float = 20.0
    after_mm: float = 14.0

    @property
    def strip_mm(self) -> float:
        """How much of a strip one sheet takes: whole centimetres, so that a join falls on a mark of the ruler."""
        return floor((self.width_mm - self.before_mm - self.after_mm) / 10.0) * 10.0


PAPERS: dict[str, Paper] = {"a4": Paper("A4", 297.0, 210.0), "letter": Paper("Letter", 279.4, 215.9)}
"""ISO 216 A4, and Letter, 11 by 8.5 in."""


@dataclass(frozen=True)
class Mark:
    """A mark `at_mm` from the zero line. `rank` is 0 for the longest marks, 2 for the shortest."""

    at_mm: float
    value: float
    rank: int
    label: str = ""


@dataclass(frozen=True)
class Ruled:
    """Marks in one unit: the value at the zero line, what one mm adds, and how finely it is marked."""

    unit: str
    start: float
    per_mm: float
    step: float
    label_step: float

    def marks(self, from_mm: float, to_mm: float) -> tuple[Mark, ...]:
        """The marks from one distance to another along the strip, both ends within."""
        first = ceil((self.start + self.per_mm * from_mm) / self.step - ROUNDING)
        last = floor((self.start + self.per_mm * to_mm) / self.step + ROUNDING)
        return tuple(self._mark(number) for number in range(first, last + 1))

    def _mark(self, number: int) -> Mark:
        every = round(self.label_step / self.step)
        value = number * self.step
        at_mm = (value - self.start) / self.per_mm
        if number % every == 0:
            return Mark(at_mm, value, 0, f"{value:g}")
        return Mark(at_mm, value, 1 if every % 2 == 0 and number % (every // 2) == 0 else 2)


@dataclass(frozen=True)
class Strip:
    """The strip of one scale, by one standard, for all cars or for one kind of them."""

    scale: str
    standard: str
    length: str
    kinds: str
    long_mm: float
    base_g: float
    per_mm_g: float

    @property
    def ounces(self) -> Ruled:
        """The marks in ounces."""
        return _ruled("oz", self.base_g / GRAMS_PER_OUNCE, self.per_mm_g / GRAMS_PER_OUNCE, OUNCE_STEPS)

    @property
    def grams(self) -> Ruled:
        """The marks in grams."""
        return _ruled("g", self.base_g, self.per_mm_g, GRAM_STEPS)

    @property
    def inches(self) -> Ruled:
        """The ruler in inches."""
        return _ruled("in", 0.0, 1.0 / MM_PER_INCH, INCH_STEPS)

    @property
    def millimetres(self) -> Ruled:
        """The ruler in millimetres."""
        return _ruled("mm", 0.0, 1.0, MM_STEPS)

    def parts(self, paper: Paper) -> tuple[tuple[float, float], ...]:
        """Where along the strip each sheet's part of it begins and ends."""
        starts = [number * paper.strip_mm for number in range(ceil(self.long_mm / paper.strip_mm))]
        return tuple(
            (start, min(start + paper.strip_mm, max(self.long_mm, start + SHORTEST_PART_MM))) for start in starts
        )


def strips_for(scale_names: Sequence[str], standard: str) -> tuple[Strip, ...]:
    """The strips of some scales; two a scale where the standard tells passenger cars from others.

    Raises `InputError` for a scale or a standard not known, and where the standard has no figures for a scale.
    """
    return tuple(strip for name in dict.fromkeys(scale_names) for strip in _strips(scale_named(name), standard))


def _strips(scale: Scale, name: str) -> list[Strip]:
    standard = standard_named(name, scale)
    if standard.passenger_per_mm_g is None:
        return [_strip(scale, standard, "", standard.per_mm_g)]
    return [
        _strip(scale, standard, "freight cars", standard.per_mm_g),
        _strip(scale, standard, "passenger cars", standard.passenger_per_mm_g),
    ]


def _strip(scale: Scale, standard: WeightStandard, kinds: str, per_mm_g: float) -> Strip:
    long_mm = LONGEST_CAR_FT * 12.0 * MM_PER_INCH / scale.ratio + SPARE_MM
    if standard.length == "coupled":
        long_mm += scale.coupled_over_body_mm
    return Strip(scale.name, standard.title, standard.length_words, kinds, long_mm, standard.base_g, per_mm_g)


def _ruled(unit: str, start: float, per_mm: float, steps: Sequence[float]) -> Ruled:
    step = next((step for step in steps if step / per_mm >= CLOSEST_MM), steps[-1])
    label_step = next(
        wide
        for wide in LABEL_STEPS
        if wide / per_mm >= LABEL_GAP_MM and abs(wide / step - round(wide / step)) < ROUNDING
    )
    return Ruled(unit, start, per_mm, step, label_step)
