"""What the columns of somebody's own table are, guessed from their headings and from what stands below them.

Usual headings are data, in `headings.toml`. What is in doubt is guessed all the same and says why it is in doubt;
nothing is read of a column whose unit cannot be known.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, replace
from functools import cache, cached_property, lru_cache
from importlib.resources import files
from itertools import islice
from pathlib import Path
from statistics import median
from typing import Any

from consist.intake.fields import UNITS, Field
from consist.intake.files import Reading
from consist.intake.table_map import ROWS_LOOKED_AT, TABLES, TableMap, fields_of, heading_names, proto_column
from consist.intake.tables import sheets_in
from consist.intake.workbook import Sheet, letters
from consist.measures import UNIT_WORDS, prototype_feet, written_number
from consist.names import tidy
from consist.scales import HO_RATIO, MM_PER_FOOT

__all__ = ["ColumnGuess", "Guessed", "guess"]

VALUES_SHOWN = 3
NUMBER = re.compile(r"[\d.,]+$")
BY_FIGURES = "its unit is guessed from its figures"
LEAST_FT, MOST_FT = 15.0, 110.0
"""Of cars at full size; what is outside is asked about as unlikely everywhere."""


@dataclass(frozen=True)
class ColumnGuess:
    """One of our columns, the owner's headings taken for it, its first values, and why it is in doubt, if it is."""

    column: str
    headings: tuple[str, ...]
    values: tuple[str, ...]
    doubt: str = ""


@dataclass(frozen=True)
class Guessed:
    """A table's kind, how it is to be read, each column guessed, and the headings left unread."""

    kind: str
    how: TableMap
    columns: tuple[ColumnGuess, ...]
    unread: tuple[str, ...]
    names: tuple[str, ...]
    """All that the heading row holds."""
    passed: tuple[str, ...]
    """Sheets that were passed over."""
    lacking: tuple[str, ...]
    """What must be there and was not found, in words."""


@dataclass(frozen=True)
class _Headed:
    """A sheet with its first heading row at hand, counted from 0, how many there are, and the rows below."""

    sheet: Sheet
    at: int
    count: int = 1

    @cached_property
    def names(self) -> list[str]:
        return heading_names(self.sheet.rows[self.at : self.at + self.count])

    def meant(self, place: int, kind: str) -> tuple[str, bool] | None:
        """What a column stands for, by its whole heading or the lower part of it, and whether that is in doubt."""
        lower = self.sheet.rows[self.at + self.count - 1]
        told = [self.names[place], *([tidy(lower[place])] if place < len(lower) else [])]
        known = [each for name in told if name and (each := _meant(name, kind)) is not None]
        return min(known, key=lambda each: each[1], default=None)

    def known(self, kind: str, asked: Set[str]) -> tuple[int, int]:
        """How many of its headings are known or asked for, and of how many the unit too."""
        meant = [
            name
            for place, name in enumerate(self.names)
            if name and (name.casefold() in asked or (not NUMBER.match(name) and self.meant(place, kind) is not None))
        ]
        return len(meant), sum(bool(_parted(name)[1]) for name in meant)

    @cached_property
    def below(self) -> list[Sequence[str]]:
        """The rows of what the table holds, without totals and what stands above them once more."""
        rows, first = [[tidy(cell) for cell in row] for row in self.sheet.rows], self.at + self.count
        above = rows[:first]
        return [row for row in rows[first:] if row not in above and not _totals().match(next(filter(None, row), ""))]

    def values(self, place: int) -> Iterator[str]:
        """The cells of a column that hold anything."""
        return (value for row in self.below if place < len(row) and (value := row[place]))


def guess(
    path: Path,
    reading: Reading,
    kind: str | None = None,
    taken: Mapping[str, str] | None = None,
    ratio: float | None = None,
    sheet: str = "",
) -> Guessed:
    """What a file's table is, by its headings; of its sheets the one that has most of what is looked for.

    `kind` is one of a session's tables, guessed where it is None. `taken` gives by our column the heading that it
    has for certain, empty where it has none; two headings are joined by ` + `. `ratio` is that of the scale, by which
    a length without a unit is known. Raises `InputError` where the file cannot be read.
    """
    sheets = [each for each in sheets_in(path, reading) if not sheet or each.name.casefold() == sheet.casefold()]
    if not sheets:
        reading.refuse(f"found no sheet {sheet!r} that is shown; name another")
    kinds = TABLES if kind is None else (kind,)
    tries = [
        (_score(name, headed, path), -order, name, headed)
        for order, name in enumerate(kinds)
        for each in sheets
        for headed in [_headed(each, name, taken or {})]
    ]
    _, _, name, headed = max(tries, key=lambda each: each[:2])
    found = _columns(name, headed, taken or {}, ratio)
    used = {heading for each in found for heading in each.headings}
    columns = {each.column: each.headings for each in found}
    how = TableMap(
        file=path.name,
        sheet=headed.sheet.name if len(sheets) > 1 or sheet else "",
        header=headed.at + 1,
        header_rows=headed.count,
        columns=columns,
        skip=_skipped(headed),
    )
    unread = tuple(
        heading or f"the column without a heading ({letters(place + 1)})"
        for place, heading in enumerate(headed.names)
        if heading not in used and (heading or any(headed.values(place)))
    )
    passed = tuple(each.name for each in sheets if each is not headed.sheet)
    return Guessed(name, how, tuple(found), unread, tuple(headed.names), passed, tuple(_lacking(name, columns)))


@cache
def _known() -> dict[str, dict[str, Any]]:
    return tomllib.loads((files("consist.intake") / "headings.toml").read_text(encoding="utf-8"))


@cache
def _totals() -> re.Pattern[str]:
    """What a row of totals begins with."""
    words = sorted(_known()["rows"]["skip"], key=len, reverse=True)
    return re.compile(rf"({'|'.join(map(re.escape, words))})(?!\w)", re.I)


@cache
def _phrases(kind: str) -> dict[str, tuple[str, bool]]:
    """By a usual heading: the field it stands for, or `mark` or `number`, and whether it may mean another."""
    tables = ("cars", "guests") if kind == "guests" else (kind,)
    found: dict[str, tuple[str, bool]] = {}
    for table in tables:
        for name, phrases in _known()[table].items():
            for phrase in phrases:
                found.setdefault(phrase.rstrip("?"), (name, phrase.endswith("?")))
    for each in fields_of(kind):
        found[each.name.replace("_", " ")] = (each.name, False)
    return found


def _parted(heading: str) -> tuple[str, str]:
    """A heading in small letters without its unit, and that unit, empty where it says none.

    >>> _parted("Weight (oz.)"), _parted("body_length_mm"), _parted("Length in feet")
    (('weight', 'oz'), ('body length', 'mm'), ('length', 'proto_ft'))
    """
    said = " ".join(re.sub(r"[_.,:;()\[\]/-]", " ", heading.casefold()).split())
    for unit, words in _known()["units"].items():
        for word in sorted(words, key=len, reverse=True):
            if said.endswith(f" {word}") or (said == word and unit == "proto_ft"):
                return said.removesuffix(word).strip().removesuffix(" in") or said, unit
    return said, ""


@lru_cache(maxsize=4096)
def _meant(heading: str, kind: str) -> tuple[str, bool] | None:
    """What a heading stands for, and whether that is in doubt; None where it is not known."""
    phrases, (said, _) = _phrases(kind), _parted(heading)
    whole = " ".join(re.sub(r"[_.,:;()\[\]-]", " ", heading.casefold()).split())
    if (meant := phrases.get(whole) or phrases.get(said)) is not None:
        return meant
    within = [phrase for phrase in phrases if len(phrase) > 2 and re.search(rf"\b{re.escape(phrase)}\b", said)]
    return (phrases[max(within, key=len)][0], True) if within else None


def _headed(sheet: Sheet, kind: str, taken: Mapping[str, str]) -> _Headed:
    """The sheet by the row, or the two rows, with most headings that are known; where none has any, by the first row
    that holds anything."""
    asked = {tidy(each).casefold() for told in taken.values() for each in told.split(" + ")}
    rows = sheet.rows[:ROWS_LOOKED_AT]
    tries = [
        (known, -count, -at, headed)
        for at, row in enumerate(rows)
        for count in (1, 2)
        if len([*filter(None, row)]) > 1 and (count == 1 or (at + 1 < len(rows) and _goes_on(rows[at + 1], kind)))
        for headed in [_Headed(sheet, at, count)]
        if (known := headed.known(kind, asked))[0]
    ]
    if tries:
        return max(tries, key=lambda each: each[:3])[3]
    return _Headed(sheet, next((at for at, row in enumerate(rows) if any(row)), 0))


def _goes_on(row: Sequence[str], kind: str) -> bool:
    """Whether a row may be the lower one of two heading rows: no figures, and half of it headings or units."""
    cells = [*filter(None, map(tidy, row))]
    known = sum(_meant(cell, kind) is not None or bool(_parted(f"of {cell}")[1]) for cell in cells)
    return 0 < len(cells) <= 2 * known and not any(re.search(r"\d", cell) for cell in cells)


def _score(kind: str, headed: _Headed, path: Path) -> float:
    """How well a sheet is taken for a kind: by its headings, what they must tell, what it is called, and any rows."""
    if not headed.sheet.rows:
        return -1.0
    meant = {each[0] for place in range(len(headed.names)) if (each := headed.meant(place, kind)) is not None}
    called = {headed.sheet.name.casefold(), path.stem.casefold().replace("_", " ")}
    name = fields_of(kind)[0].name
    needed = name in meant or (name in ("car", "engine") and bool({"mark", "number"} & meant))
    own = {"guests": {"wheels_in_gauge", "coupler_height_ok"}, "trains": {"train"}, "engines": {"engine", "pull"}}
    own_share = len(own.get(kind, set()) & meant)
    return (
        len(meant)
        + 3.0 * needed
        + 3.0 * bool(called & {*_known()["sheets"][kind]})
        + 2.0 * own_share
        + bool(headed.below)
    )


def _columns(kind: str, headed: _Headed, taken: Mapping[str, str], ratio: float | None) -> list[ColumnGuess]:
    names = headed.names
    fields = {each.name: each for each in fields_of(kind)}
    by_heading = {name.casefold(): name for name in reversed(names) if name}
    certain = {
        column: tuple(by_heading.get(tidy(part).casefold(), tidy(part)) for part in told.split(" + "))
        for column, told in taken.items()
        if told
    }
    settled = {_field_of(column, fields) for column in taken}
    used = {heading for headings in certain.values() for heading in headings}
    found: dict[str, list[tuple[int, bool]]] = {}
    for place, name in enumerate(names):
        if name and name not in used and names.count(name) == 1 and (meant := headed.meant(place, kind)) is not None:
            found.setdefault(meant[0], []).append((place, meant[1]))
    guesses = [
        ColumnGuess(column, headings, _shown(headed, [names.index(each) for each in headings if each in names]))
        for column, headings in certain.items()
    ]
    title = "engine" if kind == "engines" else "car"
    parts = [found.pop(part, []) for part in ("mark", "number")]
    if title in fields and title not in settled and title not in found and parts[1]:
        places = [each[0][0] for each in parts if each]
        doubt = "" if len(places) == 2 else "a number alone names it"
        guesses.append(ColumnGuess(title, tuple(names[p] for p in places), _shown(headed, places), doubt))
    for each in fields.values():
        if each.name not in settled and each.name in found:
            place, doubted = min(found[each.name], key=lambda one: (one[1], one[0]))
            made = _one(each, names[place], headed, place, kind, ratio)
            if made is not None:
                doubts = filter(None, (made.doubt, "the heading may mean something else" if doubted else ""))
                guesses.append(replace(made, doubt="; ".join(doubts)))
    order = [column for each in fields.values() for column in (*each.columns, proto_column(each))]
    return sorted(guesses, key=lambda each: order.index(each.column) if each.column in order else len(order))


def _field_of(column: str, fields: Mapping[str, Field]) -> str:
    return next((n for n, each in fields.items() if column in (*each.columns, proto_column(each))), column)


def _one(
    each: Field, heading: str, headed: _Headed, place: int, kind: str, ratio: float | None
) -> ColumnGuess | None:
    shown = _shown(headed, [place])
    if len(UNITS.get(each.kind, {})) < 2:
        return ColumnGuess(next(iter(each.columns)), (heading,), shown)
    values = list(islice(headed.values(place), 200))
    unit, doubt = _parted(heading)[1], ""
    if unit not in (*UNITS[each.kind], *(["proto_ft"] if each.kind == "length" else [])):
        unit, doubt = _unit_of(each, values, kind, ratio)
    return ColumnGuess(f"{each.name}_{unit}", (heading,), shown, doubt) if unit else None


def _unit_of(each: Field, values: Sequence[str], kind: str, ratio: float | None) -> tuple[str, str]:
    """The unit of a column whose heading says none, by its cells or their size; and why it is in doubt."""
    written = [found for value in values if (found := written_number(value, decimal_comma=True)) is not None]
    said = [unit for _, unit in written if unit]
    feet = [value for value in values if "'" in value and "''" not in value and prototype_feet(value)]
    if each.kind == "length" and len(feet) * 2 > len(values):
        return "proto_ft", ""
    if said and len(said) * 2 >= len(written):
        size = UNIT_WORDS[each.kind].get(max(set(said), key=said.count))
        fitting = [unit for unit, of_it in UNITS[each.kind].items() if of_it == size]
        return (fitting or [next(iter(UNITS[each.kind]))])[0], ""
    numbers = [number for number, _ in written if number > 0]
    if not numbers:
        return "", ""
    middle = median(numbers)
    if each.kind == "weight":
        # between what a usual car weighs in ounces and in grams
        between = 21.0 * (HO_RATIO / (ratio or HO_RATIO)) ** 2.5
        return ("oz" if middle < between else "g"), BY_FIGURES
    if ratio is None or kind == "pieces":
        return "", ""
    sizes = {**UNITS["length"], "proto_ft": MM_PER_FOOT / ratio}
    fit = [unit for unit, size in sizes.items() if LEAST_FT <= middle * size * ratio / MM_PER_FOOT <= MOST_FT]
    return (fit[0], BY_FIGURES) if len(fit) == 1 else ("", "")


def _shown(headed: _Headed, places: Sequence[int]) -> tuple[str, ...]:
    rows = (tidy(" ".join(row[place] for place in places if place < len(row))) for row in headed.below)
    return tuple(islice(filter(None, rows), VALUES_SHOWN))


def _skipped(headed: _Headed) -> tuple[str, ...]:
    """Words that begin rows of totals, as the sheet writes them."""
    firsts = (next(filter(None, map(tidy, row)), "") for row in headed.sheet.rows[headed.at + headed.count :])
    return tuple(dict.fromkeys(found[0] for first in firsts if (found := _totals().match(first)) is not None))


def _lacking(kind: str, columns: Mapping[str, object]) -> Iterator[str]:
    fields = fields_of(kind)
    for each in fields:
        if (each.kind == "name" or each.needed) and each.name not in columns:
            yield each.name
    if kind in ("cars", "guests") and not any("_length_" in column for column in columns):
        yield "body_length or coupled_length"
