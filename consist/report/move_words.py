"""A better order in words: its moves, the work they are, and what they gain."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from consist.checking.results import Move
from consist.report.words import counted, listing, margin, unbroken

__all__ = [
    "ADD_WEIGHT",
    "MENDED_BY_ORDER",
    "NONE_GOES",
    "SPOTS",
    "gain_sentence",
    "gain_words",
    "move_words",
    "work_words",
]

MENDED_BY_ORDER = ("side-pull", "buff-push", "light-ahead")
"""Codes of findings that a better order is made for."""
SPOTS = "Spots are those as it stands, and those once every move is made."
NONE_GOES = "No order found lets it go by its side pull"
ADD_WEIGHT = "add weight to its worst car or take cars off"


def work_words(moves: Sequence[Move]) -> str:
    """How much work the moves are.

    >>> work_words([Move(("A", "B"), None), Move(("C",), "A")])
    '3 cars in 2 moves'
    """
    return f"{counted(sum(len(move.cars) for move in moves), 'car')} in {counted(len(moves), 'move')}"


def gain_words(now: float | None, then: float | None) -> str:
    """What moves do for the margin, as the end of a sentence."""
    if then is None:
        return "no car then feels any side pull"
    return f"the margin goes from {margin(now)} to {margin(then)}"


def gain_sentence(now: float | None, then: float | None) -> str:
    """The same as a sentence.

    >>> gain_sentence(0.8, 1.6)
    'The margin goes from 0.80 to 1.60.'
    """
    gain = gain_words(now, then)
    return f"{gain[0].upper()}{gain[1:]}."


def move_words(move: Move, spots_now: Mapping[str, int], spots_then: Mapping[str, int]) -> str:
    """One move, with the spots of cars now and then where they are given."""
    cars = [unbroken(car) for car in move.cars]
    taken, set_in = _spots(move.cars, spots_now, " from"), _spots(move.cars, spots_then, ", in")
    one = len(cars) == 1
    which = f"car {cars[0]}{taken} and set it" if one else f"cars {listing(cars)}{taken} and set them"
    where = "at the head end, next to the engines" if move.after is None else f"behind {unbroken(move.after)}"
    return f"Take {which} in {where}{set_in}."


def _spots(cars: Sequence[str], spots: Mapping[str, int], word: str) -> str:
    named = [str(spots[car]) for car in cars if car in spots]
    return f"{word} {'spot' if len(named) == 1 else 'spots'} {listing(named)}" if named else ""
