"""Tonnage ratings: what engines of each class take over each line, by the hardest piece of its track.

The train is taken to stand wholly on that piece, engines and cars, so a rating is on the safe side for a train longer
than the piece. A train checked by `power.combos` stands where it stands.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import exp, inf, log1p
from pathlib import Path
from typing import ClassVar

from consist.errors import InputError, Problem
from consist.frames import Columns, Framed
from consist.house import House
from consist.intake import read_layout_and_engines
from consist.mechanics import curve_share_per_curvature
from consist.mechanics.resistance import car_resistance, usable_pull
from consist.power.results import Rating
from consist.session import by_class
from consist.stock import Engine, StandardError, WeightStandard, weight_standard
from consist.track import Layout, Line, Piece
from consist.trains import weakest

__all__ = [
    "STANDARD_CAR_HO_MM",
    "CurveDrag",
    "LayoutRatings",
    "rate_lines",
    "ratings",
    "standard_car_g",
    "trailing_load",
]

STANDARD_CAR_HO_MM = 5.5 * 25.4
"""Body length of the car that ratings are counted in, by ratio outside HO. Common practice, no source."""
ENGINE_COUNTS = (1, 2, 3)


@dataclass(frozen=True)
class CurveDrag:
    """What side loads cost on a curve: the part by which a pull grows for each gram of cars in it,
    and the weight of cars that stand in it at most.

    A train drawn round a curve is drawn against its rail, and the pull grows as a rope's does round a post.
    """

    per_gram: float
    in_curve_g: float

    def eased(self, load_g: float) -> float:
        """The load that takes as much on the curve as `load_g` would without its side loads.

        With all of it in the curve T(W) = (w/k)(e^(kW) - 1), w being what a gram takes; what stands behind the curve
        is drawn through all of it.

        >>> round(CurveDrag(0.0, 500.0).eased(800.0)), round(CurveDrag(0.001, 9999.0).eased(1000.0))
        (800, 693)
        """
        if self.per_gram <= 0.0:
            return load_g
        inside = log1p(self.per_gram * load_g) / self.per_gram
        if inside <= self.in_curve_g:
            return inside
        growth = exp(self.per_gram * self.in_curve_g)
        return self.in_curve_g + (load_g - (growth - 1.0) / self.per_gram) / growth


def trailing_load(
    pull_g: float,
    weight_g: float,
    grade: float,
    curve: float,
    rolling: float,
    reserve: float = 0.0,
    drag: CurveDrag | None = None,
) -> float | None:
    """The weight of cars that engines of that pull and weight take together; None where there is no limit.

    `grade`, `curve` and `rolling` are shares of weight. The engines' usable pull, less their own weight on grade and
    curve, over what the track takes of each gram of cars, less what side loads cost; 0 where they do not move
    themselves.

    >>> trailing_load(100.0, 500.0, grade=0.02, curve=0.006, rolling=0.014, reserve=0.15)
    1800.0
    """
    per_gram = car_resistance(1.0, grade + curve, rolling)
    usable = usable_pull(pull_g * (1.0 - reserve), weight_g, grade + curve)
    if per_gram <= 0.0:
        return None
    load = max(usable / per_gram, 0.0)
    return load if drag is None else drag.eased(load)


def ratings(layout: Layout, engines: Iterable[Engine], house: House, standard: WeightStandard) -> tuple[Rating, ...]:
    """The ratings of every line, both ways, for every class; a class of unlike engines goes by its weakest."""
    rater, classes = _Rater(layout, house, standard), by_class(engines)
    return tuple(
        rater.rating(number // 2 + 1, way, number % 2 == 1, name, weakest(owned))
        for number, way in enumerate(layout.directed_lines())
        for name, owned in classes.items()
    )


@dataclass(frozen=True)
class LayoutRatings(Framed):
    """The ratings of a layout's lines, with the engines, the standard and the house they were made by."""

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
    ratings: tuple[Rating, ...]
    notes: tuple[str, ...] = ()

    @property
    def directions(self) -> list[tuple[str, str, tuple[Rating, ...]]]:
        """The ratings of each line in each direction, with its first and last place.

        A line that comes back to the place where it starts has the ends named as well, so that its directions differ.
        """
        classes = len({engine.engine_class for engine in self.engines})
        found = []
        for number, way in enumerate(self.layout.directed_lines()):
            ends = way.start, way.finish
            start, finish = (", ".join(end) if way.start[0] == way.finish[0] else end[0] for end in ends)
            found.append((start, finish, self.ratings[number * classes : (number + 1) * classes]))
        return found


def rate_lines(layout: str | Path, engines: str | Path, standard: str | None = None) -> LayoutRatings:
    """The ratings of a layout's file for a table of engines; cars are counted by the weight standard named.

    Raises `InputError` with every problem of both files, or of the standard.

    >>> import consist
    >>> rated = consist.rate_lines("layouts/puddlefold.toml", "sample_sessions/sunday_shelf/engines.csv")
    >>> rated.to_frame()[["start", "finish", "engine_class", "cars_1"]].head(1)
             start      finish engine_class  cars_1
    0  Cove Fiddle  Puddlefold         Road      16
    """
    built, pool, notes = read_layout_and_engines(Path(layout), Path(engines))
    house = House()
    try:
        counted_by = weight_standard(house.weight_standard if standard is None else standard, built.scale)
    except StandardError as error:
        raise InputError([Problem("--standard", "", str(error))]) from None
    found = ratings(built, pool, house, counted_by)
    return LayoutRatings(built, pool, counted_by, house, found, notes)


@dataclass(frozen=True)
class _Rater:
    """A layout rated by a house's practice."""

    layout: Layout
    house: House
    standard: WeightStandard

    def rating(self, number: int, way: Line, back: bool, name: str, engine: Engine) -> Rating:
        """A rating by the piece on which one engine takes the least."""
        pieces = [(piece, *self._shares(piece)) for piece in way.pieces]

        def hardness(place: int) -> tuple[float, float]:
            load = self._load(*pieces[place], engine, 1)
            return inf if load is None else load, -sum(pieces[place][1:])

        ruling = min(range(len(pieces)), key=hardness)
        trailing = tuple(self._load(*pieces[ruling], engine, count) for count in ENGINE_COUNTS)
        car_g = standard_car_g(self.layout, self.standard)
        return Rating(
            line=number,
            start=way.start[0],
            finish=way.finish[0],
            engine_class=name,
            ruling_percent=100.0 * sum(pieces[ruling][1:]),
            ruling_piece=len(pieces) - ruling if back else ruling + 1,
            trailing_g=trailing,
            cars=tuple(None if load is None else int(load / car_g + 1e-9) for load in trailing),
        )

    def _shares(self, piece: Piece) -> tuple[float, float]:
        """Grade and curve resistance of a piece as shares of weight, its arc counting all along it."""
        curve = curve_share_per_curvature(self.layout.scale.ratio)
        return piece.grade, curve / piece.radius_mm if piece.radius_mm is not None else 0.0

    def _load(self, piece: Piece, grade: float, curve: float, engine: Engine, count: int) -> float | None:
        """What so many engines take over a piece."""
        drag = None
        if piece.radius_mm is not None:
            car_g = standard_car_g(self.layout, self.standard)
            car_mm = _standard_body_mm(self.layout) + self.layout.scale.coupled_over_body_mm
            each = self.house.flange_drag * car_mm / piece.radius_mm / car_g
            drag = CurveDrag(each, car_g * piece.length_mm / car_mm)
        pull, weight, rolling = count * engine.pull_g, count * engine.weight_g, self.house.rolling_percent / 100.0
        return trailing_load(pull, weight, grade, curve, rolling, self.house.pull_reserve, drag)


def standard_car_g(layout: Layout, standard: WeightStandard) -> float:
    """What a car of middling length weighs by a standard, in grams."""
    body_mm = _standard_body_mm(layout)
    return standard.target_g(body_mm, body_mm + layout.scale.coupled_over_body_mm)


def _standard_body_mm(layout: Layout) -> float:
    return layout.scale.by_ratio(STANDARD_CAR_HO_MM)
