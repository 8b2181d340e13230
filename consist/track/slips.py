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
from consist.wording import in_words, length_words, lengths_apart

__all__ = ["TrackFinding", "track_findings"]


@dataclass(frozen=True)
class TrackFinding:
    """A figure of a piece that is hardly meant; its line's and its own number from 1, None where it is of an end.

    `value` and `limit` are in mm, or in per cent for a grade, and for an end they count lines.
    """

    say: str
    line: int
    piece: int | None
    value: float
    limit: float
    level: Literal["care"] = "care"
    code: Literal["unlikely"] = "unlikely"


def track_findings(layout: Layout) -> tuple[TrackFinding, ...]:
    """What is hardly meant in a layout, in the order of its file."""
    if not layout.lines:
        return ()
    middle_mm = median([_laid_mm(piece) for line in layout.lines for piece in line.pieces])
    pieces = (
        TrackFinding(f"Piece {number} of line {at} ({line.name}) {_ended(said)}", at, number, value, limit)
        for at, line in enumerate(layout.lines, start=1)
        for number, piece in enumerate(line.pieces, start=1)
        for said, value, limit in _slips(piece, layout, middle_mm)
    )
    return (*pieces, *_ends_twice(layout))


def _ends_twice(layout: Layout) -> Iterator[TrackFinding]:
    """For each end that two lines come to while another, or any other of a place that is no yard, has none."""
    of: dict[str, dict[str, list[int]]] = {}
    for number, line in enumerate(layout.lines, start=1):
        for name, end in (line.start, line.finish):
            of.setdefault(name, {}).setdefault(end, []).append(number)
    for name, ends in of.items():
        place = layout.places[name]
        free = sorted(frozenset[str]().union(*place.through or ()) - {*ends})
        stub = place.through is None and place.standing_mm is None and len(ends) == 1
        for end, lines in ends.items():
            if len(lines) > 1 and (free or (stub and len(lines) == 2)):
                none = f"none to its end {free[0]}" if free else "none to another, so that no train runs through"
                said = f"Lines {in_words([str(line) for line in lines])} come to the end {end} of {name}, and {none}"
                yield TrackFinding(f"{said}; is one of them of another end?", lines[-1], None, float(len(lines)), 1.0)


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
