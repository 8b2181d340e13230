"""How screening says lengths, weights and lists of names in its sentences."""

from __future__ import annotations

from collections.abc import Sequence

from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH

__all__ = ["clause", "length_words", "listed", "stretch", "weight_words"]


def length_words(mm: float, unit: str) -> str:
    """A length in words, in the layout's unit.

    >>> length_words(609.6, "in"), length_words(250.0, "mm")
    ('24 in', '250 mm')
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


def listed(names: Sequence[str]) -> str:
    """Names joined for a sentence.

    >>> listed(["Milk", "Ore", "Coal"])
    'Milk, Ore and Coal'
    """
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def clause(sentence: str) -> str:
    """A sentence of a refusal as it reads after a colon; names keep their capitals.

    >>> clause("The engines of Milk could not pull TST 1 as well."), clause("TST 1 needs 24 in radius.")
    ('the engines of Milk could not pull TST 1 as well.', 'TST 1 needs 24 in radius.')
    """
    first, _, rest = sentence.partition(" ")
    return f"{first.lower()} {rest}" if first in ("In", "The", "With") else sentence


def stretch(start: str, finish: str) -> str:
    """Where a line runs.

    >>> stretch("Gorse Junction", "Tarn End")
    'between Gorse Junction and Tarn End'
    """
    return f"between {start} and {finish}"
