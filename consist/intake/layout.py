"""A layout's file: scale, places, and the lines of track between them."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import Any, Literal, cast

from consist.intake.pieces import read_piece
from consist.intake.quantities import LENGTH, POSITIVE, Bounds
from consist.intake.reading import Reading, raise_problems
from consist.intake.records import LayoutRecord, LineRecord, PieceRecord, PlaceRecord
from consist.intake.toml import check_keys, found, number_at, read_toml, table_at, tables_at, text_at, under
from consist.names import did_you_mean, likeness, nearest, plain, quoted, tidy
from consist.scales import SCALES, Scale

__all__ = ["known_scale", "read_layout", "read_layout_into"]

KEYS = ("name", "scale", "units", "place", "line")
CLEARANCES = ("clearance_height", "clearance_width")
SCALE_BOUNDS = {"ratio": Bounds(1, 1000), "gauge_mm": Bounds(1, 1000), "coupler_height_mm": Bounds(0.1, 1000)}
SAME_NAME = 0.85
"""Two names at least this alike, by difflib, are taken for one name with a slip of the pen."""

End = tuple[str, str]


def read_layout(path: Path) -> LayoutRecord:
    """The layout of a file, lengths in millimetres. Raises `InputError` with every problem of the file."""
    reading = Reading(plain(path.name or str(path)))
    layout = read_layout_into(path, reading)
    raise_problems([reading])
    assert layout is not None
    return layout


def read_layout_into(path: Path, reading: Reading) -> LayoutRecord | None:
    """The layout of a file, problems going to `reading`; None where its lines cannot be used."""
    table = read_toml(path, reading)
    if table is None:
        return None
    check_keys(table, KEYS, "", reading)
    name = text_at(table, "name", "", reading) or path.stem
    scale = _scale(table, reading)
    unit = _unit(table, reading)
    unit_mm = LENGTH[unit or "mm"]
    places = _places(table, unit_mm, reading)
    least_radius_mm = scale.gauge_mm / 2 if scale else 0.0
    lines = _lines(table, unit or "mm", least_radius_mm, reading)
    if lines is None:
        return None
    _check_places(places, lines, reading)
    if scale is None:
        return None
    return LayoutRecord(reading.file, name, scale, unit or "mm", places, lines, tuple(reading.notes))


def known_scale(name: str) -> Scale | None:
    """The known scale of that name, in any case, with NEM's H0 and 0 for HO and O; None if there is none.

    >>> known_scale("h0").name
    'HO'
    """
    folded = tidy(name).casefold()
    folded = {"h0": "ho", "0": "o"}.get(folded, folded)
    return next((scale for scale in SCALES.values() if scale.name.casefold() == folded), None)


def _scale(table: dict[str, Any], reading: Reading) -> Scale | None:
    value = table.get("scale")
    if isinstance(value, dict):
        return _own_scale(value, reading)
    name = text_at(table, "scale", "", reading, 'a scale such as "HO", or a table of ratio, gauge and coupler height')
    if name is None:
        return None
    scale = known_scale(name)
    if scale is None:
        hint = did_you_mean(name, SCALES, "scales")
        reading.problem(
            "scale",
            f"found {quoted(name)}, expected a known scale; {hint} or write "
            "scale = { ratio = ..., gauge_mm = ..., coupler_height_mm = ... }",
        )
    return scale


def _own_scale(value: dict[str, Any], reading: Reading) -> Scale | None:
    check_keys(value, tuple(SCALE_BOUNDS), "scale", reading)
    ratio, gauge, height = (
        number_at(value, key, bounds, "scale", reading, needed=True) for key, bounds in SCALE_BOUNDS.items()
    )
    if ratio is None or gauge is None or height is None:
        return None
    return Scale(f"1:{ratio:g}", ratio, gauge, height)


def _unit(table: dict[str, Any], reading: Reading) -> Literal["in", "mm"] | None:
    value = table.get("units")
    text = value.strip().lower() if isinstance(value, str) else ""
    if text in ("in", "mm"):
        return cast(Literal["in", "mm"], text)
    shown = "nothing" if "units" not in table else found(value)
    reading.problem("units", f'found {shown}, expected "in" or "mm"; write the unit of the lengths in this file')
    return None


def _places(table: dict[str, Any], unit_mm: float, reading: Reading) -> dict[str, PlaceRecord]:
    places: dict[str, PlaceRecord] = {}
    for written, value in table_at(table, "place", "", reading).items():
        name = tidy(written)
        label = f"place {quoted(name)}"
        if not isinstance(value, dict):
            reading.problem(label, f'found {found(value)}, expected a table; write it as [place."{plain(name)}"]')
            continue
        if not name or name in places:
            reading.problem(label, "found a place without a name of its own, expected each name once; rename it")
            continue
        check_keys(value, ("through", "standing", *CLEARANCES), label, reading)
        standing = number_at(value, "standing", POSITIVE, label, reading)
        through = _through(value, label, reading)
        clearances = _clearances(value, unit_mm, label, reading)
        places[name] = PlaceRecord(name, through, None if standing is None else standing * unit_mm, *clearances)
    return places


def _through(value: dict[str, Any], label: str, reading: Reading) -> tuple[End, ...] | None:
    if "through" not in value:
        return None
    pairs = value["through"]
    place = under(label, "through")
    if not isinstance(pairs, list):
        reading.problem(place, f'found {found(pairs)}, expected a list of pairs of ends; write [["...", "..."]]')
        return None
    moves = [_pair(pair) for pair in pairs]
    if None in moves:
        bad = pairs[moves.index(None)]
        shown = "[" + ", ".join(found(end) for end in bad[:3]) + "]" if isinstance(bad, list) else found(bad)
        reading.problem(
            place, f'found {shown}, expected a pair of two different ends; write each move as ["west", "east"]'
        )
        return None
    return tuple(move for move in moves if move is not None)


def _pair(pair: object) -> End | None:
    if not isinstance(pair, list) or len(pair) != 2 or not all(isinstance(end, str) for end in pair):
        return None
    one, other = (tidy(end) for end in pair)
    return (one, other) if one and other and one != other else None


def _lines(
    table: dict[str, Any], unit: str, least_radius_mm: float, reading: Reading
) -> tuple[LineRecord, ...] | None:
    tables = tables_at(table, "line", reading)
    if not tables:
        if isinstance(table.get("line", []), list) and not table.get("line"):
            reading.problem("line", "found no line of track, expected at least one; add a [[line]]")
        return None
    lines = [_line(number, value, unit, least_radius_mm, reading) for number, value in enumerate(tables, start=1)]
    good = tuple(line for line in lines if line is not None)
    return good if len(good) == len(lines) else None


def _line(
    number: int, value: dict[str, Any], unit: str, least_radius_mm: float, reading: Reading
) -> LineRecord | None:
    start, finish = _end(value.get("from")), _end(value.get("to"))
    label = f"line {number}" + (f" ({plain(start[0])} to {plain(finish[0])})" if start and finish else "")
    check_keys(value, ("from", "to", "track", *CLEARANCES), label, reading)
    for key, end in (("from", start), ("to", finish)):
        if end is None:
            shown = found(value[key]) if key in value else "nothing"
            reading.problem(
                under(label, key), f'found {shown}, expected a place and its end; write {key} = "PLACE, END"'
            )
    if start is not None and start == finish:
        reading.problem(
            under(label, "to"), "found the very end that the line starts from, expected another; correct from or to"
        )
    pieces = _track(value, unit, least_radius_mm, label, reading)
    clearances = _clearances(value, LENGTH[unit], label, reading)
    if start is None or finish is None or start == finish or pieces is None:
        return None
    return LineRecord(start, finish, pieces, *clearances)


def _clearances(
    value: dict[str, Any], unit_mm: float, label: str, reading: Reading
) -> tuple[float | None, float | None]:
    """The height and width in mm of what may pass, None for each that is not given."""
    height, width = (number_at(value, key, POSITIVE, label, reading) for key in CLEARANCES)
    return (None if height is None else height * unit_mm, None if width is None else width * unit_mm)


def _end(value: object) -> End | None:
    if not isinstance(value, str):
        return None
    place, comma, end = value.rpartition(",")
    place, end = tidy(place), tidy(end)
    return (place, end) if comma and place and end and (place + end).isprintable() else None


def _track(
    value: dict[str, Any], unit: str, least_radius_mm: float, label: str, reading: Reading
) -> tuple[PieceRecord, ...] | None:
    track = value.get("track")
    if not isinstance(track, list) or not track:
        shown = found(track) if "track" in value else "nothing"
        reading.problem(
            under(label, "track"),
            f"found {shown}, expected a list of one piece or more; write track = [{{ length = ... }}]",
        )
        return None
    pieces = [
        read_piece(piece, LENGTH[unit], unit, least_radius_mm, f"{label}, piece {number}", reading)
        for number, piece in enumerate(track, start=1)
    ]
    good = tuple(piece for piece in pieces if piece is not None)
    return good if len(good) == len(pieces) else None


def _check_places(places: dict[str, PlaceRecord], lines: tuple[LineRecord, ...], reading: Reading) -> None:
    ends: dict[str, set[str]] = {}
    for number, line in enumerate(lines, start=1):
        for key, (place, end) in (("from", line.start), ("to", line.finish)):
            label = under(f"line {number} ({plain(line.start[0])} to {plain(line.finish[0])})", key)
            if place not in ends:
                _check_spelling(place, places, label, reading)
            ends.setdefault(place, set()).add(end)
    for name, record in places.items():
        if name not in ends:
            reading.note(f"declares the place {quoted(name)}, which no line comes to")
            continue
        named = dict.fromkeys(end for pair in record.through or () for end in pair)
        for end in named:
            if end not in ends[name]:
                near = nearest(end, sorted(ends[name]))
                hint = f"; did you mean {quoted(near)}?" if near else ""
                reading.note(f"names the end {quoted(end)} of {quoted(name)}, which no line comes to{hint}")


def _check_spelling(place: str, declared: Collection[str], label: str, reading: Reading) -> None:
    if place in declared:
        return
    near = next((name for name in declared if _slip(place, name)), None)
    if near is not None:
        reading.problem(
            label,
            f"found the place {quoted(place)}, did you mean {quoted(near)}? Expected one spelling; correct it, "
            f'or declare [place."{plain(place)}"] if it is a place of its own',
        )


def _slip(one: str, other: str) -> bool:
    # "Staging 1" and "Staging 2" are alike, and two places.
    figures = [[c for c in name if c.isdigit()] for name in (one, other)]
    return figures[0] == figures[1] and likeness(one[:200], other[:200]) >= SAME_NAME
