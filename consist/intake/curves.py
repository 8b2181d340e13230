"""Curves written the hobby's own way: in pieces of so many degrees, as a helix, a turnout, or between two tangents.

Source: NMRA RP-12.3, radius of the closure rail of HO turnouts, as quoted in a public discussion; others by ratio.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from consist.intake.toml import Keys
from consist.scales import MM_PER_INCH, Scale

__all__ = ["curve_keys", "is_curve", "read_curve", "read_grade"]

CLOSURE_IN: Mapping[float, float] = {4.0: 15.0, 5.0: 26.0, 6.0: 43.0, 7.0: 49.0, 8.0: 67.0}
"""Closure radius in HO, in inches, by the number of a turnout."""
SHAPE = ("radius", "turn", "angle", "turns", "pieces", "piece_deg", "turnout", "tangent")
MOST_GRADE = 0.15
"""Of a rise, as of a grade that is written."""


def is_curve(table: Mapping[str, object]) -> bool:
    """Whether a piece is a curve, be it an incomplete one."""
    return not table.keys().isdisjoint(SHAPE)


def curve_keys(table: Mapping[str, object]) -> tuple[str, ...]:
    """The keys that a curve needs, by those that it has."""
    if "turnout" in table:
        return "turn", "turnout"
    bend = "tangent" if "tangent" in table else "radius"
    if "turns" in table:
        return bend, "turn", "turns", "easement"
    if "pieces" in table or "piece_deg" in table:
        return bend, "turn", "pieces", "piece_deg", "easement"
    return bend, "turn", "angle", "easement"


def read_curve(read: dict[str, Any], keys: Keys, scale: Scale) -> dict[str, Any]:
    """A curve's radius, turn, angle (radians) and easement, of what its keys hold; what is bad is left out."""
    curve: dict[str, Any] = {name: read[name] for name in ("radius_mm", "turn", "easement_mm") if name in read}
    if "turnout" in read:
        number = read["turnout"]
        if number in CLOSURE_IN:
            curve["radius_mm"] = scale.by_ratio(CLOSURE_IN[number] * MM_PER_INCH)
            curve["angle"] = 2.0 * math.atan(1.0 / (2.0 * number))
        else:
            known = ", ".join(f"{each:g}" for each in CLOSURE_IN)
            keys.problem(
                "turnout", f"found {number:g}, expected one of {known}; write another as a radius and an angle"
            )
        return curve
    degrees = read.get("angle")
    if "turns" in read:
        degrees = 360.0 * read["turns"]
    elif "pieces" in read and "piece_deg" in read:
        degrees = read["pieces"] * read["piece_deg"]
    if degrees is not None:
        curve["angle"] = math.radians(degrees)
    if "tangent_mm" in read and degrees is not None:
        if degrees < 180.0:
            curve["radius_mm"] = read["tangent_mm"] / math.tan(math.radians(degrees) / 2.0)
        else:
            keys.problem(
                "angle",
                f"found {degrees:g} degrees between tangents, expected under 180, since they never meet; "
                "give the radius instead",
            )
    return curve


def read_grade(read: dict[str, Any], length_mm: float, keys: Keys) -> float:
    """The grade of a piece, rise over run, of its grade in per cent or its rise."""
    if "rise_mm" not in read:
        return float(read.get("grade", 0.0)) / 100.0
    grade = float(read["rise_mm"]) / length_mm if length_mm else 0.0
    if abs(grade) > MOST_GRADE:
        keys.problem(
            "rise",
            f"found a rise that makes a grade of {100.0 * grade:.3g} %, expected up to {100.0 * MOST_GRADE:g} %; "
            "correct the rise or the length of the piece",
        )
    return grade
