"""How figures and names are said in sentences, the same in every room."""

from __future__ import annotations

from collections.abc import Sequence

from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH

__all__ = ["at", "in_words", "length_words", "lengths_apart", "percent", "weight_words"]

FINEST_MM = 0.1
FINEST_IN = 0.01
FINEST_G = 0.01
FINEST_OZ = 0.01
"""No figure below these is shown: rules, scales and hands are not finer. Common practice, no source."""


def length_words(mm: float, unit: str) -> str:
    """A length in words, in the layout's unit.

    >>> length_words(609.6, "in"), length_words(250.0, "mm"), length_words(87.5, "mm")
    ('24 in', '250 mm', '87.5 mm')
    >>> length_words(0.06, "in"), length_words(-0.0, "mm")
    ('less than 0.01 in', '0 mm')
    """
    if unit != "in":
        return _told(mm, _places(mm, 1), FINEST_MM, "mm")
    inches = mm / MM_PER_INCH
    return _told(inches, _three_figures(inches), FINEST_IN, "in")


def lengths_apart(mm: float, other_mm: float, unit: str) -> tuple[str, str]:
    """Two lengths in words, finer than `length_words` has them where that tells no difference between the two.

    >>> lengths_apart(610.0, 609.6, "in"), lengths_apart(762.0, 609.6, "in")
    (('24.016 in', '24 in'), ('30 in', '24 in'))
    """
    words = length_words(mm, unit), length_words(other_mm, unit)
    if words[0] != words[1]:
        return words
    size, places = (MM_PER_INCH, 3) if unit == "in" else (1.0, 2)
    one, other = (f"{_places(length / size, places)} {unit}" for length in (mm, other_mm))
    return one, other


def weight_words(grams: float, unit: str) -> str:
    """A weight in words: ounces where the layout is in inches, else grams.

    >>> weight_words(28.349523125, "in"), weight_words(28.0, "mm"), weight_words(9e-15, "mm")
    ('1.00 oz', '28 g', 'less than 0.01 g')
    """
    if unit == "in":
        ounces = grams / GRAMS_PER_OUNCE
        return _told(ounces, _rounded(ounces, 2), FINEST_OZ, "oz")
    return _told(grams, _three_figures(grams), FINEST_G, "g")


def _told(value: float, figure: str, finest: float, unit: str) -> str:
    """A figure with its unit; what is there, but too little to show, is told to be less than the finest."""
    return f"less than {finest:g} {unit}" if value > 0.0 and float(figure) == 0.0 else f"{figure} {unit}"


def _three_figures(value: float) -> str:
    """Three figures, none beyond the second place after the point."""
    return f"{value:.0f}" if abs(value) >= 100 else _places(value, 1 if abs(value) >= 10 else 2)


def _places(value: float, places: int) -> str:
    """So many places after the point at most."""
    return _rounded(value, places).rstrip("0").rstrip(".")


def _rounded(value: float, places: int) -> str:
    """So many places after the point, and no minus before a zero."""
    return f"{round(value, places) + 0.0:.{places}f}"


def at(place: str) -> str:
    """Where something happens: at a place, or between two.

    >>> at("Gorse Junction"), at("between Gorse Junction and Hilltop")
    ('at Gorse Junction', 'between Gorse Junction and Hilltop')
    """
    return place if place.startswith("between ") else f"at {place}"


def percent(share: float) -> str:
    """A share as per cent.

    >>> percent(0.734), percent(-0.0)
    ('73 %', '0 %')
    """
    return f"{_rounded(100.0 * share, 0)} %"


def in_words(names: Sequence[str]) -> str:
    """Names joined.

    >>> in_words(["31", "32", "40"])
    '31, 32 and 40'
    """
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
