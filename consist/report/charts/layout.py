"""A whole layout to hang on the wall: in plan, as its lines lead from the first place, and each line in profile."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import groupby
from math import ceil, tau

import numpy as np
from numpy.typing import NDArray

from consist.report.charts.drawing import Chart, Floats, Sheet, circle_path
from consist.report.charts.names import LabelsAround
from consist.report.charts.palette import FAINT, INK, MUTED, PAPER, Shade
from consist.report.charts.plot import scale_bar
from consist.report.lettering import shortened, width_of
from consist.report.words import clean, counted, in_words
from consist.track import Closure, Layout, Line, Piece, close_up
from consist.wording import Units

__all__ = ["layout_chart", "plan_of"]

Plane = NDArray[np.complex128]
TITLE = "The layout in plan and in profile"
WIDTH, MOST_HIGH, LEAST_HIGH, SIDE = 1000.0, 700.0, 120.0, 60.0
PART_GAP_MM, LEAST_GAP_MM = 300.0, 1.0
POINTS, TURN_POINTS = 7, 120
"""Points along a straight, and around a full circle."""
POINT_APART = 5.0
TURN_APART = 3.0
"""How far each further turn of a helix is drawn inside the one before it, and how soon it comes out again."""
OUT_AGAIN = 0.25
SMALL_PLACE, SMALL_LINE = 3.0, 1.4
PROFILE_HIGH, PROFILE_ROW = 30.0, 74.0
MOST_COLUMNS = 4


def layout_chart(layout: Layout, units: Units) -> Chart:
    """The picture of a layout, of whatever its loops miss and of each of its lines in profile."""
    closure, sheet = close_up(layout), Sheet(width=WIDTH)
    y = _plan(sheet, layout, closure, units, {})
    for said in _said(closure):
        y += 12.0
        sheet.text(8.0, y, said)
    y = _profiles(sheet, layout, units, y + 14.0)
    sheet.ends_at(y)
    described = f"{counted(len(layout.lines), 'line')} and {counted(len(layout.places), 'place')} seen from above"
    return Chart("plan", TITLE, f"{described}, then each line in profile. {' '.join(_said(closure))}".strip(), sheet)


def _said(closure: Closure) -> Iterator[str]:
    if closure.open:
        many = len(closure.open)
        yield f"{counted(many, 'loop')} {'do' if many > 1 else 'does'} not close; the dashed gaps are what they miss."
    if closure.one_sided:
        names = in_words([clean(name) for name in closure.one_sided])
        yield f"The ends of {names} are not on two sides: how lines meet there cannot be drawn; all else is."
    if len(closure.parts) > 1:
        yield f"No track joins the {len(closure.parts)} parts of the layout; they are drawn side by side."


def plan_of(sheet: Sheet, layout: Layout, units: Units, marked: Mapping[str, tuple[float, str]]) -> float:
    """Draw the plan alone; gives where it ends.

    `marked` has by stretch, as "A to B" with its places in the order of their names, how wide it is drawn and what
    is written beside it.
    """
    return _plan(sheet, layout, close_up(layout), units, marked)


def _plan(
    sheet: Sheet, layout: Layout, closure: Closure, units: Units, marked: Mapping[str, tuple[float, str]]
) -> float:
    """Draw the plan; gives where it ends."""
    place_at, laid = _laid(layout, closure)
    corners = np.array([*place_at.values(), *(point for line in laid for track in line for point in track)])
    turn = 1.0 if np.ptp(corners.real) >= np.ptp(corners.imag) else 1j
    corners = corners * turn
    low, size = complex(corners.real.min(), corners.imag.min()), (np.ptp(corners.real), np.ptp(corners.imag))
    per_mm = float(min((WIDTH - 2 * SIDE) / max(size[0], 1.0), (MOST_HIGH - 2 * SIDE) / max(size[1], 1.0)))
    height = max(float(size[1]) * per_mm + 2 * SIDE, LEAST_HIGH)
    left = (WIDTH - float(size[0]) * per_mm) / 2

    def on_sheet(points: complex | Plane) -> Floats:
        moved = (np.atleast_1d(points) * turn - low) * per_mm
        return np.stack((left + moved.real, height - SIDE - moved.imag), axis=1)

    drawn = [
        [_apart(on_sheet(track), piece) for track, piece in zip(line, of.pieces, strict=True)]
        for line, of in zip(laid, layout.lines, strict=True)
    ]
    sheet.line([np.concatenate(line) for line in drawn], INK, SMALL_LINE, "track")
    wider = [
        (np.concatenate(line), *marked[between])
        for line, of in zip(drawn, layout.lines, strict=True)
        if (between := " to ".join(sorted((of.start[0], of.finish[0])))) in marked
    ]
    for track, width, _ in wider:
        sheet.line([track], INK, width, "marked")
    spots = {name: on_sheet(at)[0] for name, at in place_at.items()}
    gaps = [
        [on_sheet(line[-1][-1])[0], spots[of.finish[0]]]
        for line, of in zip(laid, layout.lines, strict=True)
        if abs(line[-1][-1] - place_at[of.finish[0]]) > LEAST_GAP_MM
    ]
    labels = LabelsAround(
        height,
        np.concatenate([_evenly(np.concatenate(line)) for line in drawn] + [_evenly(np.array(gap)) for gap in gaps]),
        WIDTH,
    )
    for x, y in spots.values():
        labels.keep_free(x, y, SMALL_PLACE + 0.5)
    sheet.line(gaps, INK, 1.0, "gap", dashes=(3.0, 3.0))
    for name, (x, y) in spots.items():
        sheet.shape(circle_path(x, y, SMALL_PLACE), Shade(PAPER), "place", edge=INK, width=1.2)
        labels.draw(sheet, clean(name), x, y)
    for track, _, words in wider:
        labels.draw(sheet, words, *track[len(track) // 2].tolist())
    for words, (x, y) in _figures(layout, drawn, units) if not marked else ():
        labels.draw(sheet, words, x, y, spare=True, ink=MUTED)
    bar, words = scale_bar(per_mm, 0.2 * WIDTH, units.far_unit)
    sheet.line(
        [[(8.0, height - 3.0), (8.0, height), (8.0 + bar, height), (8.0 + bar, height - 3.0)]], INK, 0.9, "scale"
    )
    sheet.text(13.0 + bar, height + 2.0, words, color=MUTED)
    return height + 6.0


def _laid(layout: Layout, closure: Closure) -> tuple[dict[str, complex], list[list[Plane]]]:
    """Where the places lie in plan (mm), and points along each piece of each line; parts beside each other."""
    lines = [_points(line) for line in layout.lines]
    laid = [
        [start.at + track * np.exp(1j * start.heading) for track in line]
        for start, line in zip(closure.starts, lines, strict=True)
    ]
    places: dict[str, complex] = {}
    right = 0.0
    for part in closure.parts:
        mine = [k for k, line in enumerate(layout.lines) if line.start[0] in part]
        reach = np.concatenate([np.array([pose.at for pose in part.values()]), *(t for k in mine for t in laid[k])])
        shift = right - float(reach.real.min()) if places else 0.0
        for k in mine:
            laid[k] = [track + shift for track in laid[k]]
        places |= {name: pose.at + shift for name, pose in part.items()}
        right = float(reach.real.max()) + shift + PART_GAP_MM
    return {name: places[name] for name in layout.places}, laid


def _points(line: Line) -> list[Plane]:
    """Points along each piece of a line from its start, as x + iy in mm."""
    counts = [max(POINTS, ceil(TURN_POINTS * piece.angle / tau)) for piece in line.pieces]
    ends = np.cumsum([0.0, *(piece.length_mm for piece in line.pieces)])
    at = np.concatenate([np.linspace(ends[k], ends[k + 1], count) for k, count in enumerate(counts)])
    track = line.centreline.at(at)
    return np.split(track.x + 1j * track.y, np.cumsum(counts)[:-1])


def _apart(track: Floats, piece: Piece) -> Floats:
    """A helix with each turn drawn inside the one before it, so that they are told apart; all else as it is."""
    turns = piece.angle / tau
    if turns <= 1.0 + 1e-6:
        return track
    at = np.linspace(0.0, turns, len(track))
    inside = TURN_APART * np.minimum(at, (turns - at) * (turns - OUT_AGAIN) / OUT_AGAIN)
    along = np.gradient(track, axis=0)
    aside = np.stack((along[:, 1], -along[:, 0]), axis=1) * piece.turn
    return np.asarray(track + inside[:, None] * aside / np.maximum(np.hypot(*aside.T), 1e-9)[:, None])


def _evenly(track: Floats) -> Floats:
    """Points along a line, near enough to each other that no name lies between two."""
    at = np.concatenate(([0.0], np.hypot(*np.diff(track, axis=0).T).cumsum()))
    even = np.arange(0.0, at[-1], POINT_APART)
    return np.stack([np.interp(even, at, track[:, k]) for k in (0, 1)], axis=1)


def _figures(layout: Layout, drawn: list[list[Floats]], units: Units) -> Iterator[tuple[str, Floats]]:
    """Each line's number, then grades and radii, each with the point of the sheet that it is of."""
    for number, line in enumerate(drawn, start=1):
        track = np.concatenate(line)
        yield f"line {number}", track[len(track) // 2]
    for of, line in zip(layout.lines, drawn, strict=True):
        for piece, track in zip(of.pieces, line, strict=True):
            if piece.radius_mm is not None:
                turns = f", {piece.angle / tau:.3g} turns" if piece.angle > tau * (1.0 + 1e-6) else ""
                yield f"radius {units.radius(piece.radius_mm)}{turns}", track[len(track) // 2]
        for grade, run in groupby(zip(of.pieces, line, strict=True), key=lambda each: each[0].grade):
            tracks = np.concatenate([track for _, track in run])
            if grade:
                yield _grade(grade), tracks[len(tracks) // 3]


def _grade(grade: float) -> str:
    return f"{100.0 * abs(grade):.2g} %"


def _profiles(sheet: Sheet, layout: Layout, units: Units, top: float) -> float:
    """Draw each line in profile, all to the same height; gives where they end."""
    columns = min(MOST_COLUMNS, len(layout.lines))
    step = (WIDTH - 16.0) / columns
    heights = [np.cumsum([0.0, *(p.grade * p.length_mm for p in line.pieces)]) for line in layout.lines]
    per_mm = PROFILE_HIGH / max(*(float(np.ptp(each)) for each in heights), 1.0)
    for k, (line, height) in enumerate(zip(layout.lines, heights, strict=True)):
        left, head = 8.0 + step * (k % columns), top + PROFILE_ROW * (k // columns)
        wide = step - 20.0
        named = f"{k + 1} {', '.join(line.start)} to {', '.join(line.finish)}"
        sheet.text(left, head + 9.0, shortened(clean(named), wide))
        way = "up" if line.rise_mm > 0.0 else "down"
        rise = f"{way} {units.length(abs(line.rise_mm))}" if abs(line.rise_mm) >= 1.0 else "level"
        sheet.text(left, head + 20.0, f"{units.distance(line.length_mm)}, {rise}", color=MUTED)
        foot = head + 30.0 + PROFILE_HIGH
        ends = np.cumsum([0.0, *(piece.length_mm for piece in line.pieces)])
        x = left + wide * ends / max(float(ends[-1]), 1e-9)
        y = foot - (height - height.min()) * per_mm
        sheet.line([[(left, foot), (left + wide, foot)]], FAINT, 0.5)
        sheet.line([np.stack((x, y), axis=1)], INK, SMALL_LINE, "profile")
        _grades_along(sheet, line, x, y)
    return top + PROFILE_ROW * ceil(len(layout.lines) / columns) + 4.0


def _grades_along(sheet: Sheet, line: Line, x: Floats, y: Floats) -> None:
    """The grade of each run of pieces of one grade, where there is room for it."""
    at = 0
    for grade, run in groupby(line.pieces, key=lambda piece: piece.grade):
        to = at + len([*run])
        if grade and x[to] - x[at] > width_of(_grade(grade)) + 2.0:
            sheet.text(
                0.5 * (x[at] + x[to]), 0.5 * (y[at] + y[to]) - 5.0, _grade(grade), anchor="center", color=MUTED
            )
        at = to
