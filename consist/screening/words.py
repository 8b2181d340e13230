"""How screening says a refusal and a line in its sentences."""

from __future__ import annotations

from collections.abc import Sequence

from consist.wording import in_words

__all__ = ["clause", "spots_words", "stretch"]


def spots_words(stands: Sequence[int], spots: int) -> str:
    """Spots of a train with so many, in words; those counted from its ends are told from there.

    >>> spots_words([1, 2, 3], 3), spots_words([20, 21], 21), spots_words([21], 21), spots_words([1], 21)
    ('any spot', 'the last 2 spots', 'the last spot', 'the first spot')
    >>> spots_words([3, 4, 5, 8], 12), spots_words([1, 2, 3, 5], 5)
    ('spots 3 to 5 and 8', 'spots 1 to 3 and 5')
    """
    if len(stands) == spots:
        return "any spot"
    first, last = stands[0], stands[-1]
    if len(stands) == last - first + 1 and (first == 1 or last == spots):
        end = "first" if first == 1 else "last"
        return f"the {end} spot" if len(stands) == 1 else f"the {end} {len(stands)} spots"
    runs: list[list[int]] = []
    for spot in stands:
        if runs and spot == runs[-1][-1] + 1:
            runs[-1].append(spot)
        else:
            runs.append([spot])
    told = [f"{run[0]} to {run[-1]}" if len(run) > 1 else str(run[0]) for run in runs]
    return f"spot{'s' if len(stands) > 1 else ''} {in_words(told)}"


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
