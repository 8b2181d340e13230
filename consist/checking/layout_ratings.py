"""Tonnage ratings of a layout, from its file and a table of engines, by the defaults of the house."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from consist.errors import InputError, Problem
from consist.house import House
from consist.intake import read_layout_and_engines
from consist.power import Rating, ratings
from consist.stock import Engine, StandardError, WeightStandard, weight_standard
from consist.track import Layout

__all__ = ["LayoutRatings", "rate_layout"]


@dataclass(frozen=True)
class LayoutRatings:
    """The ratings of a layout's lines, with the engines, the standard and the house they were made by."""

    layout: Layout
    engines: tuple[Engine, ...]
    standard: WeightStandard
    house: House
    ratings: tuple[Rating, ...]
    notes: tuple[str, ...] = ()

    @property
    def directions(self) -> list[tuple[str, str, tuple[Rating, ...]]]:
        """The ratings of each line in each direction, with its first and last place.

        A line that comes back to the place where it starts has the ends named as well, so that its directions differ.
        """
        classes = len({engine.engine_class for engine in self.engines})
        ways = [way for line in self.layout.lines for way in (line, line.reversed())]
        found = []
        for number, way in enumerate(ways):
            ends = way.start, way.finish
            start, finish = (", ".join(end) if way.start[0] == way.finish[0] else end[0] for end in ends)
            found.append((start, finish, self.ratings[number * classes : (number + 1) * classes]))
        return found


def rate_layout(layout: Path, engines: Path, standard: str | None = None) -> LayoutRatings:
    """The ratings of a layout's file for a table of engines; cars are counted by the weight standard named.

    Raises `InputError` with every problem of both files, or of the standard.
    """
    built, pool, notes = read_layout_and_engines(layout, engines)
    house = House()
    counted_by = _standard(standard, built, house)
    found = ratings(
        built,
        pool,
        rolling_percent=house.rolling_percent,
        pull_reserve=house.pull_reserve,
        standard=counted_by,
        flange_drag=house.flange_drag,
    )
    return LayoutRatings(built, pool, counted_by, house, found, notes)


def _standard(name: str | None, layout: Layout, house: House) -> WeightStandard:
    try:
        return weight_standard(house.weight_standard if name is None else name, layout.scale)
    except StandardError as error:
        raise InputError([Problem("--standard", "", str(error))]) from None
