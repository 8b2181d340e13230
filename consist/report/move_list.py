"""A suggestion as moves that a yard crew can make."""

from __future__ import annotations

from rich.text import Text

from consist.checking.results import Move, Suggestion
from consist.report.words import listing, margin, paragraph, unbroken

__all__ = ["move_list"]


def move_list(suggestion: Suggestion, margin_now: float | None, width: int) -> list[Text]:
    """The moves, numbered where there are several, the margin they give, and the order the train then stands in."""
    lines: list[Text] = []
    numbered = len(suggestion.moves) > 1
    for number, move in enumerate(suggestion.moves, start=1):
        lines.extend(paragraph(_told(move), width, label=f"{number}." if numbered else "", indent=3))
    lines.extend(paragraph(_gain(margin_now, suggestion.margin), width))
    order = ", ".join(unbroken(car) for car in suggestion.order)
    lines.extend(paragraph(f"Standing order then: {order}.", width))
    return lines


def _told(move: Move) -> str:
    cars = [unbroken(car) for car in move.cars]
    which = f"car {cars[0]} and set it" if len(cars) == 1 else f"cars {listing(cars)} and set them"
    where = "at the head end, next to the engines" if move.after is None else f"behind {unbroken(move.after)}"
    return f"Take {which} in {where}."


def _gain(now: float | None, then: float | None) -> str:
    if then is None:
        return "No car then feels any side pull."
    return f"The margin goes from {margin(now)} to {margin(then)}."
