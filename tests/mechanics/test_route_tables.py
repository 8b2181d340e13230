"""A route's tables against its centreline: heights and curvature exactly, the plan to some millionths of a mm."""

from __future__ import annotations

import numpy as np
from builders import curve, straight
from hypothesis import given
from hypothesis import strategies as st
from strategies import pieces

from consist.mechanics import RouteTables
from consist.track import Centreline, Piece

__all__: list[str] = []

STEP_MM = 8.25
SHARPEST = 1.0 / 330.0
PLAN_MM = 1.01 * SHARPEST * (STEP_MM / 40.0) ** 2 / 8.0
"""What a straight cuts off of an arc of the sharpest radius, wherever the curvature leaps."""


def _tables(line: Centreline) -> RouteTables:
    return RouteTables(line, curve_share=8.0, flange_drag=0.03, step_mm=STEP_MM)


@given(st.lists(pieces(), min_size=1, max_size=5), st.integers(0, 100))
def test_tables_are_those_of_the_centreline(track: list[Piece], seed: int) -> None:
    """On the route, before its start and past its end, of whatever shape is asked for."""
    line = Centreline(track)
    tables = _tables(line)
    places = np.random.default_rng(seed).uniform(-900.0, line.length_mm + 900.0, (11, 23))
    at = line.at(places)
    profile = tables.profile(tables.lookup(places))
    height, bend = profile.real, profile.imag
    np.testing.assert_allclose(height, at.z, atol=1e-9)
    np.testing.assert_allclose(bend, np.abs(at.curvature), atol=1e-15)
    assert np.abs(tables.plan(tables.lookup(places)) - (at.x + 1j * at.y)).max() <= PLAN_MM


@given(st.lists(pieces(), min_size=1, max_size=5))
def test_just_before_a_joint_and_just_after_it_the_track_is_asked_each_side(track: list[Piece]) -> None:
    """Joints may lie closer than a table step; what leaps there leaps between the two."""
    line = Centreline(track)
    tables = _tables(line)
    joints = tables.joints
    before, after = (tables.profile(tables.lookup(joints.distance_mm + off)) for off in (-1e-7, 1e-7))
    np.testing.assert_allclose((after - before).imag, joints.jump, atol=1e-9)
    np.testing.assert_allclose(after.real, before.real, atol=1e-8)  # heights have no breaks


def test_joints_are_told_with_what_changes_there() -> None:
    """By hand: 100 mm of level straight, 50 mm of a left-hand arc of 500 mm on 2 %, a level arc of 400 mm."""
    angle = np.degrees(0.1)
    line = Centreline([straight(100.0), curve(500.0, angle, grade_percent=2.0), curve(400.0, 10.0, "right")])
    joints = _tables(line).joints
    within = joints.distance_mm > 0.0
    assert joints.distance_mm[within].tolist() == np.cumsum([100.0, 50.0, 400.0 * np.radians(10.0)]).tolist()
    np.testing.assert_allclose(joints.jump[within], [1.0 / 500.0, 1.0 / 400.0 - 1.0 / 500.0, -1.0 / 400.0])
    np.testing.assert_allclose(joints.grade_change[within], [0.02, -0.02, 0.0], atol=1e-15)
