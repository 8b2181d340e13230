"""The pieces of a line's track, as a layout's file writes them."""

from __future__ import annotations

import math
from typing import Any

from consist.intake.fields import LENGTH, declared
from consist.intake.files import Reading
from consist.intake.toml import Keys, found
from consist.track import Piece

__all__ = ["PIECE", "Pieces"]

LONGEST_MM = 1_000_000.0  # a kilometre of model track in one piece is a slip of the pen

PIECE = declared("piece")
CURVE_ALONE = ("radius", "turn", "angle")
ASKED = {True: ("grade", "radius", "turn", "angle", "easement"), False: ("length", "grade")}
"""What is asked of a curve, and of a straight."""


class Pieces:
    """The pieces of one file, in its `unit`; a radius must be over `least_radius_mm`."""

    def __init__(self, unit: str, least_radius_mm: float, reading: Reading) -> None:
        self._unit, self._mm, self._least_radius_mm, self._reading = unit, LENGTH[unit], least_radius_mm, reading

    def read(self, value: object, place: str) -> Piece | None:
        """One piece of track; None where problems were added."""
        before = len(self._reading.problems)
        if not isinstance(value, dict):
            told = f"found {found(value)}, expected a piece of track; write it as {{ length = ... }}"
            self._reading.problem(place, told)
            return None
        keys = Keys(value, PIECE, place, self._reading)
        curved = any(key in value for key in CURVE_ALONE)
        _check_kind(keys, curved)
        read = keys.values(*ASKED[curved])
        if curved and {*CURVE_ALONE} <= set(read):
            self._check_curve(read, keys)
        if len(self._reading.problems) > before:
            return None
        grade = read.get("grade", 0.0) / 100.0
        if not curved:
            return Piece(grade, straight_mm=read["length"] * self._mm)
        easement_mm = read.get("easement", 0.0) * self._mm
        return Piece(grade, 0.0, read["radius"] * self._mm, read["turn"], math.radians(read["angle"]), easement_mm)

    def _check_curve(self, read: dict[str, Any], keys: Keys) -> None:
        radius, easement, unit = read["radius"], read.get("easement", 0.0), self._unit
        if radius * self._mm <= self._least_radius_mm:
            keys.problem(
                "radius",
                f"found {radius:.6g} {unit}, expected more than half the gauge, "
                f"{self._least_radius_mm / self._mm:.4g} {unit}; correct the radius",
            )
            return
        longest = radius * math.radians(read["angle"])
        if easement > longest * (1 + 1e-9):
            keys.problem(
                "easement",
                f"found an easement of {easement:.6g} {unit}, too long for its curve; the longest that fits is "
                f"{math.floor(longest * 1000) / 1000:.6g} {unit}, shorten it or turn through more",
            )
        elif (longest + easement) * self._mm > LONGEST_MM:
            told = "found a curve of more than 1000000 mm of track, expected less; correct the radius or the angle"
            keys.problem("", told)


def _check_kind(keys: Keys, curved: bool) -> None:
    """A piece is a straight or a curve, and not both."""
    if curved and "length" in keys.table:
        keys.problem(
            "length",
            "found a length on a curve, expected a straight's length or a curve's radius, turn and angle; "
            "remove one or write two pieces",
        )
    if not curved and "easement" in keys.table:
        keys.problem(
            "easement",
            "found an easement on a straight piece, expected it on a curve only; "
            "remove it or add radius, turn and angle",
        )
    if not curved and "length" not in keys.table:
        keys.problem("", "found neither a length nor a curve, expected one; add length, or radius, turn and angle")
