"""A suggestion as moves that a yard crew can make."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rich.text import Text

from consist.checking.results import Move, Suggestion
from consist.report.move_words import gain_sentence, move_words
from consist.report.words import paragraph, unbroken

__all__ = ["move_list", "move_steps"]


def move_list(suggestion: Suggestion, margin_now: float | None, width: int) -> list[Text]:
    """The moves, numbered where there are several, the margin they give, and the order the train then stands in."""
    lines = move_steps(suggestion.moves, width)
    lines.extend(paragraph(gain_sentence(margin_now, suggestion.margin), width))
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
        told = move_words(move, spots_now or {}, spots_then or {})
        lines.extend(paragraph(told, width, label=f"{number}." if len(moves) > 1 else "", indent=3))
    return lines
