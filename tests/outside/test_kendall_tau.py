"""Heavy forward against Kendall's tau as `scipy.stats.kendalltau` gives it: 50·(1 + tau) where nothing ties."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import kendalltau

from consist.order import heavy_forward_of

__all__: list[str] = []


@given(st.lists(st.integers(50, 5000), min_size=2, max_size=40, unique=True))
def test_heavy_forward_is_fifty_times_one_plus_tau(milligrams: list[int]) -> None:
    per_length = [mg / 1000.0 for mg in milligrams]
    from_the_rear = range(len(per_length), 0, -1)
    tau = float(kendalltau(from_the_rear, per_length).statistic)
    assert heavy_forward_of(per_length) == pytest.approx(50.0 * (1.0 + tau))


def test_heavy_to_light_is_100_and_light_to_heavy_0() -> None:
    assert heavy_forward_of([4.0, 3.0, 2.0, 1.0]) == 100.0
    assert heavy_forward_of([1.0, 2.0, 3.0]) == 0.0


def test_ties_count_half() -> None:
    """By hand: of three pairs one is heavy ahead, one ties, one is light ahead."""
    assert heavy_forward_of([2.0, 2.0, 1.0]) == pytest.approx(100.0 * (0.5 + 1.0 + 1.0) / 3.0)


@pytest.mark.parametrize("inches", [3.0, 4.4, 6.0, 7.3])
@pytest.mark.parametrize("ounces", [2.0, 3.1, 4.0, 5.75])
def test_a_car_in_ounces_and_inches_ties_with_its_twin_in_grams_and_millimetres(ounces: float, inches: float) -> None:
    """By hand, as a spreadsheet converts: to ten places a gram and to four a millimetre."""
    twins = [
        ounces * 28.349523125 / (inches * 25.4),
        float(f"{ounces * 28.349523125:.10f}") / float(f"{inches * 25.4:.4f}"),
    ]
    assert heavy_forward_of(twins) == heavy_forward_of(twins[::-1]) == 50.0
    assert heavy_forward_of([twins[0] * 1.00001, twins[1]]) == 100.0


def test_fewer_than_two_cars_have_no_figure() -> None:
    assert heavy_forward_of([]) is None
    assert heavy_forward_of([1.0]) is None
