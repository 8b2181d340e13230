"""What must stay the same whatever the train and the track."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from builders import HO, World, car, curve, engine, layout, line, mirrored, session, straight, train, world
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import pieces, trains_on_track

from consist.mechanics import Peaks, swing_peaks
from consist.scales import Scale
from consist.session import CarInTrain
from consist.stock import Car, Engine
from consist.track import Piece

__all__: list[str] = []

ALIKE = 1e-6
TWICE_WITHIN_HALF_A_PER_CENT = 0.0101
"""Two runs whose samples lie elsewhere may each be half a per cent off the same peak."""


def _swings(of: World) -> np.ndarray:
    """The greatest sines of every coupling, of shape (couplings, 2): with the vehicle ahead and the one behind."""
    couplings = range(len(of.vehicles) - 1)
    seen = [swing_peaks(of.vehicles, coupling, of.tables, 0.0, of.length_mm) for coupling in couplings]
    return np.array([[ahead[0], behind[0]] for ahead, behind in seen]).reshape(-1, 2)


def _same(found: Peaks, expected: Peaks, share: float, factor: float = 1.0) -> None:
    """Uses of cars and engines alike; forces alike but for a factor. The least figures are rounding."""
    for name in ("use", "power_use", "hold_use"):
        one, other = getattr(found, name).value, getattr(expected, name).value
        np.testing.assert_allclose(one, other, rtol=share, atol=1e-7, err_msg=name)
    for name in ("tension", "buff"):
        one, other = np.maximum(getattr(found, name).value, 0.0), np.maximum(getattr(expected, name).value, 0.0)
        np.testing.assert_allclose(one, factor * other, rtol=share, atol=1e-5, err_msg=name)


def _changed(of: World, *, track: list[Piece] | None = None, weights: float = 1.0) -> World:
    """The same world with other track, or with all weights and pulls multiplied."""
    ours = of.train

    def heavier(one: Engine) -> Engine:
        return replace(one, weight_g=weights * one.weight_g, pull_g=weights * one.pull_g)

    cars = [
        CarInTrain(
            replace(one.car, weight_g=weights * one.car.weight_g, load_g=weights * one.car.load_g),
            one.spot, one.loaded, one.block, one.hold, one.joins, one.leaves,
        )
        for one in ours.cars
    ]  # fmt: skip
    return world(
        list(ours.route.pieces) if track is None else track,
        cars,
        [heavier(one) for one in ours.engines],
        [heavier(one) for one in ours.helpers],
        scale=of.session.layout.scale,
    )


@given(trains_on_track())
def test_a_layout_in_a_mirror_makes_no_difference(of: World) -> None:
    """Left-hand curves against right-hand ones: the same uses, forces and swings."""
    other = _changed(of, track=list(mirrored(of.train.route.pieces)))
    found, expected = other.run(), of.run()
    _same(found, expected, ALIKE)
    np.testing.assert_allclose(_swings(other), _swings(of), rtol=ALIKE, atol=1e-9)


@given(trains_on_track())
def test_twice_the_weights_and_pulls_leave_every_use_the_same(of: World) -> None:
    _same(_changed(of, weights=2.0).run(), of.run(), ALIKE, factor=2.0)


@given(trains_on_track(), st.floats(100.0, 3000.0))
def test_on_a_level_straight_nothing_is_pulled_aside(of: World, length_mm: float) -> None:
    level = _changed(of, track=[straight(length_mm)])
    assert np.all(level.run().use.value == 0.0)
    assert np.all(_swings(level) == 0.0)


@given(trains_on_track(scales=(HO,)), st.floats(0.1, 0.9))
def test_track_cut_in_two_changes_nothing(of: World, share: float) -> None:
    """Straights and uneased curves are cut; an eased curve is one thing with its easements."""
    cut: list[Piece] = []
    for piece in of.train.route.pieces:
        if piece.easement_mm > 0.0:
            cut.append(piece)
            continue
        for part in (share, 1.0 - share):
            cut.append(replace(piece, straight_mm=part * piece.straight_mm, angle=part * piece.angle))
    _same(_changed(of, track=cut).run(), of.run(), TWICE_WITHIN_HALF_A_PER_CENT)


@given(st.lists(pieces(), min_size=1, max_size=4))
def test_a_line_written_the_other_way_changes_nothing(track: list[Piece]) -> None:
    """The layout may give a line from either end; the train runs the same way over the same track."""
    stock = [car(f"C{k}", 30.0 + 25.0 * k, 110.0 + 20.0 * k) for k in range(4)]
    forth = line("Left Yard, out", "Right Yard, in", *track)
    peaks = []
    for written in (forth, forth.reversed()):
        where = layout(written)
        one = train(where, stock, [engine()])
        peaks.append(World(session(where, one), one).run())
    _same(peaks[1], peaks[0], ALIKE)


@given(trains_on_track(scales=(HO,)), st.sampled_from([0.5, 1.3, 2.0]))
@settings(max_examples=15)
def test_everything_larger_alike_changes_nothing(of: World, size: float) -> None:
    """All lengths, gauge and radii included, by one factor, and the ratio the other way.

    Curve resistance goes by the full-size radius, so with the ratio divided by the factor it stays; with the ratio
    kept it would not. Slopes, sines and levers are ratios of lengths.
    """
    scale = Scale("other", HO.ratio / size, HO.gauge_mm * size, HO.coupler_height_mm * size)

    def car_of(one: Car) -> Car:
        return replace(
            one, coupled_length_mm=size * one.coupled_length_mm, truck_centers_mm=size * one.truck_centers_mm
        )

    def engine_of(one: Engine) -> Engine:
        return replace(
            one, coupled_length_mm=size * one.coupled_length_mm, truck_centers_mm=size * one.truck_centers_mm
        )

    track = [
        replace(
            piece,
            straight_mm=size * piece.straight_mm,
            radius_mm=None if piece.radius_mm is None else size * piece.radius_mm,
            easement_mm=size * piece.easement_mm,
        )
        for piece in of.train.route.pieces
    ]
    other = world(
        track,
        [car_of(one.car) for one in of.train.cars],
        [engine_of(one) for one in of.train.engines],
        [engine_of(one) for one in of.train.helpers],
        scale=scale,
    )
    # a peak between two millimetres of the smaller is nearer one of the larger
    _same(other.run(), of.run(), 2.0 * TWICE_WITHIN_HALF_A_PER_CENT)


@given(st.floats(0.3, 3.0), st.floats(400.0, 900.0))
def test_an_engine_alone_has_nothing_to_report(length_m: float, radius_mm: float) -> None:
    of = world([straight(1000.0 * length_m), curve(radius_mm, 60.0)], [], [engine()])
    peaks = of.run()
    assert np.all(peaks.use.value == 0.0)
    assert len(peaks.tension.value) == 0
