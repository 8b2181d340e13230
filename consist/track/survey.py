"""A survey of a layout's lines: how steep, how sharp, and where a curve begins all at once.

Grades are rise over run, curvature in 1/mm with left positive, lengths in mm.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

from consist.track.layout import Layout, Line

__all__ = ["LineSurvey", "RoughJoint", "rough_joints", "survey_line"]

SMOOTH = 1e-7
"""A jump of curvature below this (1/mm) is no jump: it is that of a curve with a radius of 10 km."""


@dataclass(frozen=True)
class LineSurvey:
    """A line's steepest climb each way, alone and with curve resistance added, and its sharpest curve.

    `ruling` is going the way the line is written, `ruling_back` the other way; 0 where it never climbs.
    """

    line: Line
    ruling: float
    ruling_back: float
    ruling_with_curves: float
    ruling_back_with_curves: float
    sharpest_radius_mm: float | None


@dataclass(frozen=True)
class RoughJoint:
    """A joint where curvature jumps. `piece` is the number, from 1, of the piece that begins there.

    `line` is the line's number from 1. For a joint at a place `line` and `piece` are None, `where` names the
    place and the ends passed, and `distance_mm` is 0.
    """

    where: str
    line: int | None
    piece: int | None
    distance_mm: float
    before: float
    after: float

    @property
    def jump(self) -> float:
        """The change of curvature, unsigned."""
        return abs(self.after - self.before)


def survey_line(line: Line, curve_share: float) -> LineSurvey:
    """Survey one line; `curve_share` is curve resistance as a share of weight for a curvature of 1/mm."""
    back = line.reversed()
    alone, with_curves = ((_ruling(line, share), _ruling(back, share)) for share in (0.0, curve_share))
    radii = [piece.radius_mm for piece in line.pieces if piece.radius_mm is not None]
    return LineSurvey(line, *alone, *with_curves, min(radii, default=None))


def _ruling(line: Line, curve_share: float) -> float:
    climbs = (piece.grade + (curve_share / piece.radius_mm if piece.radius_mm else 0.0) for piece in line.pieces)
    return max(0.0, *climbs)


def rough_joints(layout: Layout) -> tuple[RoughJoint, ...]:
    """Every joint at which curvature jumps: along the lines in their order, then through the places.

    A train that runs through a place meets the joint of two lines; at the end of a line there is none.
    """
    return tuple(joint for joint in (*_along_lines(layout), *_through_places(layout)) if joint.jump > SMOOTH)


def _along_lines(layout: Layout) -> Iterator[RoughJoint]:
    for number, line in enumerate(layout.lines, start=1):
        distance = 0.0
        for begins, (before, after) in enumerate(itertools.pairwise(line.pieces), start=2):
            distance += before.length_mm
            yield RoughJoint(line.name, number, begins, distance, before.curvatures[1], after.curvatures[0])


def _through_places(layout: Layout) -> Iterator[RoughJoint]:
    ways = layout.directed_lines()
    for name, place in layout.places.items():
        for come_by, go_by in itertools.combinations(layout.ends(name), 2):
            coming = [way.pieces[-1] for way in ways if way.finish == (name, come_by)]
            going = [way.pieces[0] for way in ways if way.start == (name, go_by)]
            for before, after in itertools.product(coming, going) if place.allows(come_by, go_by) else ():
                where = f"{name}, {come_by} to {go_by}"
                yield RoughJoint(where, None, None, 0.0, before.curvatures[1], after.curvatures[0])
