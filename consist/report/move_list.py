"""A suggestion as moves that a yard crew can make."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rich.text import Text

from consist.checking.results import Move, Suggestion
from consist.report.words import listing, margin, paragraph, unbroken

__all__ = ["move_list", "move_steps"]


def move_list(suggestion: Suggestion, margin_now: float | None, width: int) -> list[Text]:
    """The moves, numbered where there are several, the margin they give, and the order the train then stands in."""
    lines = move_steps(suggestion.moves, width)
    lines.extend(paragraph(_gain(margin_now, suggestion.margin), width))
    order = ", ".join(unbroken(car) for car in suggestion.order)
    lines.extend(paragraph(f"Standing order then: {order}.", width))
    return lines


def move_steps(
    moves: Sequence[Move],
    width: int,
    spots_now: Mapping[str, int] | None = None,
    spots_then: Mapping[str, int] | None = None,
) -> list[Text]:
    """The moves, numbered where there are several; with the spots of cars now and then where they are given."""
    lines: list[Text] = []
    for number, move in enumerate(moves, start=1):
        told = _told(move, spots_now or {}, spots_then or {})
        lines.extend(paragraph(told, width, label=f"{number}." if len(moves) > 1 else "", indent=3))
    return lines


def _told(move: Move, spots_now: Mapping[str, int], spots_then: Mapping[str, int]) -> str:
    cars = [unbroken(car) for car in move.cars]
    taken, set_in = _spots(move.cars, spots_now, " from"), _spots(move.cars, spots_then, ", in")
    one = len(cars) == 1
    which = f"car {cars[0]}{taken} and set it" if one else f"cars {listing(cars)}{taken} and set them"
    where = "at the head end, next to the engines" if move.after is None else f"behind {unbroken(move.after)}"
    return f"Take {which} in {where}{set_in}."


def _spots(cars: Sequence[str], spots: Mapping[str, int], word: str) -> str:
    named = [str(spots[car]) for car in cars if car in spots]
    return f"{word} {'spot' if len(named) == 1 else 'spots'} {listing(named)}" if named else ""


def _gain(now: float | None, then: float | None) -> str:
    if then is None:
        return "No car then feels any side pull."
    return f"The margin goes from {margin(now)} to {margin(then)}."
