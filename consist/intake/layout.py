"""A layout's file: scale, places, and the lines of track between them, piece by piece."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import groupby
from operator import itemgetter
from pathlib import Path
from typing import Any

from consist.errors import InputError
from consist.intake.curves import curve_keys, is_curve, read_curve, read_grade
from consist.intake.fields import UNITS
from consist.intake.files import Reading, raise_problems
from consist.intake.toml import Keys, end_of, found, read_toml
from consist.names import likeness, near_hint, plain, quoted, tidy
from consist.scales import SCALES, Scale, known_scale, scale_hint
from consist.track import Layout, Line, Piece, Place

__all__ = ["check_curve", "read_layout", "read_layout_into", "scale_of"]

SAME_NAME = 0.85
"""Two names at least this alike, by difflib, are taken for one name with a slip of the pen."""
LONGEST_MM = 1_000_000.0  # a kilometre of model track in one piece is a slip of the pen
MOST_LINES, MOST_ENDS, MOST_GAUGES = 2_000, 100, 150_000
"""Lines of a layout, ends of a place, and all track in gauges (2.5 km in HO): more than the largest layouts have, and
no more than is worked out in some seconds. Common practice, no source."""


def read_layout(path: Path) -> Layout:
    """The layout of a file, lengths in millimetres. Raises `InputError` with every problem of the file."""
    reading = Reading(plain(path.name or str(path)))
    layout = read_layout_into(path, reading)
    raise_problems(reading)
    return layout


def read_layout_into(path: Path, reading: Reading) -> Layout:
    """The layout of a file, problems going to `reading`; refused where its lines cannot be used.

    Places that only lines name are places with every move allowed.
    """
    keys = Keys(read_toml(path, reading), ("layout",), "", reading)
    name = keys.value("name") or path.stem
    scale = scale_of(keys)
    unit = keys.value("units") or "mm"
    keys.unit_mm = UNITS["length"][unit]
    places = _places(keys)
    lines = _lines(keys, scale)
    _check_size(reading, lines, scale)
    _check_places(reading, places, lines)
    _note_alike(reading, lines)
    for line in lines:
        for place, _ in (line.start, line.finish):
            places.setdefault(place, Place(place))
    if scale is None:
        raise InputError(reading.problems)
    return Layout(name, scale, unit, places, lines, tuple(reading.notes))


def scale_of(layout: Keys) -> Scale | None:
    """The scale of a layout; None, with a problem added, where it is none."""
    value = layout.table.get("scale")
    if isinstance(value, dict):
        own = layout.within(value, "scale", "own_scale").values()
        return Scale(f"1:{own['ratio']:g}", **own) if len(own) == 3 else None
    name = layout.value("scale")
    scale = known_scale(name or "")
    if name is not None and scale is None:
        layout.problem(
            "scale",
            f"found {quoted(name)}, expected a known scale; {scale_hint(name)} or write "
            "scale = { ratio = ..., gauge_mm = ..., coupler_height_mm = ... }",
        )
    return scale


def _places(layout: Keys) -> dict[str, Place]:
    """The places declared, by name."""
    places: dict[str, Place] = {}
    for written, value in (layout.value("place") or {}).items():
        name = tidy(written)
        label = f"place {quoted(name)}"
        if not isinstance(value, dict):
            layout.problem(label, f'found {found(value)}, expected a table; write it as [place."{plain(name)}"]')
        elif not name or name in places:
            layout.problem(label, "found a place without a name of its own, expected each name once; rename it")
        else:
            keys = layout.within(value, label, "place", "clearances")
            places[name] = Place(name, _through(keys), **keys.values())
    return places


def _through(keys: Keys) -> frozenset[frozenset[str]] | None:
    pairs = keys.table.get("through", [])
    if not isinstance(pairs, list):
        keys.problem("through", f'found {found(pairs)}, expected a list of pairs of ends; write [["...", "..."]]')
        return None
    moves = [_move(pair) for pair in pairs]
    bad = next((pair for pair, move in zip(pairs, moves, strict=True) if not move), None)
    if bad is not None:
        shown = "[" + ", ".join(found(end) for end in bad[:3]) + "]" if isinstance(bad, list) else found(bad)
        told = f'found {shown}, expected a pair of two different ends; write each move as ["west", "east"]'
        keys.problem("through", told)
    return frozenset(moves) if "through" in keys.table and bad is None else None


def _move(pair: object) -> frozenset[str]:
    """The two ends of a move; empty where they are no two."""
    ends = frozenset(tidy(end) for end in pair if isinstance(end, str)) if isinstance(pair, list) else frozenset()
    return ends if isinstance(pair, list) and len(pair) == len(ends) == 2 and all(ends) else frozenset()


def _lines(layout: Keys, scale: Scale | None) -> tuple[Line, ...]:
    """The lines in their order; refused where one cannot be used or there is none."""
    tables = layout.value("line")
    if not tables and layout.table.get("line", []) == []:
        layout.problem("line", "found no line of track, expected at least one; add a [[line]]")
    lines = [_line(number, table, layout, scale) for number, table in enumerate(tables or (), start=1)]
    good = tuple(line for line in lines if line is not None)
    if not good or len(good) < len(lines):
        raise InputError(layout.reading.problems)
    return good


def _line(number: int, table: dict[str, Any], layout: Keys, scale: Scale | None) -> Line | None:
    start, finish = end_of(table.get("from")), end_of(table.get("to"))
    label = _label(number, start[0], finish[0]) if start and finish else f"line {number}"
    keys = layout.within(table, label, "line", "clearances")
    start, finish = keys.value("from"), keys.value("to")
    if start and start == finish:
        keys.problem("to", "found the very end that the line starts from, expected another; correct from or to")
    track = keys.value("track")
    pieces = [_piece(one, keys, number, scale) for number, one in enumerate(track or (), start=1)]
    good = tuple(piece for piece in pieces if piece is not None)
    clearances = keys.values()
    if not (start and finish and good) or start == finish or len(good) < len(pieces):
        return None
    return Line(start, finish, good, **clearances)


def _label(number: int, start: str, finish: str) -> str:
    return f"line {number} ({plain(start)} to {plain(finish)})"


def _piece(value: object, line: Keys, number: int, scale: Scale | None) -> Piece | None:
    """One piece of track; None where problems were added."""
    place, problems = f"piece {number}", line.reading.problems
    if not isinstance(value, dict):
        line.problem(place, f"found {found(value)}, expected a piece of track; write it as {{ length = ... }}")
        return None
    before = len(problems)
    keys = line.within(value, place, "piece")
    keys.check({})
    curved = is_curve(value)
    read = keys.values("grade", "rise", *(curve_keys(value) if curved else ("length",)))
    shape = read_curve(read, keys, scale or SCALES["HO"]) if curved else {"straight_mm": read.get("straight_mm", 0.0)}
    piece = Piece(**shape)
    if piece.radius_mm and piece.turn and piece.angle:
        check_curve(keys, piece, piece.radius_mm, scale.gauge_mm / 2 if scale else 0.0)
    if len(problems) == before and piece.length_mm > LONGEST_MM:
        keys.problem("", f"found more than {LONGEST_MM:.0f} mm of track in one piece, expected less; correct it")
    if len(problems) == before:
        piece = replace(piece, grade=read_grade(read, piece.length_mm, keys))
    return piece if len(problems) == before else None


def check_curve(keys: Keys, piece: Piece, radius_mm: float, least_radius_mm: float) -> None:
    """Add a problem for a curve that no track can be laid in, or an easement that does not fit its curve."""
    mm, unit = keys.unit_mm, "mm" if keys.unit_mm == 1.0 else "in"
    at, cure = ("tangent", "tangent or the angle") if "tangent" in keys.table else ("radius", "radius")
    longest_mm = radius_mm * piece.angle
    if radius_mm <= least_radius_mm:
        keys.problem(
            at,
            f"found {radius_mm / mm:.6g} {unit}, expected more than half the gauge, "
            f"{least_radius_mm / mm:.4g} {unit}; correct the {cure}",
        )
    elif piece.easement_mm > longest_mm * (1 + 1e-9):
        keys.problem(
            "easement",
            f"found an easement of {piece.easement_mm / mm:.6g} {unit}, too long for its curve; the longest that "
            f"fits is {math.floor(longest_mm / mm * 1000) / 1000:.6g} {unit}, shorten it or turn through more",
        )


def _check_size(reading: Reading, lines: tuple[Line, ...], scale: Scale | None) -> None:
    """Refuse a layout that no railroad is as large as."""
    ends = sorted({end for line in lines for end in (line.start, line.finish)})
    most, place = max((len([*of]), name) for name, of in groupby(ends, key=itemgetter(0)))
    track_mm = sum(line.length_mm for line in lines)
    if len(lines) > MOST_LINES:
        told = f"found {len(lines)} lines, expected up to {MOST_LINES}"
        reading.refuse(f"{told}; join lines that lead on from each other")
    if most > MOST_ENDS:
        told = f"found {most} ends of {quoted(place)}, expected up to {MOST_ENDS}"
        reading.refuse(f"{told}; leave out tracks that no train runs on")
    if scale is not None and track_mm > MOST_GAUGES * scale.gauge_mm:
        told = (
            f"found {track_mm / 1000.0:.0f} m of track, expected up to {MOST_GAUGES * scale.gauge_mm / 1000.0:.0f} m"
        )
        reading.refuse(f"{told}; is the unit of its lengths right?")


def _check_places(reading: Reading, places: dict[str, Place], lines: tuple[Line, ...]) -> None:
    """Add a problem for a place spelled two ways, and note what is declared and not used."""
    ends: dict[str, set[str]] = {}
    for number, line in enumerate(lines, start=1):
        for key, (place, end) in (("from", line.start), ("to", line.finish)):
            meant = None if place in {*places, *ends} else next((name for name in places if _slip(place, name)), None)
            if meant is not None:
                reading.problem(
                    f"{_label(number, line.start[0], line.finish[0])}, {key}",
                    f"found the place {quoted(place)}, did you mean {quoted(meant)}? Expected one spelling; correct "
                    f'it, or declare [place."{plain(place)}"] if it is a place of its own',
                )
            ends.setdefault(place, set()).add(end)
    for name, declared in places.items():
        if name not in ends:
            reading.note(f"declares the place {quoted(name)}, which no line comes to")
            continue
        for end in sorted(frozenset().union(*declared.through or ()) - ends[name]):
            hint = near_hint(end, sorted(ends[name]))
            reading.note(f"names the end {quoted(end)} of {quoted(name)}, which no line comes to{hint}")


def _note_alike(reading: Reading, lines: tuple[Line, ...]) -> None:
    """Note each line that joins the same two ends as one before it."""
    first: dict[frozenset[tuple[str, str]], int] = {}
    for number, line in enumerate(lines, start=1):
        alike = first.setdefault(frozenset((line.start, line.finish)), number)
        if alike != number:
            label = _label(number, line.start[0], line.finish[0])
            shorter = number if line.length_mm < lines[alike - 1].length_mm else alike
            reading.note(
                f"has a {label} that joins the same two ends as line {alike}; trains take line {shorter}, "
                "the shorter; name other ends, or remove one of the two if it was written twice"
            )


def _slip(one: str, other: str) -> bool:
    # "Staging 1" and "Staging 2" are alike, and two places.
    figures = [[c for c in name if c.isdigit()] for name in (one, other)]
    alike = _one_letter_off(one.casefold(), other.casefold()) or likeness(one[:200], other[:200]) >= SAME_NAME
    return figures[0] == figures[1] and alike


def _one_letter_off(one: str, other: str) -> bool:
    """Whether two names of five letters or more differ in one letter inside a word, or in two that changed places.

    >>> _one_letter_off("alder", "adler"), _one_letter_off("birch", "burch"), _one_letter_off("yard a", "yard b")
    (True, True, False)
    """
    at = [k for k, letters in enumerate(zip(one, other, strict=False)) if letters[0] != letters[1]]
    if len(one) != len(other) or len(one) < 5 or not at or not one[at[0] - 1 : at[0]].strip():
        return False
    return len(at) == 1 or (len(at) == 2 and one[at[0] : at[1] + 1] == other[at[0] : at[1] + 1][::-1])
