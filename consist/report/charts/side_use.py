"""Side use by place in the train and place on the route: which car is in danger where."""

from __future__ import annotations

from math import ceil

import numpy as np
from numpy.typing import NDArray

from consist.evening.overview import TrainOverview
from consist.report.charts.drawing import WIDTH, Chart, Sheet, boxes_path, lines_path
from consist.report.charts.names import NamesAlong
from consist.report.charts.palette import CARE, FAINT, HOLD, INK, MUTED, SHADES, Levels
from consist.report.charts.plot import BASELINE, Key, Plot, level_entries, ring_entry, words_entry
from consist.report.charts.whereabouts import places_of, where_worst, worst_words
from consist.report.lettering import shortened, width_of
from consist.report.words import clean
from consist.session import Session
from consist.wording import Units

__all__ = ["side_use_chart"]

Floats = NDArray[np.float64]
TITLE = "Side use by place in the train and place on the route"
MOST_HIGH = 288.0
ROW_LEAST, ROW_MOST = 4.0, 13.0
LABEL_LINE = 10.0
END_GAP = 12.0
LONGEST_NAME = 72.0
EDGE, RIGHT = 8.0, WIDTH - 12.0
AXIS_ROOM = 30.0
GAP = 4.0


def side_use_chart(seen: TrainOverview, session: Session, units: Units) -> Chart:
    """The picture; raises `ValueError` for a train without a car."""
    cars = seen.train.cars
    if not cars:
        raise ValueError(f"no side use to draw: {clean(seen.train.name)} has no car")
    levels = Levels.of(session.house)
    row = min(max(MOST_HIGH / len(cars), ROW_LEAST), ROW_MOST)
    names = [shortened(clean(car.car.name), LONGEST_NAME) for car in cars]
    spot_right = EDGE + max(width_of(str(car.spot)) for car in cars)
    left = spot_right + 6.0 + max(max(width_of(name) for name in names), width_of("head end") + END_GAP - 5.0) + 5.0
    route_mm = float(seen.along.edges_mm[-1])
    across = Plot(left, 0.0, RIGHT, 1.0, 0.0, route_mm)
    along_top = NamesAlong([(name, float(across.x(at))) for name, at in places_of(seen.train)], left, WIDTH - 2.0)
    worst = worst_words(seen)
    key = Key(
        [words_entry("side use"), *level_entries(levels), *([ring_entry(worst)] if worst else [])], WIDTH - 2 * EDGE
    )
    top = along_top.height + 2.0
    bottom = top + row * len(cars)
    plot = Plot(left, top, RIGHT, bottom, 0.0, route_mm, len(cars), 0.0)
    sheet = Sheet(bottom + AXIS_ROOM + GAP + key.height)

    _cells(sheet, plot, seen.along.use, seen.along.edges_mm, levels, row)
    marks = [[(x, top), (x, bottom)] for x in plot.x([at for _, at in places_of(seen.train)])]
    sheet.line(lines_path(marks), INK, 0.5, "places", dashes=(1.0, 2.0))
    along_top.draw(sheet, top)
    far, unit_mm = units.far_unit
    plot.x_axis(
        sheet, unit_mm, f"place of the head end, {far} from {clean(seen.train.route.stops[0])}", grid_top=bottom
    )
    _labels(sheet, plot, [car.spot for car in cars], names, row, spot_right)
    _ring(sheet, plot, seen)
    key.draw(sheet, EDGE, bottom + AXIS_ROOM + GAP)
    return Chart("side-use", TITLE, _describe(seen, levels, units), sheet, plot.along(route_mm))


def _cells(sheet: Sheet, plot: Plot, use: Floats, edges: Floats, levels: Levels, row: float) -> None:
    """Each level is drawn over all below it, so that no seam shows between the stretches."""
    inside = ~np.isnan(use)
    gap = 0.5 * min(1.0, row / 10.0) / row
    outside = _runs(~inside)
    sheet.line(
        lines_path([plot.points((edges[start], edges[end]), (car + 0.5, car + 0.5)) for car, start, end in outside]),
        FAINT,
        0.5,
        "not in the train",
    )
    level = np.where(inside, levels.level(np.nan_to_num(use)), -1)
    for number, shade in enumerate(SHADES):
        runs = _runs(level >= number)
        car, start, end = runs.T
        boxes = np.stack(
            [plot.x(edges[start]), plot.y(car + gap), plot.x(edges[end]), plot.y(car + 1 - gap)], axis=-1
        )
        sheet.shape(boxes_path(boxes), shade, f"level {number}")


def _runs(held: NDArray[np.bool_]) -> NDArray[np.intp]:
    """Where each row holds: of shape (runs, 3), the row, the first column and the column past the last."""
    padded = np.pad(held.astype(np.int8), ((0, 0), (1, 1)))
    change = np.diff(padded, axis=1)
    row, start = np.nonzero(change == 1)
    _, end = np.nonzero(change == -1)
    return np.stack([row, start, end], axis=1)


def _labels(sheet: Sheet, plot: Plot, spots: list[int], names: list[str], row: float, spot_right: float) -> None:
    every = ceil(LABEL_LINE / row)
    for car in range(0, len(names), every):
        y = float(plot.y(car + 0.5)) + BASELINE
        sheet.text(spot_right, y, str(spots[car]), anchor="right", bold=True)
        sheet.text(plot.left - 5.0, y, names[car], anchor="right")
    sheet.text(plot.left - END_GAP, plot.top - 4.0, "head end", anchor="right", color=MUTED)
    sheet.text(plot.left - END_GAP, plot.bottom + 11.0, "rear", anchor="right", color=MUTED)


def _ring(sheet: Sheet, plot: Plot, seen: TrainOverview) -> None:
    worst = seen.check.worst
    if worst is None:
        return
    rows = [number for number, car in enumerate(seen.train.cars) if car.car.name == worst.car]
    sheet.ring(float(plot.x(worst.head_mm)), float(plot.y(rows[0] + 0.5)), label="worst")


def _describe(seen: TrainOverview, levels: Levels, units: Units) -> str:
    reached = levels.level(np.nan_to_num(seen.along.use).max(axis=1))
    held, cared = int((reached == HOLD).sum()), int((reached == CARE).sum())
    found = f"Cars that come to hold somewhere on the way: {held} of {len(reached)}; cars that come to care: {cared}."
    return f"{found} {where_worst(seen, units)}"
