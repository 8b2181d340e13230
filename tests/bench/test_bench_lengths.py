"""Lengths and weights as people write them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consist.bench.lengths import parse_done, parse_length
from consist.errors import InputError

__all__: list[str] = []


@pytest.mark.parametrize(
    ("written", "mm"),
    [
        ("4in", 101.6),
        ('4"', 101.6),
        ("4 in", 101.6),
        ("4 IN.", 101.6),
        ("4''", 101.6),
        ("4 inches", 101.6),
        ("3 7/8 in", 98.425),
        ('3-7/8"', 98.425),
        ("7/8in", 22.225),
        ("3⅞ in", 98.425),
        ("102mm", 102.0),
        ("10.2 cm", 102.0),
        ("10,2 cm", 102.0),
        (" .5 in ", 12.7),
    ],
)
def test_lengths_are_read(written: str, mm: float) -> None:
    assert parse_length(written) == pytest.approx(mm)


@pytest.mark.parametrize("written", ["4.5", "3 7/8"])
def test_a_length_without_its_unit_asks_for_one(written: str) -> None:
    with pytest.raises(InputError, match=r"add in or mm"):
        parse_length(written)


@pytest.mark.parametrize(
    "written",
    ["", "long", "in", "0in", "-4in", "7/0 in", "1.5 7/8 in", "4 ft", "4in4", "9" * 500 + "mm", "4//5in", "-1/2in"],
)
def test_what_is_no_length_is_one_line(written: str) -> None:
    with pytest.raises(InputError) as told:
        parse_length(written)
    assert str(told.value).startswith("--length: found ")
    assert "\n" not in str(told.value)


@given(st.text(max_size=20))
def test_anything_is_a_length_over_nothing_or_an_input_error(written: str) -> None:
    found, problems = 0.0, 0
    try:
        found = parse_length(written)
    except InputError as told:
        problems = len(told.problems)
    assert (found > 0) is not (problems == 1)


@pytest.mark.parametrize(
    ("written", "car", "grams"),
    [("NQH 930=4.6oz", "NQH 930", 130.407806375), ("NQH  930 = 130 g", "NQH 930", 130.0), ("A=B=2g", "A=B", 2.0)],
)
def test_done_is_read(written: str, car: str, grams: float) -> None:
    named, found = parse_done(written)
    assert named == car
    assert found == pytest.approx(grams)


@pytest.mark.parametrize("written", ["NQH 930", "=4oz", "NQH 930=4", "NQH 930=4kg", "NQH 930=", "NQH 930=0g"])
def test_what_is_no_weight_done_is_one_line(written: str) -> None:
    with pytest.raises(InputError) as told:
        parse_done(written)
    assert str(told.value).startswith("--done: found ")
    assert "\n" not in str(told.value)
