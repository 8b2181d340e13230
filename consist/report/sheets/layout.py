"""A layout's sheet: its lines in figures and in profile, its places, what cannot be reached, and rough joints."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import Any

from consist.mechanics import curve_share_per_curvature
from consist.report.document import Block, Item, Para, Picture, Sheet, Table
from consist.report.sheets.cells import figures, table, words
from consist.report.sheets.parts import items, legend, notes, section, sheet
from consist.report.words import counted, in_words
from consist.scales import MM_PER_INCH
from consist.track import (
    SMOOTH,
    Layout,
    LineSurvey,
    Place,
    close_up,
    loop_words,
    out_of_reach,
    rough_joints,
    separate_parts,
    survey_line,
)
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


def layout_sheet(layout: Layout, units: Units) -> Sheet:
    """The sheet; the picture of each line is named by its number from 1."""
    drawn = (
        Picture("line", str(number), f"{number} {', '.join(line.start)} to {', '.join(line.finish)}")
        for number, line in enumerate(layout.lines, start=1)
    )
    places = (Item(_place(layout, place, units), label=place.name) for place in layout.places.values())
    return sheet(
        "layout",
        layout.name,
        section("", Para(_head(layout, units))),
        section("Lines", _lines(layout, units), legend(LINES)),
        section("Lines in profile", *drawn),
        section("Places", items(places)),
        section("Out of reach", *map(Para, _reach(layout))),
        section("Loops", *_loops(layout, units)),
        section("Hardly meant", items(Item(one.say, level=one.level) for one in layout.findings)),
        section("Joints without easement", *_joints(layout, units)),
        notes(layout.notes),
    )


def _head(layout: Layout, units: Units) -> str:
    scale = layout.scale
    gauge = f"{scale.gauge_mm / MM_PER_INCH:.3f} in" if units.inches else f"{scale.gauge_mm:g} mm"
    unit = "inches" if layout.unit == "in" else "millimetres"
    total = units.distance(sum(line.length_mm for line in layout.lines))
    return (
        f"{scale.name} scale, 1:{scale.ratio:g}, gauge {gauge}; the file is in {unit}. "
        f"{counted(len(layout.lines), 'line')}, {total} in all; {counted(len(layout.places), 'place')}."
    )


def _surveys(layout: Layout) -> list[LineSurvey]:
    share = curve_share_per_curvature(layout.scale.ratio)
    return [survey_line(line, share) for line in layout.lines]


def _lines(layout: Layout, units: Units) -> Table:
    return table(
        "Lines, their grades and their sharpest curves",
        enumerate(_surveys(layout), start=1),
        figures("line", lambda one: one[0], narrow=""),
        words("from", lambda one: one[1].line.start[0]),
        words("to", lambda one: one[1].line.finish[0]),
        figures("length", lambda one: one[1].line.length_mm, units.distance),
        figures(f"rise {units.length_unit}", lambda one: one[1].line.rise_mm, units.length_figure),
        figures("up %", lambda one: 100.0 * one[1].ruling, _grade),
        figures("+curve", lambda one: 100.0 * one[1].ruling_with_curves, _grade),
        figures("back %", lambda one: 100.0 * one[1].ruling_back, _grade),
        figures("+curve", lambda one: 100.0 * one[1].ruling_back_with_curves, _grade),
        figures("radius", lambda one: one[1].sharpest_radius_mm, units.radius),
    )


def _grade(percent: float) -> str:
    """A climb in per cent; a dash where there is none to speak of.

    >>> _grade(2.3), _grade(0.01)
    ('2.3', '–')
    """
    told = f"{percent:.1f}"
    return told if float(told) > 0.0 else NONE


def _through(layout: Layout, place: Place) -> list[tuple[str, str]]:
    return [pair for pair in combinations(layout.ends(place.name), 2) if place.allows(*pair)]


def _place(layout: Layout, place: Place, units: Units) -> str:
    ends = layout.ends(place.name)
    if len(ends) < 2:
        said = [f"end of the line ({ends[0]})" if ends else "no line comes here"]
    else:
        moves = [" and ".join(pair) for pair in _through(layout, place)]
        said = [f"ends {in_words(ends)}", f"through between {'; '.join(moves)}" if moves else "no way through"]
    if place.standing_mm is not None:
        said.append(f"a train of {units.distance(place.standing_mm)} stands clear")
    return f"{', '.join(said)}."


def _reach(layout: Layout) -> list[str]:
    """Places that cannot be reached, those with the same ones out of reach told together."""
    parts, told = separate_parts(layout), []
    if len(parts) > 1:
        names = "; ".join(map(in_words, parts))
        told.append(f"The layout is in {len(parts)} parts that no track joins: {names}.")
    part_of = {place: number for number, part in enumerate(parts) for place in part}
    from_places: dict[tuple[str, ...], list[str]] = {}
    for place, others in out_of_reach(layout).items():
        joined = tuple(other for other in others if part_of[other] == part_of[place])
        if joined:
            from_places.setdefault(joined, []).append(place)
    for others, starts in from_places.items():
        told.append(f"From {in_words(starts, 'or')} no train can reach {in_words(others, 'or')} without reversing.")
    return told or ["Every place can be reached from every other without reversing."]


def _loops(layout: Layout, units: Units) -> Iterator[Block | None]:
    """The loops that do not close, a sentence each; nothing of a layout without loops."""
    closure = close_up(layout)
    yield items(Item(loop_words(loop, units), level="care") for loop in closure.open)
    if closure.loops and not closure.open:
        yield Para(f"{counted(len(closure.loops), 'loop')}, all closed in plan, in heading and in height.")
    if closure.loops and closure.one_sided:
        names = in_words(closure.one_sided)
        yield Para(f"The ends of {names} are not on two sides, so that only heights are closed there; say `through`.")


def _joints(layout: Layout, units: Units) -> tuple[Block, ...]:
    joints = rough_joints(layout)
    if not joints:
        return (Para("None: every curve comes on through an easement."),)

    def curve(curvature: float) -> str:
        side = "left" if curvature > 0.0 else "right"
        return "straight" if abs(curvature) < SMOOTH else f"{units.radius(1.0 / abs(curvature))} {side}"

    there = table(
        "Joints at which a curve changes all at once",
        joints,
        figures("line", lambda joint: joint.line, none=""),
        words("where", lambda joint: joint.where, wide=True),
        figures("piece", lambda joint: joint.piece),
        figures("at", lambda joint: None if joint.piece is None else joint.distance_mm, units.distance),
        words("from", lambda joint: curve(joint.before)),
        words("to", lambda joint: curve(joint.after)),
        figures("jump", lambda joint: 1.0 / joint.jump, units.radius),
    )
    return there, Para(WHAT_EASEMENTS_DO)


def layout_figures(layout: Layout) -> dict[str, Any]:
    """What `consist layout --json` tells, by key."""
    places = [
        {**vars(place), "ends": layout.ends(place.name), "through": _through(layout, place)}
        for place in layout.places.values()
    ]
    return {
        **vars(layout),
        "lines": _surveys(layout),
        "places": places,
        "out_of_reach": out_of_reach(layout),
        "joints": rough_joints(layout),
        "loops": close_up(layout).loops,
        "findings": layout.findings,
    }
