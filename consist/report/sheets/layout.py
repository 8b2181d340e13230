"""A layout's sheet: its lines in figures and in profile, its places, what cannot be reached, and rough joints."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from math import isfinite
from typing import Any

from consist.mechanics import curve_share_per_curvature
from consist.report.document import Block, Cell, Column, Item, Items, Para, Picture, Section, Sheet, Table
from consist.report.sheets.cells import count, figure, length, name, table
from consist.report.sheets.session import notes_section
from consist.report.words import counted, listing
from consist.scales import MM_PER_INCH
from consist.track import SMOOTH, Layout, Place, RoughJoint, out_of_reach, rough_joints, separate_parts, survey_line
from consist.wording import NONE, Units

__all__ = ["layout_figures", "layout_sheet"]

LINES = (
    "Up is the ruling grade going from the first place to the second, back the other way; +curve is the steepest "
    "with the curve's own resistance as so much more grade. Radius is the sharpest."
)
WHAT_EASEMENTS_DO = (
    "At these joints the curve begins, ends or changes all at once, so that couplers swing over within a car's "
    "length and two cars stand at their worst angle. An easement brings the curve on little by little; give the "
    "curve an easement, or a straight of a car's length between two curves that turn against each other. Jump is the "
    "radius that would make the same jump from straight track: the smaller, the rougher."
)


def layout_sheet(layout: Layout, notes: Sequence[str], units: Units) -> Sheet:
    """The sheet; the picture of each line is named by its number from 1."""
    drawn: list[Block] = []
    for number, line in enumerate(layout.lines, start=1):
        ends = f"{number} {', '.join(line.start)} to {', '.join(line.finish)}"
        drawn.append(Picture("line", str(number), ends))
    places = tuple(Item(_place(layout, place, units), label=place.name) for place in layout.places.values())
    sections = (
        Section("", (Para(_head(layout, units)),)),
        Section("Lines", (_lines(layout, units), Para(LINES, legend=True))),
        Section("Lines in profile", tuple(drawn)),
        Section("Places", (Items(places),)),
        Section("Out of reach", tuple(map(Para, _reach(layout)))),
        Section("Joints without easement", _joints(rough_joints(layout), units)),
        *notes_section(tuple(notes)),
    )
    return Sheet("layout", "layout", layout.name, sections)


def _head(layout: Layout, units: Units) -> str:
    scale = layout.scale
    gauge = f"{scale.gauge_mm / MM_PER_INCH:.3f} in" if units.inches else f"{scale.gauge_mm:g} mm"
    unit = "inches" if layout.unit == "in" else "millimetres"
    total = units.distance(sum(line.length_mm for line in layout.lines))
    return (
        f"{scale.name} scale, 1:{scale.ratio:g}, gauge {gauge}; the file is in {unit}. "
        f"{counted(len(layout.lines), 'line')}, {total} in all; {counted(len(layout.places), 'place')}."
    )


def _lines(layout: Layout, units: Units) -> Table:
    share = curve_share_per_curvature(layout.scale.ratio)
    found = enumerate((survey_line(line, share) for line in layout.lines), start=1)

    def radius(mm: float | None) -> Cell:
        return Cell(NONE) if mm is None else figure(units.radius(mm), mm)

    return table(
        "Lines, their grades and their sharpest curves",
        found,
        (Column("line", figures=True, narrow=""), lambda one: count(one[0])),
        (Column("from"), lambda one: name(one[1].line.start[0])),
        (Column("to"), lambda one: name(one[1].line.finish[0])),
        (Column("length", figures=True), lambda one: length(one[1].line.length_mm, units)),
        (
            Column(f"rise {units.length_unit}", figures=True),
            lambda one: figure(units.length_figure(one[1].line.rise_mm), one[1].line.rise_mm),
        ),
        (Column("up %", figures=True), lambda one: _grade_cell(one[1].ruling)),
        (Column("+curve", figures=True), lambda one: _grade_cell(one[1].ruling_with_curves)),
        (Column("back %", figures=True), lambda one: _grade_cell(one[1].ruling_back)),
        (Column("+curve", figures=True), lambda one: _grade_cell(one[1].ruling_back_with_curves)),
        (Column("radius", figures=True), lambda one: radius(one[1].sharpest_radius_mm)),
    )


def _grade_cell(share: float) -> Cell:
    return figure(_grade(share), 100.0 * share)


def _grade(share: float) -> str:
    """A climb in per cent; a dash where there is none to speak of.

    >>> _grade(0.023), _grade(0.0001)
    ('2.3', '–')
    """
    told = f"{100.0 * share:.1f}"
    return told if float(told) > 0.0 else NONE


def _place(layout: Layout, place: Place, units: Units) -> str:
    ends = layout.ends(place.name)
    if len(ends) < 2:
        said = [f"end of the line ({ends[0]})" if ends else "no line comes here"]
    else:
        moves = [f"{one} and {other}" for one, other in itertools.combinations(ends, 2) if place.allows(one, other)]
        said = [f"ends {listing(ends)}", f"through between {'; '.join(moves)}" if moves else "no way through"]
    if place.standing_mm is not None:
        said.append(f"a train of {units.distance(place.standing_mm)} stands clear")
    return f"{', '.join(said)}."


def _reach(layout: Layout) -> list[str]:
    """Places that cannot be reached, those with the same ones out of reach told together."""
    parts, told = separate_parts(layout), []
    if len(parts) > 1:
        names = "; ".join(listing(part) for part in parts)
        told.append(f"The layout is in {len(parts)} parts that no track joins: {names}.")
    part_of = {place: number for number, part in enumerate(parts) for place in part}
    from_places: dict[tuple[str, ...], list[str]] = {}
    for place, others in out_of_reach(layout).items():
        joined = tuple(other for other in others if part_of[other] == part_of[place])
        if joined:
            from_places.setdefault(joined, []).append(place)
    for others, starts in from_places.items():
        told.append(f"From {listing(starts, 'or')} no train can reach {listing(others, 'or')} without reversing.")
    return told or ["Every place can be reached from every other without reversing."]


def _joints(joints: Sequence[RoughJoint], units: Units) -> tuple[Block, ...]:
    if not joints:
        return (Para("None: every curve comes on through an easement."),)

    def curve(curvature: float) -> Cell:
        side = "left" if curvature > 0.0 else "right"
        return Cell("straight" if abs(curvature) < SMOOTH else f"{units.radius(1.0 / abs(curvature))} {side}")

    there = table(
        "Joints at which a curve changes all at once",
        joints,
        (Column("line", figures=True), lambda joint: count(joint.line)),
        (Column("where", wide=True), lambda joint: name(joint.where)),
        (Column("piece", figures=True), lambda joint: Cell(NONE) if joint.piece is None else count(joint.piece)),
        (
            Column("at", figures=True),
            lambda joint: Cell(NONE) if joint.piece is None else length(joint.distance_mm, units),
        ),
        (Column("from"), lambda joint: curve(joint.before)),
        (Column("to"), lambda joint: curve(joint.after)),
        (Column("jump", figures=True), lambda joint: figure(units.radius(1.0 / joint.jump), 1.0 / joint.jump)),
    )
    return there, Para(WHAT_EASEMENTS_DO)


def layout_figures(layout: Layout, notes: Sequence[str]) -> dict[str, Any]:
    """What `consist layout --json` tells; lengths in mm, grades in per cent."""
    share = curve_share_per_curvature(layout.scale.ratio)
    return {
        "layout": layout.name,
        "scale": layout.scale,
        "unit": layout.unit,
        "lines": [
            {
                "from": found.line.start,
                "to": found.line.finish,
                "length_mm": found.line.length_mm,
                "rise_mm": found.line.rise_mm,
                "ruling_percent": 100.0 * found.ruling,
                "ruling_back_percent": 100.0 * found.ruling_back,
                "ruling_with_curves_percent": 100.0 * found.ruling_with_curves,
                "ruling_back_with_curves_percent": 100.0 * found.ruling_back_with_curves,
                "sharpest_radius_mm": found.sharpest_radius_mm,
            }
            for found in (survey_line(line, share) for line in layout.lines)
        ],
        "places": [
            {
                "place": place.name,
                "ends": ends,
                "through": [pair for pair in itertools.combinations(ends, 2) if place.allows(*pair)],
                "standing_mm": place.standing_mm,
            }
            for place in layout.places.values()
            for ends in (layout.ends(place.name),)
        ],
        "out_of_reach": {place: list(others) for place, others in out_of_reach(layout).items()},
        "joints": [
            {
                "where": joint.where,
                "line": joint.line,
                "piece": joint.piece,
                "distance_mm": joint.distance_mm,
                "radius_before_mm": _radius(joint.before),
                "radius_after_mm": _radius(joint.after),
                "jump_per_mm": joint.jump,
            }
            for joint in rough_joints(layout)
        ],
        "notes": list(notes),
    }


def _radius(curvature: float) -> float | None:
    """The radius of a curvature, left positive; None for straight track."""
    radius = 1.0 / curvature if curvature else None
    return radius if radius is not None and isfinite(radius) else None
