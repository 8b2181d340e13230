"""The route in plan, drawn from its curves, as seen from above."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from consist.evening.overview import TrainOverview
from consist.report.charts.drawing import WIDTH, Chart, Floats, Sheet, circle_path
from consist.report.charts.key import Whereabouts, draw_key, places_of, where_worst
from consist.report.charts.names import LabelsAround
from consist.report.charts.palette import INK, MUTED, PAPER, Shade
from consist.report.charts.plot import scale_bar
from consist.report.words import clean, in_words
from consist.session import Session
from consist.track import Centreline
from consist.wording import Units

__all__ = ["plan_chart"]

TITLE = "The route in plan"
SIDE, ABOVE = 26.0, 24.0
LEAST_HIGH, MOST_HIGH = 40.0, 300.0
SAMPLES = 721
TURNS_TRIED = 36
TRACK_POINTS = 101
ARROWS = (0.12, 0.37, 0.63, 0.88)
"""Where along the route an arrow shows the way, as shares of it."""
SAME_PLACE = 4.0
"""Calls at a place nearer to each other than this are marked once."""
SCALE_SHARE = 0.3


class _Map:
    """The route turned so that it lies wide, and brought to the sheet at one scale both ways."""

    def __init__(self, track: Centreline) -> None:
        self._track, self._turn = track, 0.0
        at = np.linspace(0.0, track.length_mm, SAMPLES)
        self._turn = _flattest(self._turned(at))
        (first, *_), (last, *_) = self._turned(at[[0, -1]])
        if first > last:
            self._turn += np.pi
        points = self._turned(at)
        size = np.ptp(points, axis=0)
        self.per_mm = float(np.min((WIDTH - 2 * SIDE, MOST_HIGH - 2 * ABOVE) / np.maximum(size, 1.0)))
        self.height = max(float(size[1]) * self.per_mm + 2 * ABOVE, LEAST_HIGH + ABOVE)
        self._shift = np.array([WIDTH / 2, self.height / 2]) - self.per_mm * (points.min(axis=0) + size / 2)

    def __call__(self, at_mm: ArrayLike) -> Floats:
        """Points of the sheet, of shape (points, 2), at distances along the route."""
        return np.asarray(self._turned(np.atleast_1d(at_mm)) * self.per_mm + self._shift)

    def _turned(self, at: Floats) -> Floats:
        points, cos, sin = self._track.at(at), np.cos(self._turn), np.sin(self._turn)
        # y goes down the sheet, so that a curve to the left still bends to the left of the train
        return np.stack((points.x * cos - points.y * sin, -points.x * sin - points.y * cos), axis=-1)


def plan_chart(seen: TrainOverview, session: Session, units: Units) -> Chart:
    """The picture; the train stands where it does at its worst moment."""
    route, where, sheet = seen.train.route, Whereabouts.of(seen, units), Sheet()
    on_sheet = _Map(route.centreline)
    track = on_sheet(np.linspace(0.0, route.length_mm, SAMPLES))
    sheet.line([track[::2]], INK, 1.5, "track")
    if where.stretch is not None:
        sheet.line([on_sheet(np.linspace(*where.stretch, 60))], INK, 4.2, "train")
        _arrow(sheet, on_sheet, where.stretch[1], 6.0, "head")
    heads = [_arrow(sheet, on_sheet, share * route.length_mm, 4.0, "way") for share in ARROWS]
    labels = LabelsAround(on_sheet.height, np.concatenate((track, heads)))
    if where.car_mm is not None:
        ((x, y),) = on_sheet(where.car_mm).tolist()
        sheet.ring(x, y)
        labels.keep_free(x, y, 9.5)
    _places(sheet, on_sheet, labels, places_of(seen.train))
    y, (size, words) = on_sheet.height + 6.0, scale_bar(on_sheet.per_mm, SCALE_SHARE * WIDTH, units.far_unit)
    sheet.line([[(8.0, y - 3.0), (8.0, y), (8.0 + size, y), (8.0 + size, y - 3.0)]], INK, 0.9, "scale")
    sheet.text(13.0 + size, y + 2.0, words, color=MUTED)
    sheet.ends_at(draw_key(sheet, where.key, 8.0, on_sheet.height + 14.0) + 2.0)
    even = on_sheet(np.linspace(0.0, route.length_mm, TRACK_POINTS)).round(2).tolist()
    stops = in_words([clean(stop) for stop in route.called])
    said = f"The route of {units.distance(route.length_mm)} by {stops}, seen from above. {where_worst(seen, units)}"
    return Chart("plan", TITLE, said, sheet, track=tuple((x, y) for x, y in even))


def _flattest(points: Floats) -> float:
    """The turn that makes the route's box the flattest."""
    turns = np.arange(TURNS_TRIED) * np.pi / TURNS_TRIED
    cos, sin = np.cos(turns)[:, None], np.sin(turns)[:, None]
    x, y = points[:, 0], -points[:, 1]
    high = np.ptp(x * sin + y * cos, axis=1)
    return float(turns[np.argmin(high.round(3))])


def _arrow(sheet: Sheet, on_sheet: _Map, at_mm: float, size: float, label: str) -> Floats:
    here, on = on_sheet((at_mm, at_mm + 1.0))
    ahead = size * (on - here) / max(float(np.hypot(*(on - here))), 1e-9)
    aside = np.array([-ahead[1], ahead[0]])
    tail = here - 0.7 * ahead
    sheet.shape([[here + ahead, tail + 0.8 * aside, tail - 0.8 * aside]], Shade(INK), label)
    return np.asarray(here)


def _places(sheet: Sheet, on_sheet: _Map, labels: LabelsAround, places: list[tuple[str, float]]) -> None:
    marked: list[tuple[str, Floats]] = []
    for name, at_mm in places:
        (point,) = on_sheet(at_mm)
        if not any(name == other and np.hypot(*(point - there)) < SAME_PLACE for other, there in marked):
            marked.append((name, point))
            labels.keep_free(point[0], point[1], 3.5)
    for name, (x, y) in marked:
        sheet.shape(circle_path(x, y, 3.0), Shade(PAPER), "place", edge=INK, width=1.2)
        labels.draw(sheet, name, x, y)
