"""Random track, stock and trains of HO's sizes; other scales are these by ratio."""

from __future__ import annotations

from math import radians

from builders import HO, World, car, curve, engine, straight, world
from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, SearchStrategy, composite

from consist.scales import SCALES, Scale
from consist.stock import Car, Engine
from consist.track import Piece

__all__ = ["cars", "engines", "pieces", "trains_on_track"]


def _between(low: float, high: float, step: float) -> SearchStrategy[float]:
    """Even steps between two values: figures that shrink to something readable."""
    return st.integers(0, round((high - low) / step)).map(lambda k: low + k * step)


@composite
def pieces(draw: DrawFn, factor: float = 1.0) -> Piece:
    """A straight or a curve, with or without easements, on any grade up to 4 %."""
    grade = draw(_between(-4.0, 4.0, 0.25))
    if draw(st.booleans()):
        return straight(draw(_between(20.0, 700.0, 13.7)) * factor, grade)
    radius = draw(_between(330.0, 1200.0, 7.3)) * factor
    angle = draw(_between(8.0, 120.0, 1.7))
    eased = draw(st.sampled_from([0.0, 0.0, 0.35, 0.8, 1.0]))
    # an easement of e turns e/2R at each end, so no more than the whole angle fits
    easement = min(eased * radius * radians(angle), 300.0 * factor)
    turn = draw(st.sampled_from(["left", "right"]))
    return curve(radius, angle, turn, grade_percent=grade, easement_mm=easement)


@composite
def cars(draw: DrawFn, name: str, factor: float = 1.0) -> Car:
    """A car: light or heavy, short or long, on four wheels or trucks, couplers on the body or the trucks."""
    four_wheel = draw(st.booleans()) and draw(st.booleans())
    length = draw(_between(80.0, 110.0, 3.1) if four_wheel else _between(120.0, 300.0, 6.1)) * factor
    share = draw(_between(0.35, 0.55, 0.02) if four_wheel else _between(0.55, 0.78, 0.02))
    return car(
        name,
        draw(_between(12.0, 260.0, 3.7)),
        length,
        truck_centers_mm=share * length,
        mount="body" if four_wheel else draw(st.sampled_from(["body", "body", "truck"])),
        rolling=draw(_between(0.006, 0.03, 0.001)),
    )


@composite
def engines(draw: DrawFn, name: str, factor: float = 1.0) -> Engine:
    """An engine that keeps some pull on 4 %."""
    weight = draw(_between(200.0, 700.0, 17.0))
    return engine(
        name,
        weight,
        weight * draw(_between(0.15, 0.3, 0.01)),
        draw(_between(120.0, 300.0, 7.7)) * factor,
    )


@composite
def trains_on_track(draw: DrawFn, scales: tuple[Scale, ...] = (HO, SCALES["N"], SCALES["O"])) -> World:
    """A train of up to nine vehicles, with or without a helper, on up to five pieces of track."""
    scale = draw(st.sampled_from(scales))
    factor = scale.by_ratio(1.0)
    track = [draw(pieces(factor)) for _ in range(draw(st.integers(1, 5)))]
    stock = [draw(cars(f"C{k}", factor)) for k in range(1, draw(st.integers(2, 7)))]
    ahead = [draw(engines(f"{k}", factor)) for k in range(1, draw(st.integers(2, 3)))]
    helping = [draw(engines("9", factor))] if draw(st.booleans()) else []
    return world(track, stock, ahead, helping, scale=scale)
