"""A layout's file: scale, places, and the lines of track between them, piece by piece."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from pathlib import Path
from typing import Any

from consist.intake.fields import LENGTH, declared
from consist.intake.files import Reading, raise_problems
from consist.intake.toml import Keys, found, read_toml
from consist.names import did_you_mean, likeness, nearest, plain, quoted, tidy
from consist.scales import SCALES, Scale, known_scale
from consist.track import Layout, Line, Piece, Place

__all__ = ["read_layout", "read_layout_into"]

SAME_NAME = 0.85
"""Two names at least this alike, by difflib, are taken for one name with a slip of the pen."""


LAYOUT = declared("layout")
OWN_SCALE = declared("own_scale")
PLACE = declared("place", "clearances")
LINE = declared("line", "clearances")
LONGEST_MM = 1_000_000.0  # a kilometre of model track in one piece is a slip of the pen

PIECE = declared("piece")
CURVE_ALONE = ("radius", "turn", "angle")
ASKED = {True: ("grade", "radius", "turn", "angle", "easement"), False: ("length", "grade")}
"""What is asked of a curve, and of a straight."""
End = tuple[str, str]


def read_layout(path: Path) -> Layout:
    """The layout of a file, lengths in millimetres. Raises `InputError` with every problem of the file."""
    reading = Reading(plain(path.name or str(path)))
    layout = read_layout_into(path, reading)
    raise_problems(reading)
    assert layout is not None
    return layout


def read_layout_into(path: Path, reading: Reading) -> Layout | None:
    """The layout of a file, problems going to `reading`; None where its lines cannot be used.

    Places that only lines name are places with every move allowed.
    """
    table = read_toml(path, reading)
    if table is None:
        return None
    keys = Keys(table, LAYOUT, "", reading)
    name = keys.text("name") or path.stem
    scale = _scale(keys)
    unit = keys.values("units").get("units")
    track = _Track(unit or "mm", scale.gauge_mm / 2 if scale else 0.0, keys)
    places = track.places()
    lines = track.lines()
    if lines is None:
        return None
    track.check_places(places, lines)
    for line in lines:
        for place, _ in (line.start, line.finish):
            places.setdefault(place, Place(place))
    return None if scale is None else Layout(name, scale, unit or "mm", places, lines, tuple(reading.notes))


def _scale(layout: Keys) -> Scale | None:
    value = layout.table.get("scale")
    if isinstance(value, dict):
        own = Keys(value, OWN_SCALE, "scale", layout.reading).values()
        return Scale(f"1:{own['ratio']:g}", **own) if len(own) == len(OWN_SCALE) else None
    name = layout.text("scale")
    scale = None if name is None else known_scale(name)
    if name is not None and scale is None:
        layout.problem(
            "scale",
            f"found {quoted(name)}, expected a known scale; {did_you_mean(name, SCALES, 'scales')} or write "
            "scale = { ratio = ..., gauge_mm = ..., coupler_height_mm = ... }",
        )
    return scale


class _Track:
    """The places and lines of one file, in its unit; a radius must be over `least_radius_mm`."""

    def __init__(self, unit: str, least_radius_mm: float, layout: Keys) -> None:
        self._mm, self._layout, self._reading = LENGTH[unit], layout, layout.reading
        self._pieces = _Pieces(unit, least_radius_mm, layout.reading)
        self._ends_named: dict[str, list[str]] = {}

    def places(self) -> dict[str, Place]:
        """The places declared, by name."""
        places: dict[str, Place] = {}
        for written, value in self._layout.below("place").items():
            name = tidy(written)
            label = f"place {quoted(name)}"
            if not isinstance(value, dict):
                told = f'found {found(value)}, expected a table; write it as [place."{plain(name)}"]'
                self._reading.problem(label, told)
            elif not name or name in places:
                told = "found a place without a name of its own, expected each name once; rename it"
                self._reading.problem(label, told)
            else:
                places[name] = self._place(name, Keys(value, PLACE, label, self._reading))
        return places

    def _place(self, name: str, keys: Keys) -> Place:
        lengths = self._lengths(keys.values())
        moves = _through(keys)
        self._ends_named[name] = [end for pair in moves or () for end in pair]
        return Place(name, None if moves is None else frozenset(map(frozenset, moves)), **lengths)

    def _lengths(self, read: dict[str, Any]) -> dict[str, float]:
        """Lengths in mm under the names they go on by."""
        return {f"{key}_mm": value * self._mm for key, value in read.items()}

    def lines(self) -> tuple[Line, ...] | None:
        """The lines in their order; None, with problems added, where one cannot be used or there is none."""
        tables = self._layout.tables("line")
        if not tables and self._layout.table.get("line", []) == []:
            self._layout.problem("line", "found no line of track, expected at least one; add a [[line]]")
        lines = [self._line(number, table) for number, table in enumerate(tables, start=1)]
        good = tuple(line for line in lines if line is not None)
        return good if good and len(good) == len(lines) else None

    def _line(self, number: int, table: dict[str, Any]) -> Line | None:
        start, finish = _end(table.get("from")), _end(table.get("to"))
        label = f"line {number}" + (f" ({plain(start[0])} to {plain(finish[0])})" if start and finish else "")
        keys = Keys(table, LINE, label, self._reading)
        for key, end in (("from", start), ("to", finish)):
            if end is None:
                told = f'found {keys.found(key)}, expected a place and its end; write {key} = "PLACE, END"'
                keys.problem(key, told)
        if start is not None and start == finish:
            keys.problem("to", "found the very end that the line starts from, expected another; correct from or to")
        pieces = self._all_pieces(keys)
        clearances = self._lengths(keys.values("clearance_height", "clearance_width"))
        if start is None or finish is None or start == finish or pieces is None:
            return None
        return Line(start, finish, pieces, **clearances)

    def _all_pieces(self, keys: Keys) -> tuple[Piece, ...] | None:
        track = keys.table.get("track")
        if not isinstance(track, list) or not track:
            told = f"found {keys.found('track')}, expected a list of one piece or more"
            keys.problem("track", f"{told}; write track = [{{ length = ... }}]")
            return None
        pieces = [self._pieces.read(one, keys.at(f"piece {number}")) for number, one in enumerate(track, start=1)]
        good = tuple(piece for piece in pieces if piece is not None)
        return good if len(good) == len(pieces) else None

    def check_places(self, places: Mapping[str, Place], lines: tuple[Line, ...]) -> None:
        """Add a problem for a place spelled two ways, and note what is declared and not used."""
        ends: dict[str, set[str]] = {}
        for number, line in enumerate(lines, start=1):
            for key, (place, end) in (("from", line.start), ("to", line.finish)):
                if place not in ends:
                    label = f"line {number} ({plain(line.start[0])} to {plain(line.finish[0])})"
                    self._check_spelling(place, places, f"{label}, {key}")
                ends.setdefault(place, set()).add(end)
        for name in places:
            if name not in ends:
                self._reading.note(f"declares the place {quoted(name)}, which no line comes to")
                continue
            for end in dict.fromkeys(self._ends_named[name]):
                if end not in ends[name]:
                    near = nearest(end, sorted(ends[name]))
                    hint = f"; did you mean {quoted(near)}?" if near else ""
                    told = f"names the end {quoted(end)} of {quoted(name)}, which no line comes to{hint}"
                    self._reading.note(told)

    def _check_spelling(self, place: str, declared: Collection[str], label: str) -> None:
        near = None if place in declared else next((name for name in declared if _slip(place, name)), None)
        if near is not None:
            self._reading.problem(
                label,
                f"found the place {quoted(place)}, did you mean {quoted(near)}? Expected one spelling; correct it, "
                f'or declare [place."{plain(place)}"] if it is a place of its own',
            )


class _Pieces:
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
        if not curved:
            self._check_longest(read.get("length", 0.0), keys)
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
        else:
            self._check_longest(longest + easement, keys)

    def _check_longest(self, length: float, keys: Keys) -> None:
        if length * self._mm > LONGEST_MM:
            told = f"found more than {LONGEST_MM:.0f} mm of track in one piece, expected less; correct it"
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


def _through(keys: Keys) -> tuple[End, ...] | None:
    if "through" not in keys.table:
        return None
    pairs = keys.table["through"]
    if not isinstance(pairs, list):
        told = f'found {found(pairs)}, expected a list of pairs of ends; write [["...", "..."]]'
        keys.problem("through", told)
        return None
    moves = [_pair(pair) for pair in pairs]
    if None in moves:
        bad = pairs[moves.index(None)]
        shown = "[" + ", ".join(found(end) for end in bad[:3]) + "]" if isinstance(bad, list) else found(bad)
        told = f'found {shown}, expected a pair of two different ends; write each move as ["west", "east"]'
        keys.problem("through", told)
        return None
    return tuple(move for move in moves if move is not None)


def _pair(pair: object) -> End | None:
    if not isinstance(pair, list) or len(pair) != 2 or not all(isinstance(end, str) for end in pair):
        return None
    one, other = (tidy(end) for end in pair)
    return (one, other) if one and other and one != other else None


def _end(value: object) -> End | None:
    if not isinstance(value, str):
        return None
    place, comma, end = value.rpartition(",")
    place, end = tidy(place), tidy(end)
    return (place, end) if comma and place and end and (place + end).isprintable() else None


def _slip(one: str, other: str) -> bool:
    # "Staging 1" and "Staging 2" are alike, and two places.
    figures = [[c for c in name if c.isdigit()] for name in (one, other)]
    return figures[0] == figures[1] and likeness(one[:200], other[:200]) >= SAME_NAME
