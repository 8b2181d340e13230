"""What in a layout's track is possible but hardly meant, each in one sentence.

The bounds are those of `consist/unlikely.toml`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import degrees, tau
from statistics import median
from typing import Literal

from consist.track.layout import Layout, Piece
from consist.unlikely import bound, bounds, least_rise_mm, likely_length, radii
from consist.wording import length_words, lengths_apart

__all__ = ["TrackFinding", "track_findings"]


@dataclass(frozen=True)
class TrackFinding:
    """A figure of a piece that is hardly meant; its line's and its own number from 1.

    `value` and `limit` are in mm, or in per cent for a grade.
    """

    say: str
    line: int
    piece: int
    value: float
    limit: float
    level: Literal["care"] = "care"
    code: Literal["unlikely"] = "unlikely"


def track_findings(layout: Layout) -> tuple[TrackFinding, ...]:
    """What is hardly meant in a layout, in the order of its file."""
    if not layout.lines:
        return ()
    middle_mm = median([_laid_mm(piece) for line in layout.lines for piece in line.pieces])
    return tuple(
        TrackFinding(f"Piece {number} of line {at} ({line.name}) {_ended(said)}", at, number, value, limit)
        for at, line in enumerate(layout.lines, start=1)
        for number, piece in enumerate(line.pieces, start=1)
        for said, value, limit in _slips(piece, layout, middle_mm)
    )


def _ended(said: str) -> str:
    return said if said.endswith("?") else f"{said}."


def _laid_mm(piece: Piece) -> float:
    """How much bench a piece takes: no more than one turn of a helix."""
    return piece.length_mm / max(piece.angle / tau, 1.0)


def _slips(piece: Piece, layout: Layout, middle_mm: float) -> Iterator[tuple[str, float, float]]:
    """What is hardly meant in a piece, with the figure and its bound."""
    scale, unit = layout.scale, layout.unit
    if piece.radius_mm is not None and not (likely := radii(scale)).hold(piece.radius_mm):
        limit_mm = likely.passed_by(piece.radius_mm)
        meant = likely_length(piece.radius_mm, likely) or "is a figure wrong?"
        very = "very sharp" if limit_mm == likely.least else "very wide"
        said = f"has a radius of {length_words(piece.radius_mm, unit)}, {very}"
        yield f"{said} for {scale.name}; {meant}", piece.radius_mm, limit_mm
    longest_mm = bound("piece") * middle_mm
    if _laid_mm(piece) > longest_mm * (1.0 + 1e-9):
        long, middle = lengths_apart(piece.length_mm, middle_mm, unit)
        said = f"is {long} long, over {bound('piece'):g} times the layout's middle piece of {middle}"
        yield f"{said}; is its unit or a figure wrong?", piece.length_mm, longest_mm
    percent, flat = 100.0 * abs(piece.grade), bounds("grade")
    if flat.least <= round(percent, 9) <= flat.most:
        meant = f"if it was meant as a fraction, write {10000.0 * piece.grade:.4g}"
        yield f"has a grade of {100.0 * piece.grade:.3g} %, hardly any; {meant}", percent, flat.most
    if piece.angle > tau * (1.0 + 1e-6):
        rise_mm, least_mm = abs(piece.grade) * piece.length_mm * tau / piece.angle, least_rise_mm(scale)
        if rise_mm < least_mm * (1.0 - 1e-9):
            rise, least = lengths_apart(rise_mm, least_mm, unit)
            said = f"turns {degrees(piece.angle):.5g} degrees and rises {rise} a turn, where a train under it"
            yield f"{said} takes {least}; is its angle or its grade wrong?", rise_mm, least_mm
