"""Where a train stands at its worst moment, and the small sentences that several pictures share."""

from __future__ import annotations

from dataclasses import dataclass

from consist.evening.overview import TrainOverview
from consist.report.charts.palette import INK
from consist.report.charts.plot import Entry, head_entry, line_entry, ring_entry
from consist.report.words import clean, past_words
from consist.session import Train
from consist.wording import Units, percent

__all__ = ["Whereabouts", "places_of", "where_worst", "worst_words"]


@dataclass(frozen=True)
class Whereabouts:
    """Distances along the route in mm, kept within it; None for what there is not.

    `stretch` is what the train takes up, rear end first, and `car_mm` the middle of the worst car.
    """

    head_mm: float | None
    stretch: tuple[float, float] | None
    car_mm: float | None
    head_words: str
    worst: str

    @classmethod
    def of(cls, seen: TrainOverview, units: Units) -> Whereabouts:
        """The train at its worst moment."""
        route_mm, moment, worst = seen.train.route.length_mm, seen.moment, seen.check.worst
        head = moment.head_mm if moment is not None else worst.head_mm if worst is not None else None
        stretch = None
        if moment is not None:
            head_mm = min(max(moment.head_mm, 0.0), route_mm)
            stretch = (min(max(moment.head_mm - moment.total_mm, 0.0), head_mm), head_mm)
        return cls(
            head_mm=None if head is None else min(max(head, 0.0), route_mm),
            stretch=stretch,
            car_mm=None if worst is None else min(max(worst.car_mm, 0.0), route_mm),
            head_words="" if head is None else f"head end {past_words(seen.train, head, units)}",
            worst=worst_words(seen),
        )

    def entries(self) -> list[Entry]:
        """The key of what is marked."""
        entries = []
        if self.worst:
            entries.append(ring_entry(self.worst))
        if self.stretch is not None and self.stretch[0] < self.stretch[1]:
            when = "then" if self.worst else "at its greatest pull"
            entries.append(line_entry(f"the train {when}, {self.head_words}", INK, 3.6))
        elif self.head_words:
            entries.append(head_entry(self.head_words))
        return entries


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
