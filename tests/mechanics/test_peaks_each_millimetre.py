"""The peaks of a run against working the train out at every millimetre.

A run may miss such a peak by half a per cent at most. It may pass it only by a peak that is really there, between
two millimetres: a jump of curvature under a truck makes spikes narrower than that.
"""

from __future__ import annotations

import numpy as np
import plain
import pytest
from builders import World, car, curve, engine, plain_house, plain_pieces, plain_train, straight, world
from each_millimetre import each_millimetre, figures_at, side_pulls
from hypothesis import given
from numpy.typing import ArrayLike
from strategies import trains_on_track

from consist.mechanics import Peaks, swing_peaks
from consist.scales import SCALES

__all__: list[str] = []

SHARE = 1.005
ROUNDING = 1e-6
"""Forces (gram-force) and uses below this are rounding."""


def _reaches(found: ArrayLike, expected: ArrayLike, what: str) -> None:
    got, want = np.maximum(np.asarray(found), 0.0), np.maximum(np.asarray(expected), 0.0)
    assert np.all(got >= want / SHARE - ROUNDING), f"{what} misses a peak: {got} of {want}"


def _within(found: ArrayLike, expected: ArrayLike, what: str) -> None:
    got, want = np.maximum(np.asarray(found), 0.0), np.maximum(np.asarray(expected), 0.0)
    assert np.all(got >= want / SHARE - ROUNDING), f"{what} misses a peak: {got} of {want}"
    assert np.all(got <= want * SHARE + ROUNDING), f"{what} overshoots: {got} of {want}"


def _is_real(of: World, found: Peaks) -> None:
    """Every peak is what the train does with its head where the peak is said to be."""
    vehicles, couplings = np.arange(len(of.vehicles)), np.arange(len(of.vehicles) - 1)
    at = figures_at(of, *found.use.head_mm)
    np.testing.assert_allclose(found.use.value, at.use[vehicles, vehicles], rtol=1e-9, atol=1e-12)
    front, rear = side_pulls(at)
    for k in of.vehicles.cars:
        ahead, behind = abs(front[k, k]), abs(rear[k, k])
        if abs(ahead - behind) > ROUNDING:
            harder = at.forces.tension[k - 1 if ahead > behind else k, k]
            assert found.in_buff[k] == (harder < 0.0)
    for peak, sign in ((found.tension, 1.0), (found.buff, -1.0)):
        there = figures_at(of, *peak.head_mm).forces.tension[couplings, couplings]
        np.testing.assert_allclose(peak.value, sign * there, rtol=1e-9, atol=1e-9)
    for peak, sign in ((found.power_use, 1.0), (found.hold_use, -1.0)):
        share = sign * figures_at(of, *peak.head_mm).forces.engine_share
        np.testing.assert_allclose(peak.value, np.maximum(share, 0.0), rtol=1e-6, atol=1e-9)


def _hold_all(of: World) -> None:
    found, expected = of.run(), each_millimetre(of)
    _is_real(of, found)
    _reaches(found.use.value, expected.use, "use")
    _reaches(found.tension.value, expected.tension, "tension")
    _reaches(found.buff.value, expected.buff, "buff")
    _reaches(found.power_use.value, expected.power_use, "power use")
    _reaches(found.hold_use.value, expected.hold_use, "hold use")


def _hold_swings(of: World) -> None:
    expected = each_millimetre(of)
    for coupling in range(len(of.vehicles) - 1):
        ahead, behind = swing_peaks(of.vehicles, coupling, of.tables, 0.0, of.length_mm)
        _within(ahead[0], expected.swing_ahead[coupling], "swing ahead")
        _within(behind[0], expected.swing_behind[coupling], "swing behind")
        for (sine, head), name in ((ahead, "ahead"), (behind, "behind")):
            assert -1e-6 <= head <= of.length_mm + 1e-6
            there = getattr(figures_at(of, head).standing, name)[coupling, 0]
            assert sine == pytest.approx(abs(there), rel=1e-9, abs=1e-12)


@given(trains_on_track())
def test_peaks_are_those_of_each_millimetre(of: World) -> None:
    _hold_all(of)


@given(trains_on_track())
def test_swings_are_those_of_each_millimetre(of: World) -> None:
    _hold_swings(of)


@pytest.mark.parametrize("scale", ["Z", "N", "HO", "O", "1"])
def test_peaks_on_a_short_kink_between_straights(scale: str) -> None:
    """A curve shorter than a car is felt for a few millimetres only: the likeliest peak to be missed."""
    factor = SCALES[scale].by_ratio(1.0)
    pieces = [straight(300.0 * factor), curve(400.0 * factor, 9.0), straight(1300.0 * factor)]
    cars = [car(f"C{k}", 30.0 + 40.0 * (k % 3), (110.0 + 31.0 * k) * factor) for k in range(5)]
    _hold_all(world(pieces, cars, [engine("1", length_mm=190.0 * factor)], scale=SCALES[scale]))


def test_peaks_over_a_string_of_short_grades_and_curves() -> None:
    """Joints every few centimetres, so that many fall into one table cell's reach."""
    pieces = [
        curve(500.0, 7.0, "left" if k % 2 else "right", grade_percent=(-1.0) ** k * (1.0 + k % 3)) for k in range(24)
    ]
    cars = [car(f"C{k}", 25.0 + 30.0 * (k % 4), 130.0 + 12.0 * k) for k in range(7)]
    _hold_all(world(pieces, cars, [engine()], [engine("9", 300.0, 60.0)]))


def test_peaks_where_a_train_just_changes_from_pull_to_push() -> None:
    """A grade near the cars' rolling resistance, where forces are small and change sign."""
    pieces = [straight(500.0, 1.0), curve(600.0, 60.0, grade_percent=-1.9), straight(800.0, -1.4)]
    _hold_all(world(pieces, [car(f"C{k}", 40.0 + 20.0 * k) for k in range(6)], [engine()]))


def test_a_force_that_leaps_up_at_a_joint_and_then_falls_off_is_not_missed() -> None:
    """Down a grade onto a sharper curve: the resistance leaps as a truck meets it, and falls as the slope grows.

    The peak lies just past the joint, between two points of the table, with less on both sides of it.
    """
    pieces = [curve(330.0, 32.0, grade_percent=-4.0)]
    light = car("C1", 12.0, 120.0, truck_centers_mm=66.0, rolling=0.006)
    _hold_all(world(pieces, [light], [engine("1", 200.0, 30.0, 120.0)]))


@pytest.mark.parametrize("radius_mm", [400.0, 600.0, 900.0])
@pytest.mark.parametrize("grade_percent", [-2.0, -3.5])
def test_forces_where_a_falling_grade_meets_an_uneased_curve(radius_mm: float, grade_percent: float) -> None:
    pieces = [straight(400.0), curve(radius_mm, 50.0, grade_percent=grade_percent), straight(500.0, grade_percent)]
    cars = [car(f"C{k}", 40.0 + 35.0 * (k % 2), 120.0 + 21.0 * k) for k in range(3)]
    _hold_all(world(pieces, cars, [engine()], [engine("9", 300.0, 60.0)]))


def test_a_force_peaks_where_a_helper_gives_out() -> None:
    """Where the train begins to run by itself the helper's push ends, and forces bend, at no joint of the track."""
    pieces = [curve(483.3, 43.7, easement_mm=300.0, grade_percent=grade) for grade in (-0.75, -4.0)]
    cars = [car(f"C{k}", 12.0, 150.5, truck_centers_mm=91.8) for k in range(2)]
    _hold_all(world(pieces, cars, [engine("1", 217.0, 36.9, 158.5)], [engine("9", 251.0, 52.7, 135.4)]))


def test_a_coupler_swings_most_just_before_the_end_of_the_run() -> None:
    """A coupling that has just come to a reverse curve as the run ends, with a wider swing to come past its end."""
    pieces = [curve(1052.7, 28.4), curve(819.1, 33.5, "right")]
    cars = [
        *(car(f"C{k}", 78.6, 174.9, truck_centers_mm=96.2) for k in range(2)),
        car("C3", 208.1, 272.5, truck_centers_mm=209.8),
        car("C4", 26.8, 235.9, truck_centers_mm=181.6),
    ]
    _hold_swings(world(pieces, cars, [engine("1", 574.0, 120.5, 181.6)]))


def test_peaks_are_those_of_the_plain_model_at_each_millimetre() -> None:
    """No figure of the package's own on the other side: a short route, the plain model at each millimetre."""
    pieces = [straight(60.0), curve(450.0, 40.0, easement_mm=110.0, grade_percent=2.0), straight(120.0)]
    of = world(pieces, [car("C1", 90.0), car("C2", 25.0, 120.0), car("C3", 140.0, 170.0)], [engine(length_mm=150.0)])
    track, house = plain.Track(plain_pieces(pieces)), plain_house(of.session)
    train = plain_train(of.train.engines, of.train.cars)
    heads = [*map(float, range(int(of.length_mm) + 1)), of.length_mm]
    seen = [plain.figures(train, track, house, head) for head in heads]
    found = of.run()
    _within(found.use.value, np.array([one.use for one in seen]).max(axis=0), "use")
    _within(found.tension.value, np.array([one.tension for one in seen]).max(axis=0), "tension")
    _within(found.power_use.value, max(one.power_use for one in seen), "power use")
    _within(found.hold_use.value, max(one.hold_use for one in seen), "hold use")


def test_a_peak_is_told_where_it_is() -> None:
    """The figures at the head given for a peak are the peak's."""
    pieces = [straight(300.0), curve(520.0, 70.0, easement_mm=160.0, grade_percent=1.5), straight(900.0)]
    of = world(pieces, [car(f"C{k}", 30.0 + 25.0 * k) for k in range(5)], [engine()])
    track, house = plain.Track(plain_pieces(pieces)), plain_house(of.session)
    train = plain_train(of.train.engines, of.train.cars)
    found = of.run()
    for vehicle in of.vehicles.cars:
        there = plain.figures(train, track, house, float(found.use.head_mm[vehicle]))
        assert there.use[vehicle] == pytest.approx(float(found.use.value[vehicle]), rel=1e-3)
    for coupling in range(len(train) - 1):
        there = plain.figures(train, track, house, float(found.tension.head_mm[coupling]))
        assert there.tension[coupling] == pytest.approx(float(found.tension.value[coupling]), rel=1e-5)


def test_in_buff_tells_a_push_from_a_pull() -> None:
    pieces = [curve(600.0, 150.0)]
    cars = [car(f"C{k}", 60.0) for k in range(4)]
    pulled = world(pieces, cars, [engine()]).run()
    pushed = world(pieces, cars, [], [engine()]).run()
    assert not pulled.in_buff.any()
    assert pushed.in_buff[:4].all()
