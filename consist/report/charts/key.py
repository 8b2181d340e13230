"""The key of a picture, where a train stands at its worst moment, and the small sentences that pictures share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from consist.evening.overview import TrainOverview
from consist.report.charts.drawing import WIDTH, Dashes, Sheet, boxes_path, circle_path, pointer_path
from consist.report.charts.palette import FAINT, INK, SHADES, Levels, Shade
from consist.report.charts.plot import BASELINE
from consist.report.lettering import shortened, width_of
from consist.report.words import clean, leading_words
from consist.session import Train
from consist.wording import Units, percent

__all__ = ["Entry", "Whereabouts", "draw_key", "level_entries", "places_of", "where_worst", "worst_entry"]

LINE = 13.0
SIGN = 16.0
"""The width of a sign, its gap to the words included."""
APART = 10.0
SWATCH_WIDTH, SWATCH_HEIGHT = 12.0, 8.0
Stroke = tuple[float, Dashes | None]
Sign = Shade | Stroke | Literal["ring", "head end"]
"""A patch of a shade, a line of a width and its dashes, the ring around what is pointed out, or where the head is."""


@dataclass(frozen=True)
class Entry:
    """Words behind a sign, or alone."""

    words: str
    sign: Sign | None = None


def draw_key(sheet: Sheet, entries: Sequence[Entry], left: float, top: float) -> float:
    """Set entries one after another in lines as wide as the sheet allows; returns where the last line ends."""
    wide, x, middle = WIDTH - 2.0 * left, 0.0, top + LINE / 2.0
    for entry in entries:
        indent = 0.0 if entry.sign is None else SIGN
        size = min(indent + width_of(entry.words), wide)
        if x > 0.0 and x + size > wide:
            x, middle = 0.0, middle + LINE
        _draw_sign(sheet, entry.sign, left + x, middle)
        sheet.text(left + x + indent, middle + BASELINE, shortened(entry.words, wide - x - indent))
        x += size + APART
    return middle + LINE / 2.0 if entries else top


def _draw_sign(sheet: Sheet, sign: Sign | None, x: float, y: float) -> None:
    """Draw a sign with its left end at `x` and its middle at `y`."""
    match sign:
        case Shade():
            box = (x, y - SWATCH_HEIGHT / 2, x + SWATCH_WIDTH, y + SWATCH_HEIGHT / 2)
            sheet.shape(boxes_path(box), sign, edge=FAINT, width=0.5)
        case "ring":
            sheet.shape(circle_path(x + SWATCH_WIDTH / 2, y, 4.5), edge=INK, width=1.5)
        case "head end":
            sheet.shape(pointer_path(x + SWATCH_WIDTH / 2, y + 3.5), Shade(INK))
        case (width, dashes):
            sheet.line([[(x, y), (x + SWATCH_WIDTH, y)]], INK, width, dashes=dashes)


def level_entries(levels: Levels) -> list[Entry]:
    """The levels of side use, from the least to the most."""
    return [Entry(words, shade) for words, shade in zip(levels.legend(), SHADES, strict=True)]


def worst_entry(seen: TrainOverview) -> list[Entry]:
    """The worst car and its side use; none where no car feels any."""
    worst = seen.check.worst
    return [] if worst is None else [Entry(f"worst: {clean(worst.car)}, {percent(seen.check.side_use)}", "ring")]


@dataclass(frozen=True)
class Whereabouts:
    """The train at its worst moment, in mm along the route and kept within it, with the key of what is marked.

    `stretch` is what the train takes up, rear end first, None where nothing is coupled; `car_mm` is the middle of the
    worst car, None where no car feels any side pull.
    """

    stretch: tuple[float, float] | None = None
    car_mm: float | None = None
    key: Sequence[Entry] = ()

    @classmethod
    def of(cls, seen: TrainOverview, units: Units) -> Whereabouts:
        """Where a train is, and how that is told."""
        moment, worst, end = seen.moment, seen.check.worst, seen.train.route.length_mm
        if moment is None:
            return cls()
        # what stands behind where a run starts is on track that is not of the route
        start = seen.train.route.runs[moment.run].start_mm
        rear, head = (min(max(at, start), end) for at in (moment.head_mm - moment.total_mm, moment.head_mm))
        told = leading_words(seen.train, moment.head_mm, units)
        when = "at its greatest pull" if worst is None else "then"
        drawn = Entry(f"the train {when}, {told}", (3.6, None)) if rear < head else Entry(told, "head end")
        car_mm = None if worst is None else min(max(worst.car_mm, start), end)
        return cls((rear, head), car_mm, [*worst_entry(seen), drawn])


def places_of(train: Train) -> list[tuple[str, float]]:
    """The places on the route, their names fit to draw, with their distances from its start."""
    return [(clean(name), place_mm) for name, place_mm in train.route.places]


def where_worst(seen: TrainOverview, units: Units) -> str:
    """The worst car, its side use and where, as a sentence."""
    worst = seen.check.worst
    if worst is None:
        return "No car feels any side pull."
    return (
        f"The worst car is {clean(worst.car)} in spot {worst.spot} with {percent(seen.check.side_use)} side use, the "
        f"{leading_words(seen.train, worst.head_mm, units)}."
    )
