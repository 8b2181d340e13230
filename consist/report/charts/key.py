"""The key of a picture, where a train stands at its worst moment, and the small sentences that pictures share."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from consist.evening.overview import TrainOverview
from consist.report.charts.drawing import WIDTH, Dashes, Sheet, boxes_path, circle_path, pointer_path
from consist.report.charts.palette import FAINT, INK, SHADES, Levels, Shade
from consist.report.charts.plot import BASELINE
from consist.report.lettering import shortened, width_of
from consist.report.words import clean, past_words
from consist.session import Train
from consist.wording import Units, percent

__all__ = [
    "Entry",
    "Whereabouts",
    "draw_key",
    "level_entries",
    "places_of",
    "ring_sign",
    "stroke_sign",
    "swatch_sign",
    "where_worst",
    "worst_words",
]

LINE = 13.0
SIGN = 16.0
"""The width of a sign, its gap to the words included."""
APART = 10.0
SWATCH_WIDTH, SWATCH_HEIGHT = 12.0, 8.0
Sign = Callable[[Sheet, float, float], None]
"""Draws with its left end at x and its middle at y."""


@dataclass(frozen=True)
class Entry:
    """Words behind a sign, or alone."""

    words: str
    sign: Sign | None = None


def draw_key(sheet: Sheet, entries: Sequence[Entry], left: float, top: float) -> float:
    """Set entries one after another in lines as wide as the sheet allows; returns where the last line ends."""
    wide, x, middle = WIDTH - 2.0 * left, 0.0, top + LINE / 2.0
    for entry in entries:
        sign = 0.0 if entry.sign is None else SIGN
        size = min(sign + width_of(entry.words), wide)
        if x > 0.0 and x + size > wide:
            x, middle = 0.0, middle + LINE
        if entry.sign is not None:
            entry.sign(sheet, left + x, middle)
        sheet.text(left + x + sign, middle + BASELINE, shortened(entry.words, wide - x - sign))
        x += size + APART
    return middle + LINE / 2.0 if entries else top


def swatch_sign(shade: Shade) -> Sign:
    """A patch of a shade."""

    def sign(sheet: Sheet, x: float, y: float) -> None:
        box = (x, y - SWATCH_HEIGHT / 2, x + SWATCH_WIDTH, y + SWATCH_HEIGHT / 2)
        sheet.shape(boxes_path([box]), shade, edge=FAINT, width=0.5)

    return sign


def stroke_sign(width: float, dashes: Dashes | None = None) -> Sign:
    """A line of a width."""
    return lambda sheet, x, y: sheet.line([[(x, y), (x + SWATCH_WIDTH, y)]], INK, width, dashes=dashes)


def ring_sign(sheet: Sheet, x: float, y: float) -> None:
    """The ring around what is pointed out."""
    sheet.shape(circle_path(x + SWATCH_WIDTH / 2, y, 4.5), edge=INK, width=1.5)


def head_sign(sheet: Sheet, x: float, y: float) -> None:
    """The mark of the head end."""
    sheet.shape(pointer_path(x + SWATCH_WIDTH / 2, y + 3.5), Shade(INK))


def level_entries(levels: Levels, *uses: float) -> list[Entry]:
    """The levels of side use, from the least to the most."""
    return [Entry(words, swatch_sign(shade)) for shade, words in zip(SHADES, levels.legend(*uses), strict=True)]


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
        moment, worst = seen.moment, seen.check.worst

        def kept(at_mm: float) -> float:
            return min(max(at_mm, 0.0), seen.train.route.length_mm)

        head = moment.head_mm if moment is not None else worst.head_mm if worst is not None else None
        return cls(
            head_mm=None if head is None else kept(head),
            stretch=None if moment is None else (kept(moment.head_mm - moment.total_mm), kept(moment.head_mm)),
            car_mm=None if worst is None else kept(worst.car_mm),
            head_words="" if head is None else f"head end {past_words(seen.train, head, units)}",
            worst=worst_words(seen),
        )

    def entries(self) -> list[Entry]:
        """The key of what is marked."""
        entries = [Entry(self.worst, ring_sign)] if self.worst else []
        if self.stretch is not None and self.stretch[0] < self.stretch[1]:
            when = "then" if self.worst else "at its greatest pull"
            entries.append(Entry(f"the train {when}, {self.head_words}", stroke_sign(3.6)))
        elif self.head_words:
            entries.append(Entry(self.head_words, head_sign))
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
