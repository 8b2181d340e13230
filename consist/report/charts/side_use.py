"""Side use by place in the train and place on the route: which car is in danger where."""

from __future__ import annotations

from dataclasses import replace
from math import ceil

import numpy as np
from numpy.typing import NDArray

from consist.evening.along import UseAlong
from consist.evening.overview import TrainOverview
from consist.report.charts.drawing import WIDTH, Chart, Sheet, boxes_path
from consist.report.charts.key import Entry, draw_key, level_entries, places_of, where_worst, worst_entry
from consist.report.charts.names import NamesAlong
from consist.report.charts.palette import CARE, FAINT, HOLD, INK, MUTED, SHADES, Levels
from consist.report.charts.plot import BASELINE, Plot
from consist.report.lettering import shortened, width_of
from consist.report.words import clean
from consist.session import Session
from consist.wording import Units

__all__ = ["side_use_chart"]

TITLE = "Side use by place in the train and place on the route"
MOST_HIGH = 288.0
ROW_LEAST, ROW_MOST = 4.0, 13.0
LABEL_LINE = 10.0
END_GAP = 12.0
LONGEST_NAME = 72.0
EDGE, RIGHT = 8.0, WIDTH - 12.0
AXIS_ROOM = 34.0


def side_use_chart(seen: TrainOverview, session: Session, units: Units) -> Chart:
    """The picture; raises `ValueError` for a train without a car."""
    cars = seen.train.cars
    if not cars:
        raise ValueError(f"no side use to draw: {clean(seen.train.name)} has no car")
    levels, along = Levels.of(session.house), seen.along
    row = min(max(MOST_HIGH / len(cars), ROW_LEAST), ROW_MOST)
    labels = [(str(car.spot), shortened(clean(car.car.name), LONGEST_NAME)) for car in cars]
    spot_right = EDGE + max(width_of(spot) for spot, _ in labels)
    left = spot_right + 11.0 + max(width_of("head end") + END_GAP - 5.0, *(width_of(name) for _, name in labels))
    plot = Plot(left, 0.0, RIGHT, 1.0, 0.0, float(along.edges_mm[-1]), len(cars), 0.0)
    places = NamesAlong([(name, float(plot.x(at))) for name, at in places_of(seen.train)], left, WIDTH - 2.0)
    plot = replace(plot, top=places.height + 2.0, bottom=places.height + 2.0 + row * len(cars))

    sheet = Sheet()
    _cells(sheet, plot, along, levels, 0.5 * min(1.0, row / 10.0) / row)
    places.draw(sheet, plot.top, plot.bottom, INK)
    start = clean(seen.train.route.stops[0])
    plot.x_axis(sheet, units, f"place of the head end, {units.far_unit[0]} from {start}")
    for car in range(0, len(labels), ceil(LABEL_LINE / row)):
        y, (spot, name) = float(plot.y(car + 0.5)) + BASELINE, labels[car]
        sheet.text(spot_right, y, spot, anchor="right", bold=True)
        sheet.text(left - 5.0, y, name, anchor="right")
    for y, end in ((plot.top - 4.0, "head end"), (plot.bottom + 11.0, "rear")):
        sheet.text(left - END_GAP, y, end, anchor="right", color=MUTED)
    if seen.check.worst is not None:
        worst_row = [car.car.name for car in cars].index(seen.check.worst.car)
        sheet.ring(*plot.points(seen.check.worst.head_mm, worst_row + 0.5).tolist())
    key = [Entry("side use"), *level_entries(levels), *worst_entry(seen)]
    sheet.ends_at(draw_key(sheet, key, EDGE, plot.bottom + AXIS_ROOM))
    uses = tuple(tuple(None if np.isnan(use) else use for use in car) for car in along.use.tolist())
    followed = replace(plot.along(plot.x_high), uses=uses)
    return Chart("side-use", TITLE, _describe(seen, levels, units), sheet, followed)


def _cells(sheet: Sheet, plot: Plot, along: UseAlong, levels: Levels, gap: float) -> None:
    """Each level is drawn over all below it, so that no seam shows between the stretches; `gap` parts the rows."""
    use, edges = along.use, along.edges_mm
    inside = ~np.isnan(use)
    outside = [plot.points((edges[start], edges[end]), (car + 0.5, car + 0.5)) for car, start, end in _runs(~inside)]
    sheet.line(outside, FAINT, 0.5, "not in the train")
    level = np.where(inside, levels.level(np.nan_to_num(use)), -1)
    for number, shade in enumerate(SHADES):
        car, start, end = _runs(level >= number).T
        corners = plot.points(edges[start], car + gap), plot.points(edges[end], car + 1 - gap)
        sheet.shape(boxes_path(np.hstack(corners)), shade, f"level {number}")


def _runs(held: NDArray[np.bool_]) -> NDArray[np.intp]:
    """Where each row holds: of shape (runs, 3), the row, the first column and the column past the last."""
    change = np.diff(np.pad(held.astype(np.int8), ((0, 0), (1, 1))), axis=1)
    return np.column_stack((*np.nonzero(change == 1), np.nonzero(change == -1)[1]))


def _describe(seen: TrainOverview, levels: Levels, units: Units) -> str:
    reached = levels.level(np.nan_to_num(seen.along.use).max(axis=1))
    held, cared = int((reached == HOLD).sum()), int((reached == CARE).sum())
    found = f"Cars that come to hold somewhere on the way: {held} of {len(reached)}; cars that come to care: {cared}."
    return f"{found} {where_worst(seen, units)}"
