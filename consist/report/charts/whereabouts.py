"""Where a train stands at its worst moment, for the drawings of its route."""

from __future__ import annotations

from dataclasses import dataclass

from consist.checking.overview import TrainOverview
from consist.report.charts.key import Entry, head_entry, line_entry, ring_entry
from consist.report.charts.palette import INK
from consist.report.charts.sayings import worst_words
from consist.report.sheets.figures import past_words
from consist.wording import Units

__all__ = ["Whereabouts"]


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
