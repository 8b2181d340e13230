"""Joints at which a curve begins all at once, as a table with what an easement would do there."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from consist.report.columns import Column, lay_out
from consist.report.units import Units
from consist.report.words import NONE, clean, paragraph
from consist.track import SMOOTH, RoughJoint

__all__ = ["joint_list"]

WHAT_EASEMENTS_DO = (
    "At these joints the curve begins, ends or changes all at once, so that couplers swing over within a car's "
    "length and two cars stand at their worst angle. An easement brings the curve on little by little; give the "
    "curve an easement, or a straight of a car's length between two curves that turn against each other. Jump is the "
    "radius that would make the same jump from straight track: the smaller, the rougher."
)


def joint_list(joints: Sequence[RoughJoint], units: Units, width: int) -> list[Text]:
    """The joints in the order of the layout's file."""
    if not joints:
        return paragraph("None: every curve comes on through an easement.", width)
    columns = (
        Column("line", right=True),
        Column("where", least=16),
        Column("piece", right=True),
        Column("at", right=True),
        Column("from", gap=2),
        Column("to", gap=2),
        Column("jump", right=True, gap=2),
    )
    rows = [
        [
            "" if joint.line is None else str(joint.line),
            clean(joint.where),
            NONE if joint.piece is None else str(joint.piece),
            NONE if joint.piece is None else units.distance(joint.distance_mm),
            _curve(joint.before, units),
            _curve(joint.after, units),
            units.radius(1.0 / joint.jump),
        ]
        for joint in joints
    ]
    return [*lay_out(columns, rows, width), *paragraph(WHAT_EASEMENTS_DO, width, indent=0)]


def _curve(curvature: float, units: Units) -> str:
    if abs(curvature) < SMOOTH:
        return "straight"
    return f"{units.radius(1.0 / abs(curvature))} {'left' if curvature > 0.0 else 'right'}"
