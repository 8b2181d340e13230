"""Figures in sentences: never finer than can be measured, never a minus before a zero, never with an exponent."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consist.tolerances import longer
from consist.wording import length_words, lengths_apart, percent, weight_words

__all__: list[str] = []

PLAIN = re.compile(r"(less than )?\d+(\.\d+)? (mm|in|g|oz)")
FINEST = {"mm": 0.1, "in": 0.01, "g": 0.01, "oz": 0.01}
SIZES = {"mm": 1.0, "in": 25.4, "g": 1.0, "oz": 28.349523125}


@pytest.mark.parametrize("tell", [length_words, weight_words])
@pytest.mark.parametrize("unit", ["in", "mm"])
@given(value=st.one_of(st.floats(0.0, 1e6), st.floats(1e-20, 1e-2), st.just(-0.0)))
def test_a_figure_is_plain_and_no_finer_than_a_scale_or_a_rule(tell: object, unit: str, value: float) -> None:
    assert callable(tell)
    words = tell(value, unit)
    assert PLAIN.fullmatch(words), words
    figure, name = words.removeprefix("less than ").split()
    assert float(figure) == 0.0 or float(figure) >= 0.999 * FINEST[name]
    share = value / SIZES[name] / FINEST[name]
    if not 0.49 < share < 0.51:  # where it is rounded up
        assert ("less than" in words) == (0.0 < share < 0.5)
    # three figures, or as fine as is shown
    told = float(figure) * SIZES[name]
    assert abs(told - value) <= max(FINEST[name] * SIZES[name], 0.006 * value)


@pytest.mark.parametrize("unit", ["in", "mm"])
@given(one=st.floats(1.0, 5000.0), more=st.floats(0.0501, 300.0))
def test_lengths_that_are_held_apart_are_told_apart(unit: str, one: float, more: float) -> None:
    assert longer(one + more, one)
    long, short = (float(words.split()[0]) for words in lengths_apart(one + more, one, unit))
    assert long > short


def test_no_minus_before_a_zero() -> None:
    assert [percent(-0.0), percent(-0.001), percent(-0.2)] == ["0 %", "0 %", "-20 %"]
