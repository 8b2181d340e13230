"""The ounce avoirdupois and the inch, exact by the international yard and pound agreement of 1959 (from memory)."""

from __future__ import annotations

from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH

__all__: list[str] = []


def test_both_are_exact() -> None:
    assert GRAMS_PER_OUNCE == 28.349523125
    assert MM_PER_INCH == 25.4
