"""The force in every coupling along the train at its worst moment."""

from __future__ import annotations

import numpy as np

from consist.evening.along import Moment
from consist.evening.overview import TrainOverview
from consist.report.charts.drawing import WIDTH, Chart, Floats, Sheet, boxes_path
from consist.report.charts.key import Entry, draw_key
from consist.report.charts.palette import BUFF, ENGINE, GROUND, INK, MUTED, TENSION, Shade
from consist.report.charts.plot import Plot, weight_unit
from consist.report.lettering import width_of
from consist.report.words import clean, leading_words
from consist.session import Session
from consist.wording import Units

__all__ = ["drawbar_chart"]

LEFT, RIGHT = 40.0, WIDTH - 10.0
TOP, BOTTOM = 18.0, 158.0
STRIP_TOP, STRIP_BOTTOM, AXIS = BOTTOM + 5.0, BOTTOM + 14.0, BOTTOM + 28.0
"""The strip of vehicles under the forces, and the axis below their spots."""
BAR_SHARE = 0.6
"""Of the shortest vehicle's length."""
MOST_BAR = 14.0
LEAST_SPAN_G, ROOM_SHARE = 1.0, 0.1
GREATEST = 0.9, (2.5, 1.5)
"""The line of the greatest forces, and its dashes."""


def drawbar_chart(seen: TrainOverview, session: Session, units: Units) -> Chart:
    """The picture; raises `ValueError` for a train in which nothing is coupled."""
    moment = seen.moment
    if moment is None:
        raise ValueError(f"no drawbar to draw: nothing is coupled in {clean(seen.train.name)}")
    low, high = _span(moment)
    worst = None if seen.check.worst is None or seen.check.worst.spot not in moment.spots else seen.check.worst.spot
    # how far behind the head end each vehicle begins, and the last one ends
    ends = np.concatenate(([0.0], moment.length_mm.cumsum()))
    plot = Plot(LEFT, TOP, RIGHT, BOTTOM, 0.0, moment.total_mm, low, high)
    axis = Plot(LEFT, STRIP_TOP, RIGHT, AXIS, 0.0, moment.total_mm)
    sheet = Sheet()
    plot.y_axis(sheet, weight_unit(units))
    sheet.text(8.0, 9.0, f"drawbar force, {units.name}", color=MUTED)
    _bars(sheet, plot, moment, ends)
    sheet.line([plot.points((0.0, moment.total_mm), (0.0, 0.0))], INK, 0.8, "no force")
    sheet.text(RIGHT, TOP + 9.0, "tension", anchor="right", bold=True)
    if low < 0.0:
        sheet.text(LEFT + 4.0, BOTTOM - 4.0, "buff", bold=True)
    _vehicles(sheet, axis, moment, ends, worst)
    axis.x_axis(sheet, units, f"distance back from the head end, {units.far_unit[0]}")
    sheet.ends_at(draw_key(sheet, _key(moment, worst), 8.0, AXIS + 29.0) + 1.0)
    where = leading_words(seen.train, moment.head_mm, units)
    return Chart("drawbar", f"Drawbar along the train, the {where}", _describe(moment, units, where), sheet)


def _span(moment: Moment) -> tuple[float, float]:
    """From the least force to the greatest with a little room, no force always within."""
    low = min(0.0, float(moment.tension_g.min()), float(-moment.most_buff_g.max()))
    high = max(0.0, float(moment.tension_g.max()), float(moment.most_tension_g.max()))
    room = ROOM_SHARE * max(high - low, LEAST_SPAN_G)
    return (low - room if low < 0.0 else 0.0), high + room


def _bars(sheet: Sheet, plot: Plot, moment: Moment, ends: Floats) -> None:
    """The force in each coupling, and the greatest over the leg, as a line in steps from coupling to coupling."""
    most = MOST_BAR / 2 * moment.total_mm / (plot.right - plot.left)
    half = min(0.5 * BAR_SHARE * float(moment.length_mm.min()), most)
    at, force, zero = ends[1:-1], moment.tension_g, np.zeros_like(moment.tension_g)
    boxes = np.concatenate((plot.points(at - half, force), plot.points(at + half, zero)), axis=1)
    sheet.shape(boxes_path(boxes[force > 0.0]), TENSION, "tension", edge=INK, width=0.5)
    sheet.shape(boxes_path(boxes[force < 0.0]), BUFF, "buff", edge=INK, width=0.5)
    edges, (width, dashes) = np.repeat(0.5 * (ends[:-1] + ends[1:]), 2)[1:-1], GREATEST
    tension, buff = np.maximum(moment.most_tension_g, 0.0), np.minimum(-moment.most_buff_g, 0.0)
    for greatest, label in ((tension, "greatest tension"), (buff, "greatest buff")):
        if greatest.any():
            sheet.line([plot.points(edges, np.repeat(greatest, 2))], INK, width, label, dashes=dashes)


def _vehicles(sheet: Sheet, axis: Plot, moment: Moment, ends: Floats, worst: int | None) -> None:
    gap = min(0.08 * float(moment.length_mm.min()), 0.004 * moment.total_mm)
    engine = np.array([spot is None for spot in moment.spots])
    left, right = axis.x(ends[:-1] + gap), axis.x(ends[1:] - gap)
    middle, free = 0.5 * (left + right), -np.inf
    boxes = np.stack(np.broadcast_arrays(left, STRIP_TOP, right, STRIP_BOTTOM), axis=-1)
    sheet.shape(boxes_path(boxes[engine]), ENGINE, "engines")
    sheet.shape(boxes_path(boxes[~engine]), Shade(GROUND), "cars", edge=MUTED, width=0.6)
    for spot, x in zip(moment.spots, middle, strict=True):
        half = width_of(str(spot)) / 2
        if spot is not None and x - half >= free:
            sheet.text(x, STRIP_BOTTOM + 10.0, str(spot), anchor="center", bold=spot == worst)
            free = x + half + 3.0
    if worst is not None:
        sheet.ring(middle[moment.spots.index(worst)], 0.5 * (STRIP_TOP + STRIP_BOTTOM), 6.5)


def _key(moment: Moment, worst: int | None) -> list[Entry]:
    entries = [Entry("tension", TENSION)]
    if (moment.tension_g < 0.0).any():
        entries.append(Entry("buff", BUFF))
    either = "tension or buff" if (moment.most_buff_g > 0.0).any() else "tension"
    entries.append(Entry(f"greatest {either} on this leg", GREATEST))
    if None in moment.spots:
        entries.append(Entry("engine", ENGINE))
    if worst is not None:
        entries.append(Entry(f"worst car: {clean(moment.names[moment.spots.index(worst)])}", "ring"))
    return entries


def _describe(moment: Moment, units: Units, where: str) -> str:
    most, least = int(np.argmax(moment.tension_g)), int(np.argmin(moment.tension_g))
    end, _, there = where.partition(" end ")
    said = [f"The {end} end is {there}."]
    if moment.tension_g[most] > 0.0:
        pull = units.weight(float(moment.tension_g[most]))
        said.append(f"The greatest tension just then is {pull}, behind {clean(moment.names[most])}.")
    if moment.tension_g[least] < 0.0:
        push = units.weight(-float(moment.tension_g[least]))
        said.append(f"The greatest buff is {push}, behind {clean(moment.names[least])}.")
    if not moment.tension_g.any():
        said.append("No coupling carries any force.")
    return " ".join(said)
