"""TOML files read to tables, and the checks that every key goes through."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from consist.intake.fields import Field
from consist.intake.files import Reading, file_bytes
from consist.names import did_you_mean, quoted, tidy

__all__ = ["Keys", "found", "read_toml"]

_AT = re.compile(r"^(.*?) ?\(at (?:line (\d+), column (\d+)|end of document)\)$", re.DOTALL)
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f]")


def read_toml(path: Path, reading: Reading) -> dict[str, Any] | None:
    """The file's table; None, with a problem added, where it is not TOML in UTF-8."""
    content = file_bytes(path, reading)
    if content is None:
        return None
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        reading.problem(f"line {line}", "found bytes that are not UTF-8, expected TOML in UTF-8; save it as UTF-8")
        return None
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        _syntax_problem(str(error), reading)
    except (ValueError, RecursionError):
        reading.problem("", "found a number or a nesting that no such file needs, expected plain TOML; remove it")
    return None


def _syntax_problem(message: str, reading: Reading) -> None:
    match = _AT.match(message)
    what, line, column = match.groups() if match else (message, None, None)
    place = f"line {line}, column {column}" if line else "end of the file"
    shown = "".join(c if c.isprintable() else " " for c in what)[:120]
    reading.problem(place, f"found what TOML does not allow ({shown}), expected key = value; correct that line")


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


class Keys:
    """The keys of one table of a file, by the fields declared for them, and what is wrong with them.

    `place` is where the table stands, such as "train 2", empty for the file's own keys. A key that no field declares
    is a problem.
    """

    def __init__(self, table: dict[str, Any], fields: Sequence[Field], place: str, reading: Reading) -> None:
        self.table, self.place, self.reading = table, place, reading
        self._fields = {each.name: each for each in fields}
        for key in table:
            if key not in self._fields:
                hint = did_you_mean(key, self._fields, "keys")
                shown = key if re.fullmatch(r"[\w-]{1,40}", key) else quoted(key)
                self.problem(shown, f"found a key that consist does not know; {hint}")

    def at(self, key: str) -> str:
        """Where a key stands."""
        return f"{self.place}, {key}" if self.place else key

    def problem(self, key: str, text: str) -> None:
        """Add a problem at a key; at the table itself where the key is empty."""
        self.reading.problem(self.at(key) if key else self.place, text)

    def found(self, key: str) -> str:
        """What a key holds, in words for a message."""
        return found(self.table[key]) if key in self.table else "nothing"

    def values(self, *keys: str) -> dict[str, Any]:
        """What keys hold, all of them where none is named; without those left out or, with a problem added, bad.

        Lists, times and tables are left to those who know what stands in them.
        """
        read = {key: self._value(self._fields[key]) for key in keys or self._fields}
        return {key: value for key, value in read.items() if value is not None}

    def _value(self, each: Field) -> Any:
        if each.is_number:
            return self._number(each)
        how = {"text": self._text, "name": self._text, "true or false": self._switch, "choice": self._choice}
        return how[each.kind](each) if each.kind in how else None

    def text(self, key: str) -> str | None:
        """The text of a key; None where it is left out or, with a problem added, bad."""
        return self._text(self._fields[key])

    def _text(self, each: Field) -> str | None:
        key, needed = each.name, each.needed
        if key not in self.table:
            if needed:
                self.problem(key, f'found nothing, expected {needed}; add {key} = "..."')
            return None
        text = _clean(self.table[key])
        if text is None or (needed and not text):
            self.problem(key, f'found {self.found(key)}, expected {needed or "a text"}; write {key} = "..."')
            return None
        return text

    def _number(self, each: Field) -> float | None:
        key, expected = each.name, each.bounds.words
        if key not in self.table:
            if each.needed:
                self.problem(key, f"found nothing, expected {expected}; add {key} = ...")
            return None
        number = _as_float(self.table[key])
        if number is None or not each.bounds.hold(number):
            cure = "write a number without quotes" if isinstance(self.table[key], str) else "correct the number"
            self.problem(key, f"found {self.found(key)}, expected {expected}; {cure}")
            return None
        return number

    def _switch(self, each: Field) -> bool | None:
        value = self.table.get(each.name)
        if each.name in self.table and not isinstance(value, bool):
            self.problem(each.name, f"found {found(value)}, expected true or false; write it without quotes")
            return None
        return value

    def _choice(self, each: Field) -> object:
        value = self.table.get(each.name)
        text = value.strip().lower() if isinstance(value, str) else ""
        if text not in each.words:
            expected = " or ".join(f'"{word}"' for word in each.words)
            self.problem(each.name, f"found {self.found(each.name)}, expected {expected}; {each.cure}")
        return each.words.get(text)

    def names(self, key: str) -> tuple[str, ...] | None:
        """The names listed at a key; None where it is left out or, with a problem added, not a list of texts."""
        if key not in self.table:
            return None
        value = self.table[key]
        names = [_clean(item) for item in value] if isinstance(value, list) else [None]
        if not all(names):
            bad = next((item for item in value if not _clean(item)), None) if isinstance(value, list) else None
            shown = f"{found(bad)} in the list" if isinstance(value, list) else found(value)
            self.problem(key, f'found {shown}, expected {self._fields[key].range_words}; write {key} = ["..."]')
            return None
        return tuple(name for name in names if name)

    def below(self, key: str) -> dict[str, Any]:
        """The table at a key, empty where it is left out or, with a problem added, not a table."""
        value = self.table.get(key, {})
        if isinstance(value, dict):
            return value
        self.problem(key, f"found {found(value)}, expected a table; write it as [{key}]")
        return {}

    def tables(self, key: str) -> list[dict[str, Any]]:
        """The list of tables at a key, empty where it is left out or, with a problem added, something else."""
        value = self.table.get(key, [])
        if isinstance(value, list) and all(isinstance(item, dict) for item in value):
            return value
        self.problem(key, f"found {found(value)}, expected one table or more; begin each with [[{key}]]")
        return []


def _clean(value: object) -> str | None:
    if not isinstance(value, str):
        return None
    text = tidy(value)
    return None if _CONTROL.search(text) else text


def _as_float(value: object) -> float | None:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return None
    try:
        return float(value)
    except OverflowError:
        return None
