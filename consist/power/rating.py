"""Tonnage ratings: what engines of each class take over each line, by the hardest piece of its track.

The train is taken to stand wholly on that piece, engines and cars, so a rating is on the safe side for a train longer
than the piece. A train checked by `power.combos` stands where it stands.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from consist.mechanics import curve_share_per_curvature
from consist.mechanics.resistance import car_resistance, usable_pull
from consist.power.results import Rating
from consist.stock import Engine, WeightStandard
from consist.track import Layout, Line
from consist.trains import weakest

__all__ = ["STANDARD_CAR_HO_MM", "ratings", "standard_car_g", "trailing_load"]

STANDARD_CAR_HO_MM = 5.5 * 25.4
"""Body length of the car that ratings are counted in, by ratio outside HO. Common practice, no source."""
ENGINE_COUNTS = (1, 2, 3)


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
    if per_gram <= 0.0:
        return None
    return max(usable / per_gram, 0.0)


def ratings(
    layout: Layout,
    engines: Sequence[Engine],
    *,
    rolling_percent: float,
    pull_reserve: float,
    standard: WeightStandard,
) -> tuple[Rating, ...]:
    """The ratings of every line, both ways, for every class; a class of unlike engines goes by its weakest.

    The last three are the house's: the rolling resistance of a car in per cent, the share of pull kept in hand, and
    the standard that says what a car weighs.
    """
    car_g = standard_car_g(layout, standard)
    found = []
    for number, line in enumerate(layout.lines, start=1):
        for way, back in ((line, False), (line.reversed(), True)):
            for name, engine in _by_class(engines):
                found.append(_rating(layout, number, way, back, name, engine, (rolling_percent, pull_reserve, car_g)))
    return tuple(found)


def _rating(
    layout: Layout,
    number: int,
    way: Line,
    back: bool,
    name: str,
    engine: Engine,
    house: tuple[float, float, float],
) -> Rating:
    """A rating by the piece on which this engine takes the least."""
    rolling_percent, reserve, car_g = house
    rolling = rolling_percent / 100.0
    shares = [_shares(layout, way, place) for place in range(len(way.pieces))]
    loads = [trailing_load(engine.pull_g, engine.weight_g, *share, rolling, reserve) for share in shares]
    piece = min(range(len(loads)), key=lambda place: (_or_endless(loads[place]), -sum(shares[place])))
    trailing = tuple(None if loads[piece] is None else count * (loads[piece] or 0.0) for count in ENGINE_COUNTS)
    return Rating(
        line=number,
        start=way.start[0],
        finish=way.finish[0],
        engine_class=name,
        ruling_percent=100.0 * sum(shares[piece]),
        ruling_piece=len(loads) - piece if back else piece + 1,
        trailing_g=trailing,
        cars=tuple(None if load is None else int(load / car_g + 1e-9) for load in trailing),
    )


def _shares(layout: Layout, way: Line, place: int) -> tuple[float, float]:
    """Grade and curve resistance of a piece as shares of weight, its arc counting all along it."""
    piece = way.pieces[place]
    curve = curve_share_per_curvature(layout.scale.ratio) / piece.radius_mm if piece.radius_mm is not None else 0.0
    return piece.grade, curve


def _or_endless(load: float | None) -> float:
    return float("inf") if load is None else load


def standard_car_g(layout: Layout, standard: WeightStandard) -> float:
    """What a car of middling length weighs by a standard, in grams."""
    body_mm = layout.scale.by_ratio(STANDARD_CAR_HO_MM)
    return standard.target_g(body_mm, body_mm + layout.scale.coupled_over_body_mm)


def _by_class(engines: Iterable[Engine]) -> list[tuple[str, Engine]]:
    classes: dict[str, list[Engine]] = {}
    for engine in engines:
        classes.setdefault(engine.engine_class, []).append(engine)
    return [(name, weakest(tuple(classes[name]))) for name in sorted(classes)]
