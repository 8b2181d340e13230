"""The route in profile: its height and, below, its curves to the left and right."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from consist.evening.overview import TrainOverview
from consist.report.charts.drawing import WIDTH, Chart, Floats, Sheet, pointer_path
from consist.report.charts.key import Whereabouts, draw_key, places_of, where_worst
from consist.report.charts.names import NamesAlong
from consist.report.charts.palette import CURVE, FAINT, GROUND, INK, MUTED, Shade
from consist.report.charts.plot import BASELINE, Plot, length_unit
from consist.report.lettering import width_of
from consist.report.words import clean, past_words
from consist.session import Session
from consist.track import Centreline
from consist.wording import Units

__all__ = ["profile_chart"]

TITLE = "The route in profile, with its curves"
LEFT, RIGHT = 63.0, WIDTH - 12.0
HEIGHTS, BETWEEN, CURVES = 112.0, 22.0, 52.0
AXIS_ROOM = 29.0
LEVEL_MM = 20.0
"""A route that rises and falls less than this in all is drawn all but level."""
FLAT_MM = 0.5
"""A route that rises and falls less than this is said to be level."""
ROOM_SHARE = 0.14
SCARCELY_CURVED = 1e-7  # 1/mm: a radius of 10 km
GRADE_ROOM = 14.0
RING_REACH = 13.0
LEAST_GRADE = 0.0005
TOLD_PLACES = 201
"""Places of the head end that a marker can tell in words: finer than it can be drawn on a phone."""


def profile_chart(seen: TrainOverview, session: Session, units: Units) -> Chart:
    """The picture; the train stands where it does at its worst moment."""
    route, where, sheet = seen.train.route, Whereabouts.of(seen, units), Sheet()
    track, route_mm = route.centreline, route.length_mm
    across = Plot(LEFT, 0.0, RIGHT, 1.0, 0.0, max(route_mm, 1.0))
    names = NamesAlong([(name, float(across.x(at))) for name, at in places_of(seen.train)], LEFT, WIDTH - 2.0)
    at, z = _ground(track)
    heights = _heights(across, names.height + 1.0, z)
    sharpest, curves_top = _sharpest(track), heights.bottom + BETWEEN
    reach = max(sharpest, SCARCELY_CURVED) * 1.12
    curves = replace(across, top=curves_top, bottom=curves_top + CURVES, y_low=-reach, y_high=reach)

    heights.y_axis(sheet, length_unit(units), 4)
    sheet.text(6.0, heights.top - 4.0, f"height, {units.length_unit}", color=MUTED)
    line = heights.points(at, z)
    floor = [(heights.right, heights.bottom), (heights.left, heights.bottom)]
    sheet.shape([np.concatenate((line, floor))], Shade(GROUND), "ground")
    sheet.line([line], INK, 1.0, "height")
    _curves(sheet, curves, track, sharpest, units)
    names.draw(sheet, heights.top, curves.bottom, MUTED)
    _grades(sheet, heights, track)
    _train(sheet, heights, track, where)
    curves.x_axis(sheet, units, f"distance from {clean(route.stops[0])}, {units.far_unit[0]}")
    sheet.ends_at(draw_key(sheet, where.key, 8.0, curves.bottom + AXIS_ROOM))
    told = tuple(past_words(seen.train, at, units) for at in np.linspace(0.0, route_mm, TOLD_PLACES).tolist())
    head_mm = None if where.stretch is None else where.stretch[1]
    train_mm = 0.0 if seen.moment is None else seen.moment.total_mm
    along = replace(heights.along(route_mm), bottom=curves.bottom, head_mm=head_mm, train_mm=train_mm, words=told)
    return Chart("profile", TITLE, _describe(seen, units), sheet, along)


def _ground(track: Centreline) -> tuple[Floats, Floats]:
    """Every distance at which the grade may change, both ends included, and the heights there."""
    at = np.unique(track.joints.distance_mm)
    return at, track.at(at).z


def _heights(across: Plot, top: float, z: Floats) -> Plot:
    """The area of the heights, with room for names and grades above them."""
    low, high = float(z.min()), float(z.max())
    spare = max(LEVEL_MM - (high - low), 0.0) / 2
    low, high = low - spare, high + spare
    room = ROOM_SHARE * (high - low)
    return replace(across, top=top, bottom=top + HEIGHTS, y_low=low - room, y_high=high + 2.0 * room)


def _sharpest(track: Centreline) -> float:
    joints = track.joints
    return float(np.max(np.abs(np.concatenate((joints.curvature_before, joints.curvature_after)))))


def _curves(sheet: Sheet, plot: Plot, track: Centreline, sharpest: float, units: Units) -> None:
    joints, beside, middle = track.joints, plot.left - 4.0, float(plot.y(0.0))
    at = np.repeat(joints.distance_mm, 2)[1:-1]
    curvature = np.stack((joints.curvature_before, joints.curvature_after), axis=1).ravel()[1:-1]
    sheet.text(6.0, plot.top - 5.0, "curve radius", color=MUTED)
    if sharpest > SCARCELY_CURVED:
        for y in plot.y((sharpest, -sharpest)).tolist():
            sheet.line([[(plot.left, y), (plot.right, y)]], FAINT, 0.5)
            sheet.text(beside, y + BASELINE, units.radius(1.0 / sharpest), anchor="right", color=MUTED)
        for bent, label in ((np.maximum(curvature, 0.0), "left"), (np.minimum(curvature, 0.0), "right")):
            outline = np.concatenate((plot.points(at, bent), plot.points(at[[-1, 0]], (0.0, 0.0))))
            sheet.shape([outline], CURVE, label)
    else:
        sheet.text(plot.middle, plot.top + 14.0, "no curve", anchor="center", color=MUTED)
    sheet.line([[(plot.left, middle), (plot.right, middle)]], INK, 0.6)
    quarter = 0.25 * (plot.bottom - plot.top)
    for label, y in (("left", middle - quarter + 4.0), ("right", middle + quarter - 2.5)):
        sheet.text(beside, y + BASELINE, label, anchor="right", bold=True)


def _grades(sheet: Sheet, plot: Plot, track: Centreline) -> None:
    """The grade over each stretch of even grade that is long enough for its figure."""
    if np.ptp(_ground(track)[1]) < FLAT_MM:
        sheet.text(plot.middle, float(plot.y(0.0)) - 5.0, "level", anchor="center", color=MUTED)
        return
    joints = track.joints
    changes = [0.0, *joints.distance_mm[np.abs(joints.grade_before - joints.grade_after) > 1e-9], track.length_mm]
    for start, end in itertools.pairwise(np.unique(changes)):
        middle, (left, right) = 0.5 * (start + end), plot.x((start, end))
        grade = float(track.at(middle).grade)
        words = f"{abs(100.0 * grade):.1f} %"
        size = width_of(words)
        if abs(grade) >= LEAST_GRADE and right - left >= size + GRADE_ROOM:
            half = 0.5 * size * (end - start) / (right - left)
            top = float(plot.y(track.at((middle - half, middle + half)).z).min())
            sheet.text(0.5 * float(left + right), top - 4.0, words, anchor="center", color=MUTED)


def _train(sheet: Sheet, plot: Plot, track: Centreline, where: Whereabouts) -> None:
    def on_line(at: ArrayLike) -> Floats:
        return plot.points(at, track.at(at).z)

    if where.stretch is not None:
        sheet.line(
            [on_line(np.unique(np.clip((*_ground(track)[0], *where.stretch), *where.stretch)))], INK, 3.6, "train"
        )
        x, y = on_line(where.stretch[1]).tolist()
        ringed = where.car_mm is not None and abs(x - float(plot.x(where.car_mm))) < RING_REACH
        sheet.shape(pointer_path(x, y - (RING_REACH if ringed else 4.0)), Shade(INK), "head")
    if where.car_mm is not None:
        sheet.ring(*on_line(where.car_mm).tolist())


def _describe(seen: TrainOverview, units: Units) -> str:
    track = seen.train.route.centreline
    long, high = units.distance(track.length_mm), units.length(float(np.ptp(_ground(track)[1])))
    said = [f"The route is {long} long, and {high} from its lowest to its highest point."]
    grade, sharpest = float(np.max(np.abs(track.joints.grade_before))), _sharpest(track)
    if grade > LEAST_GRADE:
        said.append(f"Its steepest grade is {100.0 * grade:.1f} %.")
    if sharpest > SCARCELY_CURVED:
        said.append(f"Its sharpest curve has a radius of {units.radius(1.0 / sharpest)}.")
    return " ".join([*said, where_worst(seen, units)])
