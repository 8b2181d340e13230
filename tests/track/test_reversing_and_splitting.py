"""A line run the other way, and track cut in two."""

from __future__ import annotations

import math

import numpy as np
from builders import curve, line, mirrored, straight
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from strategies import pieces

from consist.track import Centreline, Piece

__all__: list[str] = []

Floats = NDArray[np.float64]


def _seen_from_the_end(track: Centreline, s: Floats) -> tuple[Floats, Floats]:
    """Points of the track as one sees them who stands at its end and looks back."""
    end, at = track.at(track.length_mm), track.at(s)
    away = float(end.heading) + math.pi
    dx, dy = at.x - end.x, at.y - end.y
    return dx * math.cos(away) + dy * math.sin(away), -dx * math.sin(away) + dy * math.cos(away)


@given(st.lists(pieces(), min_size=1, max_size=5))
def test_a_line_reversed_traces_the_same_points_backwards(track: list[Piece]) -> None:
    forth = line("A, e", "B, w", *track)
    back = forth.reversed()
    assert (back.start, back.finish) == (forth.finish, forth.start)
    s = np.linspace(0.0, forth.length_mm, 29)
    x, y = _seen_from_the_end(forth.centreline, s)
    there = back.centreline.at(forth.length_mm - s)
    np.testing.assert_allclose(there.x, x, atol=1e-7)
    np.testing.assert_allclose(there.y, y, atol=1e-7)
    heights = forth.centreline.at(s).z - forth.centreline.at(forth.length_mm).z
    np.testing.assert_allclose(there.z, heights, atol=1e-9)


@given(st.lists(pieces(), min_size=1, max_size=5))
def test_a_line_reversed_and_mirrored_is_the_line_backwards_in_a_mirror(track: list[Piece]) -> None:
    forth = line("A, e", "B, w", *track)
    back = Centreline(mirrored(forth.reversed().pieces))
    s = np.linspace(0.0, forth.length_mm, 29)
    x, y = _seen_from_the_end(forth.centreline, s)
    there = back.at(forth.length_mm - s)
    np.testing.assert_allclose(there.x, x, atol=1e-7)
    np.testing.assert_allclose(there.y, -y, atol=1e-7)


@given(st.lists(pieces(), min_size=1, max_size=5))
def test_a_line_reversed_twice_is_the_line(track: list[Piece]) -> None:
    forth = line("A, e", "B, w", *track)
    assert forth.reversed().reversed() == forth
    assert forth.reversed().rise_mm == -forth.rise_mm or math.isclose(forth.reversed().rise_mm, -forth.rise_mm)


@given(st.floats(0.05, 0.95), st.sampled_from(["left", "right"]))
def test_track_cut_in_two_is_the_same_track(share: float, turn: str) -> None:
    whole = [straight(400.0, 1.0), curve(640.0, 75.0, turn, grade_percent=2.0), straight(50.0)]
    cut = [
        straight(400.0 * share, 1.0),
        straight(400.0 * (1.0 - share), 1.0),
        curve(640.0, 75.0 * share, turn, grade_percent=2.0),
        curve(640.0, 75.0 * (1.0 - share), turn, grade_percent=2.0),
        straight(50.0),
    ]
    one, two = Centreline(whole), Centreline(cut)
    s = np.linspace(-20.0, one.length_mm + 20.0, 53)
    for field in ("x", "y", "z", "heading"):
        np.testing.assert_allclose(getattr(two.at(s), field), getattr(one.at(s), field), atol=1e-9)
