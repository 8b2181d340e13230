"""The force in every coupling along the train at its worst moment."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from consist.evening.along import Moment
from consist.evening.overview import TrainOverview
from consist.report.charts.drawing import WIDTH, Chart, Sheet, boxes_path, lines_path
from consist.report.charts.palette import BUFF, ENGINE, GROUND, INK, MUTED, TENSION, Shade
from consist.report.charts.plot import Entry, Key, Plot, line_entry, ring_entry, swatch_entry
from consist.report.lettering import width_of
from consist.report.words import clean, past_words
from consist.scales import GRAMS_PER_OUNCE
from consist.session import Session
from consist.wording import Units

__all__ = ["drawbar_chart"]

Floats = NDArray[np.float64]
LEFT, RIGHT = 40.0, WIDTH - 10.0
TOP, PLOT_HIGH = 18.0, 140.0
STRIP_GAP, STRIP_HIGH, SPOT_LINE = 5.0, 9.0, 11.0
BAR_SHARE = 0.6
"""Of the shortest vehicle's length."""
MOST_BAR = 14.0
LEAST_SPAN_G, ROOM_SHARE = 1.0, 0.1


def drawbar_chart(seen: TrainOverview, session: Session, units: Units) -> Chart:
    """The picture; raises `ValueError` for a train in which nothing is coupled."""
    moment = seen.moment
    if moment is None:
        raise ValueError(f"no drawbar to draw: nothing is coupled in {clean(seen.train.name)}")
    bottom = TOP + PLOT_HIGH
    low, high = _span(moment)
    plot = Plot(LEFT, TOP, RIGHT, bottom, 0.0, moment.total_mm, low, high)
    strip_top = bottom + STRIP_GAP
    axis = Plot(LEFT, strip_top, RIGHT, strip_top + STRIP_HIGH + SPOT_LINE + 3.0, 0.0, moment.total_mm)
    key = Key(_key(seen, moment), WIDTH - 16.0)
    sheet = Sheet(axis.bottom + 30.0 + key.height)

    unit_name, unit_g = (units.name, GRAMS_PER_OUNCE if units.inches else 1.0)
    plot.y_axis(sheet, unit_g)
    sheet.text(8.0, 9.0, f"drawbar force, {unit_name}", color=MUTED)
    _bars(sheet, plot, moment)
    _greatest(sheet, plot, moment)
    sheet.line(lines_path([plot.points((0.0, moment.total_mm), (0.0, 0.0))]), INK, 0.8, "no force")
    sheet.text(RIGHT, TOP + 9.0, "tension", anchor="right", bold=True)
    if low < 0.0:
        sheet.text(LEFT + 4.0, bottom - 4.0, "buff", bold=True)
    _vehicles(sheet, axis, moment, seen)
    far, far_mm = units.far_unit
    axis.x_axis(sheet, far_mm, f"distance back from the head end, {far}", grid_top=axis.bottom)
    key.draw(sheet, 8.0, axis.bottom + 29.0)
    where = past_words(seen.train, moment.head_mm, units)
    return Chart("drawbar", f"Drawbar along the train, the head end {where}", _describe(moment, units, where), sheet)


def _span(moment: Moment) -> tuple[float, float]:
    """From the least force to the greatest with a little room, no force always within."""
    low = min(0.0, float(moment.tension_g.min()), float(-moment.most_buff_g.max()))
    high = max(0.0, float(moment.tension_g.max()), float(moment.most_tension_g.max()))
    room = ROOM_SHARE * max(high - low, LEAST_SPAN_G)
    return (low - room if low < 0.0 else 0.0), high + room


def _pushed(moment: Moment) -> bool:
    return bool((moment.most_buff_g > 0.0).any())


def _couplings(moment: Moment) -> Floats:
    """How far behind the head end each coupling is."""
    return np.cumsum(moment.length_mm)[:-1]


def _bars(sheet: Sheet, plot: Plot, moment: Moment) -> None:
    at, force = _couplings(moment), moment.tension_g
    half = min(
        0.5 * BAR_SHARE * float(moment.length_mm.min()), MOST_BAR / 2 * moment.total_mm / (plot.right - plot.left)
    )
    none = np.zeros_like(force)
    boxes = np.stack([plot.x(at - half), plot.y(force), plot.x(at + half), plot.y(none)], axis=-1)
    sheet.shape(boxes_path(boxes[force > 0.0]), TENSION, "tension", edge=INK, width=0.5)
    sheet.shape(boxes_path(boxes[force < 0.0]), BUFF, "buff", edge=INK, width=0.5)


def _greatest(sheet: Sheet, plot: Plot, moment: Moment) -> None:
    """The greatest of either over the leg, as a line in steps from coupling to coupling."""
    ends = np.concatenate(([0.0], moment.length_mm.cumsum()))
    edges = 0.5 * (ends[:-1] + ends[1:])
    for force, label in ((moment.most_tension_g, "greatest tension"), (-moment.most_buff_g, "greatest buff")):
        shown = np.maximum(force, 0.0) if label == "greatest tension" else np.minimum(force, 0.0)
        if shown.any():
            x, y = np.repeat(edges, 2)[1:-1], np.repeat(shown, 2)
            sheet.line(lines_path([plot.points(x, y)]), INK, 0.9, label, dashes=(2.5, 1.5))


def _vehicles(sheet: Sheet, axis: Plot, moment: Moment, seen: TrainOverview) -> None:
    ends = np.concatenate(([0.0], moment.length_mm.cumsum()))
    gap = min(0.08 * float(moment.length_mm.min()), 0.004 * moment.total_mm)
    bottom = axis.top + STRIP_HIGH
    engine = np.array([spot is None for spot in moment.spots])
    left, right = axis.x(ends[:-1] + gap), axis.x(ends[1:] - gap)
    boxes = np.stack([left, np.full_like(left, axis.top), right, np.full_like(left, bottom)], axis=-1)
    sheet.shape(boxes_path(boxes[engine]), ENGINE, "engines")
    sheet.shape(boxes_path(boxes[~engine]), Shade(GROUND), "cars", edge=MUTED, width=0.6)
    free = -np.inf
    worst = seen.check.worst
    for spot, x in zip(moment.spots, 0.5 * (left + right), strict=True):
        if spot is None or x - width_of(str(spot)) / 2 < free:
            continue
        sheet.text(
            float(x),
            bottom + SPOT_LINE - 1.0,
            str(spot),
            anchor="center",
            bold=worst is not None and worst.spot == spot,
        )
        free = x + width_of(str(spot)) / 2 + 3.0
    if worst is not None and worst.car in moment.names:
        at = moment.names.index(worst.car)
        sheet.ring(float(0.5 * (left + right)[at]), axis.top + STRIP_HIGH / 2, 6.5, "worst")


def _key(seen: TrainOverview, moment: Moment) -> list[Entry]:
    entries = [swatch_entry(TENSION, "tension")]
    if (moment.tension_g < 0.0).any():
        entries.append(swatch_entry(BUFF, "buff"))
    either = "tension or buff" if _pushed(moment) else "tension"
    entries.append(line_entry(f"greatest {either} on this leg", INK, 0.9, (2.5, 1.5)))
    if None in moment.spots:
        entries.append(swatch_entry(ENGINE, "engine"))
    worst = seen.check.worst
    if worst is not None and worst.car in moment.names:
        entries.append(ring_entry(f"worst car: {clean(worst.car)}"))
    return entries


def _describe(moment: Moment, units: Units, where: str) -> str:
    most, least = int(np.argmax(moment.tension_g)), int(np.argmin(moment.tension_g))
    said = [f"The head end is {where}."]
    if moment.tension_g[most] > 0.0:
        pull = units.weight(float(moment.tension_g[most]))
        said.append(f"The greatest tension just then is {pull}, behind {clean(moment.names[most])}.")
    if moment.tension_g[least] < 0.0:
        push = units.weight(-float(moment.tension_g[least]))
        said.append(f"The greatest buff is {push}, behind {clean(moment.names[least])}.")
    if not moment.tension_g.any():
        said.append("No coupling carries any force.")
    return " ".join(said)
