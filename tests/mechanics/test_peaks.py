"""Running maxima: what is taken in and added, and that of equals the first stays."""

from __future__ import annotations

import numpy as np

from consist.mechanics.between import Halves
from consist.mechanics.peaks import Peak

__all__: list[str] = []


def test_the_first_of_equal_heights_stays() -> None:
    peak = Peak.of(2)
    peak.take(np.array([10.0, 20.0, 30.0]), np.array([[1.0, 3.0, 3.0], [5.0, 2.0, 5.0]]))
    peak.take(np.array([40.0]), np.array([[3.0], [6.0]]))
    assert peak.value.tolist() == [3.0, 6.0]
    assert peak.head_mm.tolist() == [20.0, 40.0]


def test_a_run_farther_on_adds_what_is_higher_alone() -> None:
    peak = Peak(np.array([1.0, 2.0, 3.0]), np.array([10.0, 20.0, 30.0]))
    peak.add(Peak(np.array([2.0, 2.0, 1.0]), np.array([110.0, 120.0, 130.0])))
    assert peak.value.tolist() == [2.0, 2.0, 3.0]
    assert peak.head_mm.tolist() == [110.0, 20.0, 30.0]


def test_nothing_taken_in_changes_nothing() -> None:
    peak = Peak.of(1)
    peak.take(np.zeros(0), np.zeros((1, 0)))
    assert peak.value.tolist() == [-np.inf]


def test_halves_turned_about_are_so_at_their_start_middle_and_end() -> None:
    turned = -Halves(np.array([[1.0]]), np.array([[2.0]]), np.array([[3.0]]))
    assert (turned.start.item(), turned.middle.item(), turned.end.item()) == (-1.0, -2.0, -3.0)
