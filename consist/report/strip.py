"""The marks of a strip to lay a car on: where along it each weight stands, and over how many sheets it runs.

A mark for the weight w stands (w - base) / per_mm from the zero line, so that a car whose one end stands on the zero
line reaches with the other to the weight that the standard asks of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil, floor

from consist.bench.target import scale_named, standard_named
from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH

__all__ = ["LONGEST_CAR_FT", "PAPERS", "Mark", "Paper", "Ruled", "Strip", "strips_for"]

LONGEST_CAR_FT = 85.0
"""A full-length passenger car: a strip reaches as far as one in its scale."""
SPARE_MM = 5.0  # past the longest car, so that its mark is not the last
SHORTEST_PART_MM = 130.0  # a shorter last part has no room for its words
CLOSEST_MM = 0.6  # marks nearer to each other than this run together in print
LABEL_GAP_MM = 9.0
ROUNDING = 1e-6
LABEL_STEPS = (0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)


@dataclass(frozen=True)
class Paper:
    """A sheet laid on its long side, in mm, with what a printer may leave white at the ends of a strip."""

    width_mm: float
    height_mm: float
    before_mm: float = 20.0
    after_mm: float = 14.0

    @property
    def strip_mm(self) -> float:
        """How much of a strip one sheet takes: whole centimetres, so that a join falls on a mark of the ruler."""
        return floor((self.width_mm - self.before_mm - self.after_mm) / 10.0) * 10.0


PAPERS: dict[str, Paper] = {"a4": Paper(297.0, 210.0), "letter": Paper(279.4, 215.9)}
"""ISO 216 A4, and Letter, 11 by 8.5 in."""


@dataclass(frozen=True)
class Mark:
    """A mark `at_mm` from the zero line. `rank` is 0 for the longest, which have a label, 2 for the shortest."""

    at_mm: float
    rank: int
    label: str


@dataclass(frozen=True)
class Ruled:
    """Marks in one unit: the value at the zero line, what one mm adds, and how finely it may be marked."""

    unit: str
    start: float
    per_mm: float
    steps: tuple[float, ...]

    def marks(self, from_mm: float, to_mm: float) -> Iterator[Mark]:
        """The marks from one distance to another along the strip, both ends within."""
        step = next((step for step in self.steps if step / self.per_mm >= CLOSEST_MM), self.steps[-1])
        every = next(
            round(wide / step)
            for wide in LABEL_STEPS
            if wide / self.per_mm >= LABEL_GAP_MM and abs(wide / step - round(wide / step)) < ROUNDING
        )
        first = ceil((self.start + self.per_mm * from_mm) / step - ROUNDING)
        last = floor((self.start + self.per_mm * to_mm) / step + ROUNDING)
        for number in range(first, last + 1):
            labelled, half = number % every == 0, every % 2 == 0 and number % (every // 2) == 0
            rank = 0 if labelled else 1 if half else 2
            yield Mark((number * step - self.start) / self.per_mm, rank, f"{number * step:g}" if labelled else "")


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
    def ruled(self) -> tuple[Ruled, ...]:
        """The marks of both edges, by weight, and of the ruler between them."""
        ounces = self.base_g / GRAMS_PER_OUNCE, self.per_mm_g / GRAMS_PER_OUNCE
        return (
            Ruled("oz", *ounces, (0.05, 0.1, 0.25, 0.5, 1.0)),
            Ruled("g", self.base_g, self.per_mm_g, (0.5, 1.0, 2.0, 5.0, 10.0)),
            Ruled("in", 0.0, 1.0 / MM_PER_INCH, (0.125,)),
            Ruled("mm", 0.0, 1.0, (1.0,)),
        )

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
    strips = []
    for scale in map(scale_named, dict.fromkeys(scale_names)):
        by = standard_named(standard, scale)
        long_mm = LONGEST_CAR_FT * 12.0 * MM_PER_INCH / scale.ratio + SPARE_MM
        if by.length == "coupled":
            long_mm += scale.coupled_over_body_mm
        kinds = {"": by.per_mm_g}
        if by.passenger_per_mm_g is not None:
            kinds = {"freight cars": by.per_mm_g, "passenger cars": by.passenger_per_mm_g}
        strips += [
            Strip(scale.name, by.title, by.length_words, kind, long_mm, by.base_g, per_mm_g)
            for kind, per_mm_g in kinds.items()
        ]
    return tuple(strips)
