"""NMRA RP-20.1, Car Weight (recommended practice): optimum weight = initial + additional x inches of body length."""

from __future__ import annotations

import pytest

from consist.scales import GRAMS_PER_OUNCE
from consist.stock import StandardError, weight_standard

__all__: list[str] = []

# scale: (initial, oz; additional, oz per inch), the table of RP-20.1
TABLE = {
    "O": (5.0, 1.0),
    "On3": (1.5, 0.75),
    "S": (2.0, 0.5),
    "Sn3": (1.0, 0.5),
    "HO": (1.0, 0.5),
    "HOn3": (0.75, 0.375),
    "TT": (0.75, 0.375),
    "N": (0.5, 0.15),
}


def _target_oz(scale: str, inches: float) -> float:
    # coupled length is given longer than the body, for the practice counts the body alone
    return weight_standard("nmra-rp-20.1", scale).target_g(inches * 25.4, inches * 25.4 + 30.0) / GRAMS_PER_OUNCE


@pytest.mark.parametrize("scale", TABLE)
def test_every_scale_of_the_table(scale: str) -> None:
    initial, additional = TABLE[scale]
    for inches in (2.0, 5.5, 11.25):
        assert _target_oz(scale, inches) == pytest.approx(initial + additional * inches)


@pytest.mark.parametrize(
    ("scale", "inches", "ounces"),
    [
        ("N", 4.0, 1.1),  # common practice, no source
        ("N", 3.0, 0.95),  # common practice, no source
        ("HO", 5.5, 3.75),  # a public discussion of the recommended practice
    ],
)
def test_worked_examples(scale: str, inches: float, ounces: float) -> None:
    assert _target_oz(scale, inches) == pytest.approx(ounces)


def test_the_worked_example_of_a_published_lexicon() -> None:
    """N, 3.65 in: 1.05 oz, 29.7 g, both as rounded there."""
    assert _target_oz("N", 3.65) == pytest.approx(1.05, abs=0.005)
    assert weight_standard("nmra-rp-20.1", "N").target_g(3.65 * 25.4, 100.0) == pytest.approx(29.7, abs=0.05)


def test_no_scale_but_those_of_the_table() -> None:
    for scale in ("Z", "OO", "1", "2"):
        with pytest.raises(StandardError, match=f"no figures for scale {scale}"):
            weight_standard("nmra-rp-20.1", scale)
