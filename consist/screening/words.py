"""How screening says a refusal and a line in its sentences."""

from __future__ import annotations

__all__ = ["clause", "stretch"]


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
