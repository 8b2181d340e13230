"""A survey of a layout's lines: how steep, how sharp, and where a curve begins all at once.

Grades are rise over run, curvature in 1/mm with left positive, lengths in mm.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

from consist.track.layout import Layout, Line
from consist.track.pieces import Piece

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
    radii = [piece.radius_mm for piece in line.pieces if piece.radius_mm is not None]
    return LineSurvey(
        line=line,
        ruling=_ruling(line, 0.0),
        ruling_back=_ruling(back, 0.0),
        ruling_with_curves=_ruling(line, curve_share),
        ruling_back_with_curves=_ruling(back, curve_share),
        sharpest_radius_mm=min(radii, default=None),
    )


def rough_joints(layout: Layout) -> tuple[RoughJoint, ...]:
    """Every joint at which curvature jumps: along the lines in their order, then through the places.

    A train that runs through a place meets the joint of two lines; at the end of a line there is none.
    """
    along = [joint for number, line in enumerate(layout.lines, start=1) for joint in _along(number, line)]
    return (*along, *_through_places(layout))


def _ruling(line: Line, curve_share: float) -> float:
    shares = [
        piece.grade + (curve_share / piece.radius_mm if piece.radius_mm is not None else 0.0) for piece in line.pieces
    ]
    return max([0.0, *shares])


def _along(number: int, line: Line) -> list[RoughJoint]:
    joints = []
    distance = 0.0
    for k, (before, after) in enumerate(itertools.pairwise(line.pieces), start=2):
        distance += before.length_mm
        joint = RoughJoint(line.name, number, k, distance, _last_curvature(before), _first_curvature(after))
        if joint.jump > SMOOTH:
            joints.append(joint)
    return joints


def _through_places(layout: Layout) -> list[RoughJoint]:
    joints = []
    ways = layout.directed_lines()
    for name, place in layout.places.items():
        for arrived_by, leaves_by in itertools.combinations(layout.ends(name), 2):
            if not place.allows(arrived_by, leaves_by):
                continue
            for come in (way for way in ways if way.finish == (name, arrived_by)):
                for go in (way for way in ways if way.start == (name, leaves_by)):
                    before, after = _last_curvature(come.pieces[-1]), _first_curvature(go.pieces[0])
                    joint = RoughJoint(f"{name}, {arrived_by} to {leaves_by}", None, None, 0.0, before, after)
                    if joint.jump > SMOOTH:
                        joints.append(joint)
    return joints


def _first_curvature(piece: Piece) -> float:
    stretches = piece.stretches()
    return stretches[0].curvature if stretches else 0.0


def _last_curvature(piece: Piece) -> float:
    stretches = piece.stretches()
    return stretches[-1].end_curvature if stretches else 0.0
