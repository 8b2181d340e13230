"""The centreline against closed forms and against integration of its heading."""

from __future__ import annotations

import math

import numpy as np
import pytest
from builders import curve, straight
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from strategies import pieces

from consist.track import Centreline, Piece

__all__: list[str] = []

EASED = [straight(200.0), curve(700.0, 60.0, easement_mm=250.0), straight(100.0), curve(500.0, 90.0, "right")]


def _heading(track: list[Piece], s: float) -> float:
    """How far the track has turned at `s`, from radius, angle and easement alone."""
    turned = 0.0
    for piece in track:
        u = min(max(s, 0.0), piece.length_mm)
        if piece.radius_mm is not None:
            eased, radius = piece.easement_mm, piece.radius_mm
            arc = piece.length_mm - 2.0 * eased
            into = u**2 / (2.0 * radius * eased) if u < eased else eased / (2.0 * radius)
            round_ = min(max(u - eased, 0.0), arc) / radius
            out = max(u - eased - arc, 0.0)
            away = out / radius - out**2 / (2.0 * radius * eased) if eased else 0.0
            turned += piece.turn * (into + round_ + away)
        s -= piece.length_mm
    return turned


@pytest.mark.parametrize("radius_mm", [200.0, 609.6, 2032.0, 1e6, 1e9])
def test_an_uneased_curve_is_a_circle(radius_mm: float) -> None:
    track = Centreline([Piece(radius_mm=radius_mm, turn=1, angle=1500.0 / radius_mm)])
    s = np.linspace(0.0, 1500.0, 61)
    at = track.at(s)
    np.testing.assert_allclose(at.x, radius_mm * np.sin(s / radius_mm), rtol=1e-12, atol=1e-9)
    # 1 - cos in a form that keeps its figures where the curve is slight
    np.testing.assert_allclose(at.y, 2.0 * radius_mm * np.sin(s / (2.0 * radius_mm)) ** 2, rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(at.heading, s / radius_mm, rtol=1e-12)


def test_points_are_the_integral_of_the_heading() -> None:
    track = Centreline(EASED)
    for s in np.linspace(0.0, track.length_mm, 17):
        joints = [float(j) for j in track.joints.distance_mm if 0.0 < j < s]
        x = quad(lambda t: math.cos(_heading(EASED, t)), 0.0, s, points=joints or None, epsabs=1e-10, limit=200)[0]
        y = quad(lambda t: math.sin(_heading(EASED, t)), 0.0, s, points=joints or None, epsabs=1e-10, limit=200)[0]
        at = track.at(s)
        assert (float(at.x), float(at.y)) == pytest.approx((x, y), abs=1e-6)
        assert float(at.heading) == pytest.approx(_heading(EASED, float(s)), abs=1e-12)


def test_length_is_radius_times_angle_and_one_easement() -> None:
    """R·angle + e, from the design: each easement turns e/2R and so takes e/2 of the arc away at either end."""
    assert Centreline([curve(700.0, 60.0, easement_mm=250.0)]).length_mm == pytest.approx(700.0 * math.pi / 3 + 250.0)


def test_the_track_advances_by_the_distance_asked() -> None:
    """Sums of short chords come to the distance, for the chord of 1 mm falls short by 1/(24 R²) of itself."""
    track = Centreline(EASED)
    s = np.linspace(0.0, track.length_mm, 4001)
    at = track.at(s)
    walked = np.hypot(np.diff(at.x), np.diff(at.y)).sum()
    assert walked == pytest.approx(track.length_mm, rel=1e-6)


def test_a_long_helix_ends_where_the_closed_form_says() -> None:
    """A hundred quarter turns come back over the start, higher by the grade; no error builds up."""
    quarters = [curve(750.0, 90.0, grade_percent=2.0) for _ in range(100)]
    track = Centreline(quarters)
    end = track.at(track.length_mm)
    assert (float(end.x), float(end.y)) == pytest.approx((0.0, 0.0), abs=1e-8)
    assert float(end.heading) == pytest.approx(50.0 * math.pi, rel=1e-13)
    assert float(end.z) == pytest.approx(0.02 * 100.0 * 750.0 * math.pi / 2.0, rel=1e-13)


def test_a_long_helix_of_eased_quarters_is_a_rosette_about_one_point() -> None:
    """Four eased quarters close on themselves; so do four hundred, to the same micron."""
    quarter = curve(750.0, 90.0, easement_mm=300.0)
    track = Centreline([quarter] * 400)
    for lap in (1, 10, 100):
        end = track.at(lap * 4 * quarter.length_mm)
        assert (float(end.x), float(end.y)) == pytest.approx((0.0, 0.0), abs=1e-7)


def test_before_and_after_the_route_the_track_is_straight_and_level() -> None:
    track = Centreline([curve(600.0, 90.0, grade_percent=2.0)])
    before, after = track.at([-500.0, -1.0]), track.at(track.length_mm + np.array([0.0, 500.0]))
    np.testing.assert_allclose(before.x, [-500.0, -1.0])
    np.testing.assert_allclose((before.y, before.z, before.curvature, before.grade), 0.0)
    # a quarter turn to the left ends heading along +y
    np.testing.assert_allclose(after.x, 600.0)
    np.testing.assert_allclose(after.y, [600.0, 1100.0])
    np.testing.assert_allclose(after.z, 0.02 * 600.0 * math.pi / 2.0)
    np.testing.assert_allclose((after.curvature, after.grade), 0.0)


@given(st.lists(pieces(), min_size=1, max_size=5))
def test_height_is_the_sum_of_grades(track: list[Piece]) -> None:
    line = Centreline(track)
    rise = sum(piece.grade * piece.length_mm for piece in track)
    assert float(line.at(line.length_mm + 1.0).z) == pytest.approx(rise, abs=1e-9)


@given(st.lists(pieces(), min_size=1, max_size=5))
def test_position_and_heading_have_no_breaks(track: list[Piece]) -> None:
    """Across every joint a tenth of a micron of track moves no point by more, and turns nothing to speak of."""
    line = Centreline(track)
    joints = line.joints.distance_mm
    before, after = line.at(joints - 5e-5), line.at(joints + 5e-5)
    assert np.all(np.hypot(after.x - before.x, after.y - before.y) < 1.1e-4)
    np.testing.assert_allclose(after.heading, before.heading, atol=1e-6)
    np.testing.assert_allclose(after.z, before.z, atol=1e-5)


@given(st.lists(pieces(), min_size=1, max_size=4))
def test_joints_tell_the_curvature_and_grade_on_either_side(track: list[Piece]) -> None:
    line = Centreline(track)
    joints = line.joints
    before, after = line.at(joints.distance_mm - 1e-7), line.at(joints.distance_mm + 1e-7)
    np.testing.assert_allclose(before.curvature, joints.curvature_before, atol=1e-9)
    np.testing.assert_allclose(after.curvature, joints.curvature_after, atol=1e-9)
    np.testing.assert_allclose(before.grade, joints.grade_before)
    np.testing.assert_allclose(after.grade, joints.grade_after)
