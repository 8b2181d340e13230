"""What in a layout's track is possible but hardly meant, each in one sentence.

The bounds are those of `consist/unlikely.toml`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import degrees, tau
from statistics import median
from typing import Literal, NamedTuple

from consist.track.layout import Layout, Piece
from consist.unlikely import asked, bound, bounds, least_rise_mm, likely_length, of_most, radii
from consist.wording import between, in_words, length_words, lengths_apart

__all__ = ["TrackFinding", "track_findings"]


@dataclass(frozen=True)
class TrackFinding:
    """A figure of a piece that is hardly meant; its line's and its own number from 1.

    `piece` is None where it is of an end, and `line` too where it is of the whole file. `value` and `limit` are in
    mm, or in per cent for a grade; for an end they count lines, and for the file they are of the first of its
    `pieces`, each by its line's and its own number.
    """

    say: str
    line: int | None
    piece: int | None
    value: float
    limit: float
    pieces: tuple[tuple[int, int], ...] = ()
    level: Literal["care"] = "care"
    code: Literal["unlikely"] = "unlikely"


class _Slip(NamedTuple):
    """What is hardly meant in a piece, and the unit that is likely `meant`, `fractions`, or nothing that is known."""

    say: str
    value: float
    limit: float
    meant: str = ""


def track_findings(layout: Layout) -> tuple[TrackFinding, ...]:
    """What is hardly meant in a layout, in the order of its file; a slip of the whole file once, and first."""
    if not layout.lines:
        return ()
    middle_mm = median([_laid_mm(piece) for line in layout.lines for piece in line.pieces])
    slips = [
        (f"Piece {number} of line {at} ({line.name})", at, number, slip)
        for at, line in enumerate(layout.lines, start=1)
        for number, piece in enumerate(line.pieces, start=1)
        for slip in _slips(piece, layout, middle_mm)
    ]
    of_file = _of_file(layout, [(at, number, slip) for _, at, number, slip in slips])
    pieces = (
        TrackFinding(f"{name} {_ended(slip.say)}", at, number, slip.value, slip.limit)
        for name, at, number, slip in slips
        if slip.meant not in of_file
    )
    return (*of_file.values(), *pieces, *_ends_twice(layout))


def _of_file(layout: Layout, slips: Sequence[tuple[int, int, _Slip]]) -> dict[str, TrackFinding]:
    """The slips that most pieces of a layout share, by what is meant."""
    pieces = [piece for line in layout.lines for piece in line.pieces]
    curves = sum(piece.radius_mm is not None for piece in pieces)
    graded = sum(piece.grade != 0.0 for piece in pieces)
    found = {}
    for meant, among in (("inches", curves), ("feet", curves), ("millimetres", curves), ("fractions", graded)):
        where = {(at, number): slip for at, number, slip in slips if slip.meant == meant}
        if count := of_most(len(where), among):
            mine, tell = [*where.values()], _grades if meant == "fractions" else _radii
            say = f"{count} {tell(layout, mine)}"
            found[meant] = TrackFinding(say, None, None, mine[0].value, mine[0].limit, (*where,))
    return found


def _grades(layout: Layout, slips: Sequence[_Slip]) -> str:
    least, most = (end(slip.value for slip in slips) for end in (min, max))
    asks = f"if they are meant as fractions, write {100.0 * most:.3g} for {most:.3g}, and so for all"
    return f"grades of {layout.name} are of {between(f'{least:.3g}', f'{most:.3g}')} %, hardly any; {asks}."


def _radii(layout: Layout, slips: Sequence[_Slip]) -> str:
    very = "very sharp" if slips[0].value < slips[0].limit else "very wide"
    least, most = (length_words(end(slip.value for slip in slips), layout.unit) for end in (min, max))
    said = f"curves of {layout.name} have radii of {between(least, most)}, {very} for {layout.scale.name}"
    return f"{said}; is the file in {slips[0].meant}?"


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


def _slips(piece: Piece, layout: Layout, middle_mm: float) -> Iterator[_Slip]:
    scale, unit = layout.scale, layout.unit
    if piece.radius_mm is not None and not (likely := radii(scale)).hold(piece.radius_mm):
        limit_mm = likely.passed_by(piece.radius_mm)
        meant = likely_length(piece.radius_mm, likely, "" if layout.apart else unit)
        very = "very sharp" if limit_mm == likely.least else "very wide"
        said = f"has a radius of {length_words(piece.radius_mm, unit)}, {very}"
        asks = asked(meant, "is a figure wrong?")
        yield _Slip(f"{said} for {scale.name}; {asks}", piece.radius_mm, limit_mm, meant)
    longest_mm = bound("piece") * middle_mm
    if _laid_mm(piece) > longest_mm * (1.0 + 1e-9):
        long, middle = lengths_apart(piece.length_mm, middle_mm, unit)
        said = f"is {long} long, over {bound('piece'):g} times the layout's middle piece of {middle}"
        yield _Slip(f"{said}; is its unit or a figure wrong?", piece.length_mm, longest_mm)
    percent, flat = 100.0 * abs(piece.grade), bounds("grade")
    if flat.least <= round(percent, 9) <= flat.most:
        said = f"has a grade of {100.0 * piece.grade:.3g} %, hardly any"
        asks = f"if it was meant as a fraction, write {10000.0 * piece.grade:.4g}"
        yield _Slip(f"{said}; {asks}", percent, flat.most, "fractions")
    if piece.angle > tau * (1.0 + 1e-6):
        rise_mm, least_mm = abs(piece.grade) * piece.length_mm * tau / piece.angle, least_rise_mm(scale)
        if rise_mm < least_mm * (1.0 - 1e-9):
            rise, least = lengths_apart(rise_mm, least_mm, unit)
            said = f"turns {degrees(piece.angle):.5g} degrees and rises {rise} a turn, where a train under it"
            yield _Slip(f"{said} takes {least}; is its angle or its grade wrong?", rise_mm, least_mm)
