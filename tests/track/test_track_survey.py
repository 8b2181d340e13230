"""The survey of lines: ruling grades each way, and joints where curvature jumps."""

from __future__ import annotations

import builders
import pytest

from consist.track import Place, rough_joints, survey_line

__all__: list[str] = []

CURVE_SHARE = 8.0  # mm: a curve of 400 mm radius takes 2 % more


def test_ruling_grades_each_way_alone_and_with_curves() -> None:
    line = builders.line(
        "A, out",
        "B, in",
        builders.straight(500.0, 1.0),
        builders.curve(400.0, 90.0, grade_percent=0.5),
        builders.straight(500.0, -1.5),
        builders.curve(800.0, 90.0, "right", grade_percent=-1.0),
    )
    found = survey_line(line, CURVE_SHARE)
    assert found.ruling == pytest.approx(0.010)
    assert found.ruling_back == pytest.approx(0.015)
    assert found.ruling_with_curves == pytest.approx(0.005 + 0.020)
    assert found.ruling_back_with_curves == pytest.approx(0.010 + 0.010)
    assert found.sharpest_radius_mm == 400.0


def test_a_line_that_only_falls_has_no_ruling_grade_one_way() -> None:
    found = survey_line(builders.line("A, out", "B, in", builders.straight(500.0, -2.0)), CURVE_SHARE)
    assert (found.ruling, found.ruling_with_curves, found.ruling_back) == (0.0, 0.0, 0.02)
    assert found.sharpest_radius_mm is None


def test_joints_without_easement_are_found_with_piece_and_distance() -> None:
    layout = builders.one_line(
        builders.straight(300.0),
        builders.curve(500.0, 90.0, "left", easement_mm=100.0),
        builders.straight(200.0),
        builders.curve(400.0, 180.0 / 3.141592653589793, "left"),  # 400 mm long
        builders.curve(400.0, 90.0, "right"),
        builders.straight(100.0),
    )
    joints = rough_joints(layout)
    before = 300.0 + (500.0 * 3.141592653589793 / 2.0 + 100.0) + 200.0
    assert [(joint.line, joint.piece) for joint in joints] == [(1, 4), (1, 5), (1, 6)]
    assert [joint.distance_mm for joint in joints[:2]] == pytest.approx([before, before + 400.0])
    assert [joint.jump for joint in joints] == pytest.approx([1 / 400, 2 / 400, 1 / 400])
    assert joints[1].before > 0.0 > joints[1].after


def test_two_arcs_of_one_radius_join_smoothly() -> None:
    assert rough_joints(builders.one_line(builders.curve(500.0, 30.0), builders.curve(500.0, 40.0))) == ()


def test_a_curve_that_begins_at_a_place_is_found_where_trains_run_through() -> None:
    lines = (
        builders.line("A, out", "M, left", builders.straight(300.0)),
        builders.line("M, right", "B, in", builders.curve(500.0, 90.0)),
    )
    (joint,) = rough_joints(builders.layout(*lines))
    assert (joint.where, joint.line, joint.piece) == ("M, left to right", None, None)
    assert joint.jump == pytest.approx(1 / 500)
    closed = builders.layout(*lines, places=[Place("M", frozenset())])
    assert rough_joints(closed) == ()
