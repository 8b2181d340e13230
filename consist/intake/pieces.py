"""The pieces of a line's track, as a layout's file writes them."""

from __future__ import annotations

import math
from typing import Any, cast

from consist.intake.quantities import NOT_NEGATIVE, POSITIVE, Bounds
from consist.intake.reading import Reading
from consist.intake.records import PieceRecord, Turn
from consist.intake.toml import check_keys, found, number_at, under

__all__ = ["read_piece"]

KEYS = ("length", "grade", "radius", "turn", "angle", "easement")
CURVE_KEYS = ("radius", "turn", "angle")
GRADE = Bounds(-15, 15)
ANGLE = Bounds(0.01, 3600)
LONGEST_MM = 1_000_000.0  # a kilometre of model track in one piece is a slip of the pen


def read_piece(
    value: object, unit_mm: float, unit: str, least_radius_mm: float, place: str, reading: Reading
) -> PieceRecord | None:
    """One piece of track; None where problems were added.

    `unit_mm` is the length of the file's unit, called `unit`; a radius must be over `least_radius_mm`.
    """
    before = len(reading.problems)
    if not isinstance(value, dict):
        reading.problem(place, f"found {found(value)}, expected a piece of track; write it as {{ length = ... }}")
        return None
    check_keys(value, KEYS, place, reading)
    grade = number_at(value, "grade", GRADE, place, reading) or 0.0
    if any(key in value for key in CURVE_KEYS):
        piece = _curve(value, grade, unit_mm, unit, least_radius_mm, place, reading)
    else:
        piece = _straight(value, grade, unit_mm, place, reading)
    return piece if len(reading.problems) == before else None


def _straight(
    value: dict[str, Any], grade: float, unit_mm: float, place: str, reading: Reading
) -> PieceRecord | None:
    if "easement" in value:
        reading.problem(
            under(place, "easement"),
            "found an easement on a straight piece, expected it on a curve only; "
            "remove it or add radius, turn and angle",
        )
    if "length" not in value:
        reading.problem(
            place, "found neither a length nor a curve, expected one; add length, or radius, turn and angle"
        )
        return None
    length = number_at(value, "length", POSITIVE, place, reading)
    if length is None:
        return None
    if length * unit_mm > LONGEST_MM:
        _too_long(place, reading)
    return PieceRecord(grade, length_mm=length * unit_mm)


def _curve(
    value: dict[str, Any],
    grade: float,
    unit_mm: float,
    unit: str,
    least_radius_mm: float,
    place: str,
    reading: Reading,
) -> PieceRecord | None:
    if "length" in value:
        reading.problem(
            under(place, "length"),
            "found a length on a curve, expected a straight's length or a curve's radius, turn and angle; "
            "remove one or write two pieces",
        )
    radius = number_at(value, "radius", POSITIVE, place, reading, needed=True)
    angle = number_at(value, "angle", ANGLE, place, reading, needed=True)
    turn = _turn(value, place, reading)
    easement = number_at(value, "easement", NOT_NEGATIVE, place, reading) or 0.0
    if radius is None or angle is None or turn is None:
        return None
    if radius * unit_mm <= least_radius_mm:
        reading.problem(
            under(place, "radius"),
            f"found {radius:.6g} {unit}, expected more than half the gauge, {least_radius_mm / unit_mm:.4g} {unit}; "
            "correct the radius",
        )
        return None
    _check_lengths(radius, angle, easement, unit_mm, unit, place, reading)
    return PieceRecord(grade, radius_mm=radius * unit_mm, turn=turn, angle_deg=angle, easement_mm=easement * unit_mm)


def _turn(value: dict[str, Any], place: str, reading: Reading) -> Turn | None:
    turn = value.get("turn")
    text = turn.strip().lower() if isinstance(turn, str) else ""
    if text in ("left", "right"):
        return cast(Turn, text)
    shown = "nothing" if "turn" not in value else found(turn)
    reading.problem(
        under(place, "turn"),
        f'found {shown}, expected "left" or "right"; write which way it bends from `from` to `to`',
    )
    return None


def _check_lengths(
    radius: float, angle: float, easement: float, unit_mm: float, unit: str, place: str, reading: Reading
) -> None:
    longest = radius * math.radians(angle)
    if easement > longest * (1 + 1e-9):
        reading.problem(
            under(place, "easement"),
            f"found an easement of {easement:.6g} {unit}, too long for its curve; the longest that fits is "
            f"{math.floor(longest * 1000) / 1000:.6g} {unit}, shorten it or turn through more",
        )
    elif (longest + easement) * unit_mm > LONGEST_MM:
        _too_long(place, reading)


def _too_long(place: str, reading: Reading) -> None:
    reading.problem(place, f"found more than {LONGEST_MM:.0f} mm of track in one piece, expected less; correct it")
