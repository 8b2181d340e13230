"""The route in profile: its height and, below, its curves to the left and right."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np

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
    track, route_mm = seen.train.route.centreline, seen.train.route.length_mm
    across = Plot(LEFT, 0.0, RIGHT, 1.0, 0.0, max(route_mm, 1.0))
    names = NamesAlong([(name, float(across.x(at))) for name, at in places_of(seen.train)], LEFT, WIDTH - 2.0)
    where = Whereabouts.of(seen, units)
    heights, curves = _plots(track, names.height + 1.0, across.x_high)

    sheet = Sheet()
    heights.y_axis(sheet, length_unit(units), 4)
    sheet.text(6.0, heights.top - 4.0, f"height, {units.length_unit}", color=MUTED)
    _ground(sheet, heights, track)
    _curves(sheet, curves, track, units)
    names.draw(sheet, heights.top, curves.bottom, MUTED)
    _grades(sheet, heights, track)
    _train(sheet, heights, track, where)
    curves.x_axis(sheet, units, f"distance from {clean(seen.train.route.stops[0])}, {units.far_unit[0]}")
    sheet.ends_at(draw_key(sheet, where.key, 8.0, curves.bottom + AXIS_ROOM))
    told = tuple(past_words(seen.train, at, units) for at in np.linspace(0.0, route_mm, TOLD_PLACES).tolist())
    along = replace(heights.along(route_mm), bottom=curves.bottom, head_mm=where.head_mm, words=told)
    return Chart("profile", TITLE, _describe(seen, units), sheet, along)


def _plots(track: Centreline, top: float, route_mm: float) -> tuple[Plot, Plot]:
    z = track.at(_points(track)).z
    low, high = float(z.min()), float(z.max())
    spare = max(LEVEL_MM - (high - low), 0.0) / 2
    low, high = low - spare, high + spare
    room = ROOM_SHARE * (high - low)
    sharpest = max(_sharpest(track), SCARCELY_CURVED) * 1.12
    heights = Plot(LEFT, top, RIGHT, top + HEIGHTS, 0.0, route_mm, low - room, high + 2.0 * room)
    curves_top = heights.bottom + BETWEEN
    return heights, Plot(LEFT, curves_top, RIGHT, curves_top + CURVES, 0.0, route_mm, -sharpest, sharpest)


def _points(track: Centreline) -> Floats:
    """Every distance at which the grade may change, both ends included."""
    return np.unique(np.concatenate(([0.0], track.joints.distance_mm, [track.length_mm])))


def _sharpest(track: Centreline) -> float:
    joints = track.joints
    return float(np.max(np.abs(np.concatenate((joints.curvature_before, joints.curvature_after)))))


def _ground(sheet: Sheet, plot: Plot, track: Centreline) -> None:
    at = _points(track)
    line = plot.points(at, track.at(at).z)
    floor = [(plot.right, plot.bottom), (plot.left, plot.bottom)]
    sheet.shape([np.concatenate((line, floor))], Shade(GROUND), "ground")
    sheet.line([line], INK, 1.0, "height")


def _curves(sheet: Sheet, plot: Plot, track: Centreline, units: Units) -> None:
    joints = track.joints
    at = np.repeat(joints.distance_mm, 2)[1:-1]
    curvature = np.stack((joints.curvature_before, joints.curvature_after), axis=1).ravel()[1:-1]
    sheet.text(6.0, plot.top - 5.0, "curve radius", color=MUTED)
    sharpest = _sharpest(track)
    if sharpest > SCARCELY_CURVED:
        for side in (1.0, -1.0):
            y = float(plot.y(side * sharpest))
            sheet.line([[(plot.left, y), (plot.right, y)]], FAINT, 0.5)
            sheet.text(plot.left - 4.0, y + BASELINE, units.radius(1.0 / sharpest), anchor="right", color=MUTED)
        for bent, label in ((np.maximum(curvature, 0.0), "left"), (np.minimum(curvature, 0.0), "right")):
            outline = np.concatenate((plot.points(at, bent), plot.points(at[[-1, 0]], (0.0, 0.0))))
            sheet.shape([outline], CURVE, label)
    else:
        sheet.text(0.5 * (plot.left + plot.right), plot.top + 14.0, "no curve", anchor="center", color=MUTED)
    middle = float(plot.y(0.0))
    sheet.line([[(plot.left, middle), (plot.right, middle)]], INK, 0.6)
    quarter = 0.25 * (plot.bottom - plot.top)
    for label, y in (("left", middle - quarter + 4.0), ("right", middle + quarter - 2.5)):
        sheet.text(plot.left - 4.0, y + BASELINE, label, anchor="right", bold=True)


def _grades(sheet: Sheet, plot: Plot, track: Centreline) -> None:
    """The grade over each stretch of even grade that is long enough for its figure."""
    if np.ptp(track.at(_points(track)).z) < FLAT_MM:
        sheet.text(0.5 * (plot.left + plot.right), float(plot.y(0.0)) - 5.0, "level", anchor="center", color=MUTED)
        return
    joints = track.joints
    changes = [0.0, *joints.distance_mm[np.abs(joints.grade_before - joints.grade_after) > 1e-9], track.length_mm]
    for start, end in itertools.pairwise(np.unique(changes)):
        grade = float(track.at(0.5 * (start + end)).grade)
        words = f"{abs(100.0 * grade):.1f} %"
        size = width_of(words)
        left, right = plot.x((start, end))
        if abs(grade) < LEAST_GRADE or right - left < size + GRADE_ROOM:
            continue
        middle = 0.5 * (start + end)
        half = 0.5 * size * (end - start) / (right - left)
        top = float(plot.y(track.at((middle - half, middle + half)).z).min())
        sheet.text(0.5 * float(left + right), top - 4.0, words, anchor="center", color=MUTED)


def _train(sheet: Sheet, plot: Plot, track: Centreline, where: Whereabouts) -> None:
    if where.stretch is not None:
        rear, head = where.stretch
        at = np.unique(np.clip(np.concatenate((_points(track), (rear, head))), rear, head))
        sheet.line([plot.points(at, track.at(at).z)], INK, 3.6, "train")
    if where.head_mm is not None:
        x, y = plot.points(where.head_mm, track.at(where.head_mm).z)
        ringed = where.car_mm is not None and abs(float(x - plot.x(where.car_mm))) < RING_REACH
        sheet.shape(pointer_path(float(x), float(y) - (RING_REACH if ringed else 4.0)), Shade(INK), "head")
    if where.car_mm is not None:
        x, y = plot.points(where.car_mm, track.at(where.car_mm).z)
        sheet.ring(float(x), float(y), label="worst")


def _describe(seen: TrainOverview, units: Units) -> str:
    track = seen.train.route.centreline
    at = _points(track)
    z = track.at(at).z
    long, high = units.distance(seen.train.route.length_mm), units.length(float(np.ptp(z)))
    said = [f"The route is {long} long, and {high} from its lowest to its highest point."]
    grade, sharpest = float(np.max(np.abs(track.joints.grade_before))), _sharpest(track)
    if grade > LEAST_GRADE:
        said.append(f"Its steepest grade is {100.0 * grade:.1f} %.")
    if sharpest > SCARCELY_CURVED:
        said.append(f"Its sharpest curve has a radius of {units.radius(1.0 / sharpest)}.")
    return " ".join([*said, where_worst(seen, units)])
