"""The small sentences that several pictures share."""

from __future__ import annotations

from consist.checking.overview import TrainOverview
from consist.report.sheets.figures import past_words
from consist.report.words import clean
from consist.session import Train
from consist.wording import Units, percent

__all__ = ["places_of", "where_worst", "worst_words"]


def places_of(train: Train) -> list[tuple[str, float]]:
    """The places on the route, their names fit to draw, with their distances from its start."""
    return [(clean(name), place_mm) for name, place_mm in train.route.places]


def worst_words(seen: TrainOverview) -> str:
    """The worst car and its side use, for a key; empty where no car feels any."""
    worst = seen.check.worst
    return "" if worst is None else f"worst: {clean(worst.car)}, {percent(seen.check.side_use)}"


def where_worst(seen: TrainOverview, units: Units) -> str:
    """The worst car, its side use and where, as a sentence."""
    worst = seen.check.worst
    if worst is None:
        return "No car feels any side pull."
    return (
        f"The worst car is {clean(worst.car)} in spot {worst.spot} with {percent(seen.check.side_use)} side use, the "
        f"head end {past_words(seen.train, worst.head_mm, units)}."
    )
