"""Heavy forward against Kendall's tau as `scipy.stats.kendalltau` gives it: 50·(1 + tau) where nothing ties."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import kendalltau

from consist.order import heavy_forward_of

__all__: list[str] = []


@given(st.lists(st.floats(0.05, 5.0), min_size=2, max_size=40, unique=True))
def test_heavy_forward_is_fifty_times_one_plus_tau(per_length: list[float]) -> None:
    from_the_rear = range(len(per_length), 0, -1)
    tau = float(kendalltau(from_the_rear, per_length).statistic)
    assert heavy_forward_of(per_length) == pytest.approx(50.0 * (1.0 + tau))


def test_heavy_to_light_is_100_and_light_to_heavy_0() -> None:
    assert heavy_forward_of([4.0, 3.0, 2.0, 1.0]) == 100.0
    assert heavy_forward_of([1.0, 2.0, 3.0]) == 0.0


def test_ties_count_half() -> None:
    """By hand: of three pairs one is heavy ahead, one ties, one is light ahead."""
    assert heavy_forward_of([2.0, 2.0, 1.0]) == pytest.approx(100.0 * (0.5 + 1.0 + 1.0) / 3.0)


def test_fewer_than_two_cars_have_no_figure() -> None:
    assert heavy_forward_of([]) is None
    assert heavy_forward_of([1.0]) is None
