"""A layout's file: scale, places, and the lines of track between them, piece by piece."""

from __future__ import annotations

import math
from collections.abc import Collection
from pathlib import Path
from typing import Any

from consist.errors import InputError
from consist.intake.fields import UNITS
from consist.intake.files import Reading, raise_problems
from consist.intake.toml import Keys, found, read_toml
from consist.names import did_you_mean, likeness, near_hint, plain, quoted, tidy
from consist.scales import SCALES, Scale, known_scale
from consist.track import Layout, Line, Piece, Place

__all__ = ["read_layout", "read_layout_into"]

SAME_NAME = 0.85
"""Two names at least this alike, by difflib, are taken for one name with a slip of the pen."""
LONGEST_MM = 1_000_000.0  # a kilometre of model track in one piece is a slip of the pen

End = tuple[str, str]


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
    scale = _scale(keys)
    unit = keys.value("units") or "mm"
    file = _LayoutFile(keys, unit, scale.gauge_mm / 2 if scale else 0.0)
    places = file.places()
    lines = file.lines()
    file.check_places(places, lines)
    for line in lines:
        for place, _ in (line.start, line.finish):
            places.setdefault(place, Place(place))
    if scale is None:
        raise InputError(reading.problems)
    return Layout(name, scale, unit, places, lines, tuple(reading.notes))


def _scale(layout: Keys) -> Scale | None:
    value = layout.table.get("scale")
    if isinstance(value, dict):
        own = Keys(value, ("own_scale",), "scale", layout.reading).values()
        return Scale(f"1:{own['ratio']:g}", **own) if len(own) == 3 else None
    name = layout.value("scale")
    scale = known_scale(name or "")
    if name is not None and scale is None:
        layout.problem(
            "scale",
            f"found {quoted(name)}, expected a known scale; {did_you_mean(name, SCALES, 'scales')} or write "
            "scale = { ratio = ..., gauge_mm = ..., coupler_height_mm = ... }",
        )
    return scale


class _LayoutFile:
    """The places and lines of one file, in its unit; a radius must be over `least_radius_mm`."""

    def __init__(self, layout: Keys, unit: str, least_radius_mm: float) -> None:
        self._layout, self._reading = layout, layout.reading
        self._unit, self._mm, self._least_radius_mm = unit, UNITS["length"][unit], least_radius_mm

    def places(self) -> dict[str, Place]:
        """The places declared, by name."""
        places: dict[str, Place] = {}
        for written, value in (self._layout.value("place") or {}).items():
            name = tidy(written)
            label = f"place {quoted(name)}"
            if not isinstance(value, dict):
                told = f'found {found(value)}, expected a table; write it as [place."{plain(name)}"]'
                self._reading.problem(label, told)
            elif not name or name in places:
                told = "found a place without a name of its own, expected each name once; rename it"
                self._reading.problem(label, told)
            else:
                keys = Keys(value, ("place", "clearances"), label, self._reading)
                lengths = self._lengths(keys, "standing", "clearance_height", "clearance_width")
                places[name] = Place(name, _through(keys), **lengths)
        return places

    def _lengths(self, keys: Keys, *names: str) -> dict[str, float]:
        """Lengths in mm under the names they go on by."""
        return {f"{name}_mm": length * self._mm for name, length in keys.values(*names).items()}

    def lines(self) -> tuple[Line, ...]:
        """The lines in their order; refused where one cannot be used or there is none."""
        tables = self._layout.value("line")
        if not tables and self._layout.table.get("line", []) == []:
            self._layout.problem("line", "found no line of track, expected at least one; add a [[line]]")
        lines = [self._line(number, table) for number, table in enumerate(tables or (), start=1)]
        good = tuple(line for line in lines if line is not None)
        if not good or len(good) < len(lines):
            raise InputError(self._reading.problems)
        return good

    def _line(self, number: int, table: dict[str, Any]) -> Line | None:
        start, finish = _end(table.get("from")), _end(table.get("to"))
        label = _label(number, start[0], finish[0]) if start and finish else f"line {number}"
        keys = Keys(table, ("line", "clearances"), label, self._reading)
        for key, end in (("from", start), ("to", finish)):
            if end is None:
                told = f'found {keys.found(key)}, expected a place and its end; write {key} = "PLACE, END"'
                keys.problem(key, told)
        if start is not None and start == finish:
            keys.problem("to", "found the very end that the line starts from, expected another; correct from or to")
        pieces = self._pieces(keys)
        clearances = self._lengths(keys, "clearance_height", "clearance_width")
        if start is None or finish is None or start == finish or pieces is None:
            return None
        return Line(start, finish, pieces, **clearances)

    def _pieces(self, keys: Keys) -> tuple[Piece, ...] | None:
        track = keys.table.get("track")
        if not isinstance(track, list) or not track:
            told = f"found {keys.found('track')}, expected a list of one piece or more"
            keys.problem("track", f"{told}; write track = [{{ length = ... }}]")
            return None
        pieces = [self._piece(one, keys.at(f"piece {number}")) for number, one in enumerate(track, start=1)]
        good = tuple(piece for piece in pieces if piece is not None)
        return good if len(good) == len(pieces) else None

    def _piece(self, value: object, place: str) -> Piece | None:
        """One piece of track; None where problems were added."""
        before = len(self._reading.problems)
        if not isinstance(value, dict):
            told = f"found {found(value)}, expected a piece of track; write it as {{ length = ... }}"
            self._reading.problem(place, told)
            return None
        keys = Keys(value, ("piece",), place, self._reading)
        piece = self._curve(keys) if {"radius", "turn", "angle"} & {*value} else self._straight(keys)
        sound = len(self._reading.problems) == before
        if sound and piece is not None and piece.length_mm > LONGEST_MM:
            sound = False
            told = f"found more than {LONGEST_MM:.0f} mm of track in one piece, expected less; correct it"
            keys.problem("", told)
        return piece if sound else None

    def _straight(self, keys: Keys) -> Piece | None:
        if "easement" in keys.table:
            keys.problem(
                "easement",
                "found an easement on a straight piece, expected it on a curve only; "
                "remove it or add radius, turn and angle",
            )
        if "length" not in keys.table:
            keys.problem(
                "", "found neither a length nor a curve, expected one; add length, or radius, turn and angle"
            )
        read = {"grade": 0.0, **keys.values("length", "grade")}
        return Piece(read["grade"] / 100.0, read["length"] * self._mm) if "length" in read else None

    def _curve(self, keys: Keys) -> Piece | None:
        if "length" in keys.table:
            keys.problem(
                "length",
                "found a length on a curve, expected a straight's length or a curve's radius, turn and angle; "
                "remove one or write two pieces",
            )
        read = {"grade": 0.0, "easement": 0.0, **keys.values("grade", "radius", "turn", "angle", "easement")}
        if len(read) < 5:
            return None
        radius, easement, unit = read["radius"], read["easement"], self._unit
        angle = math.radians(read["angle"])
        longest = radius * angle
        if radius * self._mm <= self._least_radius_mm:
            keys.problem(
                "radius",
                f"found {radius:.6g} {unit}, expected more than half the gauge, "
                f"{self._least_radius_mm / self._mm:.4g} {unit}; correct the radius",
            )
        elif easement > longest * (1 + 1e-9):
            keys.problem(
                "easement",
                f"found an easement of {easement:.6g} {unit}, too long for its curve; the longest that fits is "
                f"{math.floor(longest * 1000) / 1000:.6g} {unit}, shorten it or turn through more",
            )
        return Piece(read["grade"] / 100.0, 0.0, radius * self._mm, read["turn"], angle, easement * self._mm)

    def check_places(self, places: dict[str, Place], lines: tuple[Line, ...]) -> None:
        """Add a problem for a place spelled two ways, and note what is declared and not used."""
        ends: dict[str, set[str]] = {}
        for number, line in enumerate(lines, start=1):
            for key, (place, end) in (("from", line.start), ("to", line.finish)):
                if place not in ends:
                    label = _label(number, line.start[0], line.finish[0])
                    self._check_spelling(place, places, f"{label}, {key}")
                ends.setdefault(place, set()).add(end)
        for name, declared in places.items():
            if name not in ends:
                self._reading.note(f"declares the place {quoted(name)}, which no line comes to")
                continue
            for end in sorted(frozenset().union(*declared.through or ()) - ends[name]):
                hint = near_hint(end, sorted(ends[name]))
                self._reading.note(f"names the end {quoted(end)} of {quoted(name)}, which no line comes to{hint}")

    def _check_spelling(self, place: str, declared: Collection[str], label: str) -> None:
        near = None if place in declared else next((name for name in declared if _slip(place, name)), None)
        if near is not None:
            self._reading.problem(
                label,
                f"found the place {quoted(place)}, did you mean {quoted(near)}? Expected one spelling; correct it, "
                f'or declare [place."{plain(place)}"] if it is a place of its own',
            )


def _label(number: int, start: str, finish: str) -> str:
    return f"line {number} ({plain(start)} to {plain(finish)})"


def _through(keys: Keys) -> frozenset[frozenset[str]] | None:
    pairs = keys.table.get("through")
    if "through" not in keys.table:
        return None
    moves = [_move(pair) for pair in pairs] if isinstance(pairs, list) else []
    told = ""
    if not isinstance(pairs, list):
        told = f'found {found(pairs)}, expected a list of pairs of ends; write [["...", "..."]]'
    elif None in moves:
        bad = pairs[moves.index(None)]
        shown = "[" + ", ".join(found(end) for end in bad[:3]) + "]" if isinstance(bad, list) else found(bad)
        told = f'found {shown}, expected a pair of two different ends; write each move as ["west", "east"]'
    if told:
        keys.problem("through", told)
    return None if told else frozenset(move for move in moves if move is not None)


def _move(pair: object) -> frozenset[str] | None:
    if not isinstance(pair, list) or len(pair) != 2 or not all(isinstance(end, str) for end in pair):
        return None
    ends = frozenset(map(tidy, pair))
    return ends if len(ends) == 2 and all(ends) else None


def _end(value: object) -> End | None:
    place, comma, end = value.rpartition(",") if isinstance(value, str) else ("", "", "")
    place, end = tidy(place), tidy(end)
    return (place, end) if comma and place and end and (place + end).isprintable() else None


def _slip(one: str, other: str) -> bool:
    # "Staging 1" and "Staging 2" are alike, and two places.
    figures = [[c for c in name if c.isdigit()] for name in (one, other)]
    return figures[0] == figures[1] and likeness(one[:200], other[:200]) >= SAME_NAME
