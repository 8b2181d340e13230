"""A layout's page: its lines in figures and in profile, its places, what cannot be reached, and rough joints."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from rich.text import Text

from consist.mechanics import curve_share_per_curvature
from consist.report.columns import Column, lay_out
from consist.report.grades import grade
from consist.report.headings import banner, heading
from consist.report.joint_list import joint_list
from consist.report.profile import Sharpness, draw
from consist.report.session_page import CLOSING
from consist.report.units import Units
from consist.report.words import NONE, clean, counted, listing, paragraph
from consist.scales import MM_PER_INCH
from consist.track import Layout, Place, out_of_reach, rough_joints, separate_parts, survey_line

__all__ = ["layout_text"]

LINE_ROWS = 4


def layout_text(layout: Layout, notes: Sequence[str], units: Units, width: int) -> list[Text]:
    """The page as lines of `width` columns at most."""
    lines = [banner(clean(layout.name), None, width), *paragraph(_head(layout, units), width, indent=0)]
    lines += [*heading("Lines"), *_lines_table(layout, units, width)]
    sharpness = Sharpness.of(layout.scale)
    legend = f"Heights are over the start of the line. {sharpness.legend(units)}"
    lines += [*heading("Lines in profile"), *paragraph(legend, width, indent=0)]
    for number, line in enumerate(layout.lines, start=1):
        ends = f"{clean(', '.join(line.start))} to {clean(', '.join(line.finish))}"
        places = ((line.start[0], 0.0), (line.finish[0], line.length_mm))
        lines += [Text(), *paragraph(ends, width, label=str(number), style="bold")]
        lines += draw(line.centreline, places, units, sharpness, width, LINE_ROWS)
    lines += heading("Places")
    for place in layout.places.values():
        lines += paragraph(_place(layout, place, units), width, label=f"{clean(place.name)}:", style="bold")
    lines += [*heading("Out of reach"), *_reach(layout, width)]
    lines += [*heading("Joints without easement"), *joint_list(rough_joints(layout), units, width)]
    if notes:
        lines += heading("Notes")
        for note in notes:
            lines += paragraph(clean(note), width, label="-")
    return [*lines, Text(), *paragraph(CLOSING, width, indent=0)]


def _head(layout: Layout, units: Units) -> str:
    scale = layout.scale
    gauge = f"{scale.gauge_mm / MM_PER_INCH:.3f} in" if units.inches else f"{scale.gauge_mm:g} mm"
    unit = "inches" if layout.unit == "in" else "millimetres"
    total = units.distance(sum(line.length_mm for line in layout.lines))
    return (
        f"{clean(scale.name)} scale, 1:{scale.ratio:g}, gauge {gauge}; the file is in {unit}. "
        f"{counted(len(layout.lines), 'line')}, {total} in all; {counted(len(layout.places), 'place')}."
    )


def _lines_table(layout: Layout, units: Units, width: int) -> list[Text]:
    columns = (
        Column("", right=True),
        Column("from", least=9),
        Column("to", least=9),
        Column("length", right=True),
        Column(f"rise {units.length_unit}", right=True),
        Column("up %", right=True),
        Column("+curve", right=True),
        Column("back %", right=True),
        Column("+curve", right=True),
        Column("radius", right=True),
    )
    share = curve_share_per_curvature(layout.scale.ratio)
    rows = []
    for number, line in enumerate(layout.lines, start=1):
        found = survey_line(line, share)
        radius = found.sharpest_radius_mm
        rows.append(
            [
                str(number),
                clean(line.start[0]),
                clean(line.finish[0]),
                units.distance(line.length_mm),
                units.length_figure(line.rise_mm),
                grade(found.ruling),
                grade(found.ruling_with_curves),
                grade(found.ruling_back),
                grade(found.ruling_back_with_curves),
                NONE if radius is None else units.radius(radius),
            ]
        )
    legend = (
        "Up is the ruling grade going from the first place to the second, back the other way; +curve is the steepest "
        "with the curve's own resistance as so much more grade. Radius is the sharpest."
    )
    return [*lay_out(columns, rows, width), *paragraph(legend, width, indent=0)]


def _place(layout: Layout, place: Place, units: Units) -> str:
    ends = [clean(end) for end in layout.ends(place.name)]
    if len(ends) < 2:
        said = [f"end of the line ({ends[0]})" if ends else "no line comes here"]
    else:
        pairs = itertools.combinations(layout.ends(place.name), 2)
        moves = [f"{clean(one)} and {clean(other)}" for one, other in pairs if place.allows(one, other)]
        said = [f"ends {listing(ends)}", f"through between {'; '.join(moves)}" if moves else "no way through"]
    if place.standing_mm is not None:
        said.append(f"a train of {units.distance(place.standing_mm)} stands clear")
    return ", ".join(said) + "."


def _reach(layout: Layout, width: int) -> list[Text]:
    """Places that cannot be reached, those with the same ones out of reach told together."""
    parts = separate_parts(layout)
    lines: list[Text] = []
    if len(parts) > 1:
        told = "; ".join(listing([clean(place) for place in part]) for part in parts)
        lines += paragraph(f"The layout is in {len(parts)} parts that no track joins: {told}.", width)
    part_of = {place: number for number, part in enumerate(parts) for place in part}
    from_places: dict[tuple[str, ...], list[str]] = {}
    for place, others in out_of_reach(layout).items():
        joined = tuple(other for other in others if part_of[other] == part_of[place])
        if joined:
            from_places.setdefault(joined, []).append(place)
    for others, starts in from_places.items():
        here, there = (_either([clean(place) for place in places]) for places in (starts, others))
        lines += paragraph(f"From {here} no train can reach {there} without reversing.", width)
    return lines or [Text("Every place can be reached from every other without reversing.")]


def _either(names: Sequence[str]) -> str:
    return listing(names).replace(" and ", " or ") if len(names) < 2 else f"{', '.join(names[:-1])} or {names[-1]}"
