"""How figures and names are said in sentences, the same in every room."""

from __future__ import annotations

from collections.abc import Sequence

from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH

__all__ = ["at", "in_words", "length_words", "percent", "weight_words"]


def length_words(mm: float, unit: str) -> str:
    """A length in words, in the layout's unit.

    >>> length_words(609.6, "in"), length_words(250.0, "mm"), length_words(87.5, "mm")
    ('24 in', '250 mm', '87.5 mm')
    """
    if unit != "in":
        return f"{mm:.1f}".removesuffix(".0") + " mm"
    inches = mm / MM_PER_INCH
    return f"{inches:.3g} in" if inches < 100 else f"{inches:.0f} in"


def weight_words(grams: float, unit: str) -> str:
    """A weight in words: ounces where the layout is in inches, else grams.

    >>> weight_words(28.349523125, "in"), weight_words(28.0, "mm")
    ('1.00 oz', '28 g')
    """
    if unit == "in":
        return f"{grams / GRAMS_PER_OUNCE:.2f} oz"
    return f"{grams:.3g} g" if grams < 100 else f"{grams:.0f} g"


def at(place: str) -> str:
    """Where something happens: at a place, or between two.

    >>> at("Gorse Junction"), at("between Gorse Junction and Hilltop")
    ('at Gorse Junction', 'between Gorse Junction and Hilltop')
    """
    return place if place.startswith("between ") else f"at {place}"


def percent(share: float) -> str:
    """A share as per cent.

    >>> percent(0.734)
    '73 %'
    """
    return f"{100.0 * share:.0f} %"


def in_words(names: Sequence[str]) -> str:
    """Names joined.

    >>> in_words(["31", "32", "40"])
    '31, 32 and 40'
    """
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
