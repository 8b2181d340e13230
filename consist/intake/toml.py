"""TOML files read to tables, and the checks that every key goes through."""

from __future__ import annotations

import datetime
import math
import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from consist.intake.fields import FILES_OWN, UNITS, Field, at_odds, declared
from consist.intake.files import Reading, file_bytes
from consist.names import did_you_mean, quoted, tidy

__all__ = ["Keys", "end_of", "found", "minutes_of", "read_toml"]

MOST_BYTES = 2_000_000
"""A layout of a thousand lines takes a tenth of it; what is longer takes the reader minutes and gigabytes."""
_DEEP = re.compile(rb"(?<![^\s=,{}.])(?:[^\s=,{}.]++ ?\. ?){20}")
"""Each part of a dotted key is a table within a table, which takes the reader the longer the more there are."""
_AT = re.compile(r"^(.*?) ?\(at (?:line (\d+), column (\d+)|end of document)\)$", re.DOTALL)
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f]")


def read_toml(path: Path, reading: Reading) -> dict[str, Any]:
    """The file's table; refused where it is not TOML in UTF-8."""
    content = file_bytes(path, reading)
    if len(content) > MOST_BYTES:
        told = f"found {len(content):,} bytes, expected up to {MOST_BYTES:,}; check that it is the right file"
        reading.refuse(told)
    if deep := _DEEP.search(content):
        told = "found a key of more parts than any file needs, expected key = value; correct that line"
        lines_before = content.count(b"\n", 0, deep.start())
        reading.refuse(told, f"line {lines_before + 1}")
    try:
        return tomllib.loads(content.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        told = "found bytes that are not UTF-8, expected TOML in UTF-8; save it as UTF-8"
        reading.refuse(told, f"line {line}")
    except tomllib.TOMLDecodeError as error:
        match = _AT.match(str(error))
        what, row, column = match.groups() if match else (str(error), None, None)
        shown = "".join(c if c.isprintable() else " " for c in what)[:120]
        told = f"found what TOML does not allow ({shown}), expected key = value; correct that line"
        reading.refuse(told, f"line {row}, column {column}" if row else "end of the file")
    except (ValueError, RecursionError):
        reading.refuse("found a number or a nesting that no such file needs, expected plain TOML; remove it")


def found(value: object) -> str:
    """What a key holds, in words for a message."""
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return f"{value:.6g}" if isinstance(value, float) or abs(value) < 1e15 else "a number too large"
    if isinstance(value, list):
        return "a list" if value else "an empty list"
    return "a table" if isinstance(value, dict) else "a date or time"


def _text(value: object, each: Field) -> str | None:
    text = tidy(value) if isinstance(value, str) else None
    return None if text is None or _CONTROL.search(text) or (each.needed and not text) else text


def _names(value: object, each: Field) -> tuple[str, ...] | None:
    names = tuple(_text(item, each) or "" for item in value) if isinstance(value, list) else ("",)
    return names if all(names) else None


def _stops(value: object, each: Field) -> tuple[str | dict[str, Any], ...] | None:
    if not isinstance(value, list):
        return None
    stops = tuple(item if isinstance(item, dict) else _text(item, each) or "" for item in value)
    return stops if all(stop != "" for stop in stops) else None


def _number(value: object, each: Field) -> float | None:
    try:
        number = float(value) if isinstance(value, (int, float)) and not isinstance(value, bool) else math.nan
    except OverflowError:
        number = math.inf
    return number if each.bounds.hold(number) else None


def minutes_of(value: object) -> int | None:
    """Minutes after midnight of a time as written, None where it is not one.

    >>> minutes_of("10:40"), minutes_of("24:00")
    (640, None)
    """
    if isinstance(value, datetime.time) and value.second == value.microsecond == 0:
        return value.hour * 60 + value.minute
    match = re.fullmatch(r"([01]?[0-9]|2[0-3]):([0-5][0-9])", value.strip()) if isinstance(value, str) else None
    return None if match is None else int(match[1]) * 60 + int(match[2])


def end_of(value: object) -> tuple[str, str] | None:
    """The place and the end that a text such as "PLACE, END" names, None where it is none."""
    place, _, end = (tidy(part) for part in value.rpartition(",")) if isinstance(value, str) else ("", "", "")
    return (place, end) if place and end and (place + end).isprintable() else None


class _Kind(NamedTuple):
    """How a key of a kind is read, None where it cannot be; how it is written, and what is said of a bad one.

    `add` is said of one that is left out; where it is empty, the cure is.
    """

    read: Callable[[Any, Field], Any]
    form: str = "..."
    expected: str = ""
    cure: str = "write {key} = {form}"
    add: str = "add {key} = {form}"


def _of(kind: type) -> Callable[[Any, Field], Any]:
    return lambda value, _: value if isinstance(value, kind) and value != [] else None


def _choice(value: object, each: Field) -> object:
    return each.words.get(value.strip().lower()) if isinstance(value, str) else None


def _tables(value: object, _: Field) -> list[Any] | None:
    return value if isinstance(value, list) and all(isinstance(one, dict) for one in value) else None


_TEXT = _Kind(_text, '"..."', "a text")
_KINDS = {
    "text": _TEXT,
    "name": _TEXT,
    "text or table": _TEXT,
    "stops": _Kind(_stops, '["...", "..."]', cure=""),
    "list": _Kind(_names, '["...", "..."]', cure=""),
    "time": _Kind(lambda value, _: minutes_of(value), cure=""),
    "choice": _Kind(_choice, cure="", add=""),
    "true or false": _Kind(_of(bool), expected="true or false", cure="write it without quotes"),
    "table": _Kind(_of(dict), expected="a table", cure="write it as [{key}]"),
    "tables": _Kind(_tables, expected="one table or more", cure="begin each with [[{key}]]"),
    "end": _Kind(lambda value, _: end_of(value), '"PLACE, END"', add=""),
    "pieces": _Kind(_of(list), "[{ length = ... }]", add=""),
    **dict.fromkeys(UNITS, _Kind(_number, cure="correct the number")),
}
_ALONE = frozenset({"text", "true or false", "choice", *UNITS})
"""The kinds that say all there is to say by themselves."""


class Keys:
    """The keys of one table of a file, by the tables of `fields.toml` that declare them, and what is wrong with them.

    `place` is where the table stands, such as "train 2", empty for the file's own keys. A key that no field declares
    is a problem. `unit_mm` is the unit of lengths that are in that of the file.
    """

    def __init__(
        self, table: dict[str, Any], declared_in: Sequence[str], place: str, reading: Reading, unit_mm: float = 1.0
    ) -> None:
        self.table, self.place, self.reading, self.unit_mm = table, place, reading, unit_mm
        self._declared_in = declared_in
        self._fields = {each.name: each for each in declared(*declared_in)}
        for key in table:
            if key not in self._fields:
                hint = did_you_mean(key, self._fields, "keys")
                shown = key if re.fullmatch(r"[\w-]{1,40}", key) else quoted(key)
                self.problem(shown, f"found a key that consist does not know; {hint}")

    def within(self, table: dict[str, Any], place: str, *declared_in: str) -> Keys:
        """The keys of a table within this one."""
        return Keys(table, declared_in, self.at(place), self.reading, self.unit_mm)

    def at(self, key: str) -> str:
        """Where a key stands; the table itself where it is empty."""
        return ", ".join(filter(None, (self.place, key)))

    def problem(self, key: str, text: str) -> None:
        """Add a problem at a key, or at the table itself."""
        self.reading.problem(self.at(key), text)

    def found(self, key: str) -> str:
        """What a key holds, in words for a message."""
        return found(self.table[key]) if key in self.table else "nothing"

    def values(self, *keys: str) -> dict[str, Any]:
        """What keys hold, by the names they go on by, without those left out or bad.

        Where none is named, of all but lists, times and tables.
        """
        asked = keys or [each.name for each in self._fields.values() if each.kind in _ALONE]
        read = {self._fields[key].stored or key: self.value(key) for key in asked}
        return {name: value for name, value in read.items() if value is not None}

    def value(self, key: str) -> Any:
        """What a key holds, lengths in mm; None where it is left out or, with a problem added, bad."""
        each = self._fields[key]
        if key not in self.table and not each.needed:
            return None
        value = _KINDS[each.kind].read(self.table.get(key), each)
        if value is None:
            self._refuse(each)
        elif each.kind == FILES_OWN:
            value *= self.unit_mm
        return value

    def _refuse(self, each: Field) -> None:
        key, kind, value = each.name, _KINDS[each.kind], self.table.get(each.name)
        shown, expected = self.found(key), each.range_words or kind.expected
        cure = (kind.cure if key in self.table else kind.add or kind.cure).format(
            key=key, form=kind.form
        ) or each.cure
        if each.kind in ("list", "stops") and isinstance(value, list):
            tables = dict if each.kind == "stops" else ()
            bad = next(item for item in value if not _text(item, each) and not isinstance(item, tables))
            shown = f"{found(bad)} in the list"
        elif each.kind == "choice":
            expected = " or ".join(f'"{word}"' for word in each.words)
        elif each.is_number and isinstance(value, str):
            cure = "write a number without quotes"
        self.problem(key, f"found {shown}, expected {expected}; {cure}")

    def check(self, values: Mapping[str, Any]) -> None:
        """Add a problem for keys that contradict each other; `values` has defaults for what is left out."""
        for key, told in at_odds(self._declared_in[0], values, self.table.keys()):
            self.problem(key, told)
