"""Tonnage ratings: what engines of each class take over each line, by the hardest piece of its track.

The train is taken to stand wholly on that piece, engines and cars, so a rating is on the safe side for a train longer
than the piece. A train that is checked stands where it stands.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import exp, inf, log1p
from pathlib import Path
from typing import ClassVar

from consist.errors import refuse
from consist.frames import Columns, Framed
from consist.house import House
from consist.intake import own_standard, read_layout_and_engines
from consist.mechanics import curve_share_per_curvature
from consist.mechanics.resistance import car_resistance, usable_pull
from consist.power.results import Rating
from consist.session import by_class
from consist.stock import Engine, StandardError, WeightStandard, weight_standard
from consist.track import Layout, Line, Piece
from consist.trains import weakest

__all__ = ["STANDARD_CAR_HO_MM", "LayoutRatings", "eased", "rate_lines", "standard_car_g", "trailing_load"]

STANDARD_CAR_HO_MM = 5.5 * 25.4
"""Body length of the car that ratings are counted in, by ratio outside HO. Common practice, no source."""
ENGINE_COUNTS = (1, 2, 3)


def eased(load_g: float, per_gram: float, in_curve_g: float) -> float:
    """The load that takes as much on a curve as `load_g` would without its side loads.

    A train drawn round a curve is drawn against its rail, and the pull grows as a rope's does round a post: by
    `per_gram` for each gram of cars in it, of which `in_curve_g` stand in it at most. With all of the load in the
    curve T(W) = (w/k)(e^(kW) - 1), w being what a gram takes; what stands behind it is drawn through all of it.

    >>> round(eased(800.0, 0.0, 500.0)), round(eased(1000.0, 0.001, 9999.0))
    (800, 693)
    """
    if per_gram <= 0.0:
        return load_g
    inside = log1p(per_gram * load_g) / per_gram
    if inside <= in_curve_g:
        return inside
    growth = exp(per_gram * in_curve_g)
    return in_curve_g + (load_g - (growth - 1.0) / per_gram) / growth


def trailing_load(
    pull_g: float, weight_g: float, grade: float, curve: float, rolling: float, reserve: float = 0.0
) -> float | None:
    """The weight of cars that engines of that pull and weight take together; None where there is no limit.

    `grade`, `curve` and `rolling` are shares of weight. The engines' usable pull, less their own weight on grade and
    curve, over what the track takes of each gram of cars; 0 where they do not move themselves.

    >>> trailing_load(100.0, 500.0, grade=0.02, curve=0.006, rolling=0.014, reserve=0.15)
    1800.0
    """
    per_gram = car_resistance(1.0, grade + curve, rolling)
    usable = usable_pull(pull_g * (1.0 - reserve), weight_g, grade + curve)
    return max(usable / per_gram, 0.0) if per_gram > 0.0 else None


def standard_car_g(layout: Layout, standard: WeightStandard) -> float:
    """What a car of middling length weighs by a standard, in grams."""
    body_mm = layout.scale.by_ratio(STANDARD_CAR_HO_MM)
    return standard.target_g(body_mm, body_mm + layout.scale.coupled_over_body_mm)


@dataclass(frozen=True)
class LayoutRatings(Framed):
    """The ratings of a layout's lines, with the engines, the standard and the house they are made by."""

    _tables: ClassVar = {
        "ratings": Columns(
            "ratings",
            "line start finish engine_class ruling_percent ruling_piece trailing_g_1=trailing_g.0 "
            "trailing_g_2=trailing_g.1 trailing_g_3=trailing_g.2 cars_1=cars.0 cars_2=cars.1 cars_3=cars.2",
        )
    }
    layout: Layout
    engines: tuple[Engine, ...]
    standard: WeightStandard
    house: House
    notes: tuple[str, ...] = ()

    @property
    def ratings(self) -> tuple[Rating, ...]:
        """Those of every line, both ways, for every class; a class of unlike engines goes by its weakest."""
        return tuple(rating for _, _, ratings in self.directions for rating in ratings)

    @cached_property
    def directions(self) -> list[tuple[str, str, tuple[Rating, ...]]]:
        """The ratings of each line in each direction, with its first and last place.

        A line that comes back to the place where it starts has the ends named as well, so that its directions differ.
        """
        weak = {name: weakest(owned) for name, owned in by_class(self.engines).items()}
        found = []
        for number, way in enumerate(self.layout.directed_lines()):
            ends = way.start, way.finish
            start, finish = (", ".join(end) if way.start[0] == way.finish[0] else end[0] for end in ends)
            found.append((start, finish, tuple(self._rating(number, way, *of) for of in weak.items())))
        return found

    def _rating(self, number: int, way: Line, engine_class: str, engine: Engine) -> Rating:
        """A rating by the piece on which one engine takes the least."""
        loads = [self._load(piece, engine, 1) for piece in way.pieces]
        shares = [sum(self._shares(piece)) for piece in way.pieces]
        ruling = min(range(len(loads)), key=lambda at: (inf if (load := loads[at]) is None else load, -shares[at]))
        trailing = tuple(self._load(way.pieces[ruling], engine, count) for count in ENGINE_COUNTS)
        car_g = standard_car_g(self.layout, self.standard)
        return Rating(
            line=number // 2 + 1,
            start=way.start[0],
            finish=way.finish[0],
            engine_class=engine_class,
            ruling_percent=100.0 * shares[ruling],
            # the way back is numbered as the line is written too
            ruling_piece=len(loads) - ruling if number % 2 else ruling + 1,
            trailing_g=trailing,
            cars=tuple(None if load is None else int(load / car_g + 1e-9) for load in trailing),
        )

    def _shares(self, piece: Piece) -> tuple[float, float]:
        """Grade and curve resistance of a piece as shares of weight, its arc counting all along it."""
        curve = curve_share_per_curvature(self.layout.scale.ratio)
        return piece.grade, curve / piece.radius_mm if piece.radius_mm is not None else 0.0

    def _load(self, piece: Piece, engine: Engine, count: int) -> float | None:
        """What so many engines take over a piece."""
        pull, weight, rolling = count * engine.pull_g, count * engine.weight_g, self.house.rolling_percent / 100.0
        load = trailing_load(pull, weight, *self._shares(piece), rolling, self.house.pull_reserve)
        if load is None or piece.radius_mm is None:
            return load
        car_g, scale = standard_car_g(self.layout, self.standard), self.layout.scale
        car_mm = scale.by_ratio(STANDARD_CAR_HO_MM) + scale.coupled_over_body_mm
        drag = self.house.flange_drag * car_mm / piece.radius_mm / car_g
        return eased(load, drag, car_g * piece.length_mm / car_mm)


def rate_lines(layout: str | Path, engines: str | Path, standard: str | None = None) -> LayoutRatings:
    """The ratings of a layout's file for a table of engines; cars are counted by the standard named, or one's own.

    Raises `InputError` with every problem of both files, or of the standard.

    >>> import consist
    >>> rated = consist.rate_lines("layouts/puddlefold.toml", "sample_sessions/sunday_shelf/engines.csv")
    >>> rated.to_frame()[["start", "finish", "engine_class", "cars_1"]].head(1)
             start      finish engine_class  cars_1
    0  Cove Fiddle  Puddlefold         Road      16
    """
    built, pool, notes = read_layout_and_engines(Path(layout), Path(engines))
    house = House()
    wanted = own_standard(standard, "--standard") if standard is not None and "=" in standard else standard
    try:
        counted_by = weight_standard(wanted, built.scale)
    except StandardError as error:
        raise refuse("--standard", str(error)) from None
    return LayoutRatings(built, pool, counted_by, house, (*notes, *filter(None, (counted_by.note,))))
