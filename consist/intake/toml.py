"""TOML files read to tables, and the checks that every key goes through."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from consist.intake.fields import Field
from consist.intake.files import Reading, file_bytes
from consist.names import did_you_mean, quoted, tidy

__all__ = [
    "check_keys",
    "found",
    "list_of_names",
    "read_keys",
    "read_toml",
    "table_at",
    "tables_at",
    "text_at",
    "under",
    "values_at",
]

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


def under(place: str, key: str) -> str:
    """The place of a key below another place.

    >>> under("train 2", "route"), under("", "title")
    ('train 2, route', 'title')
    """
    return f"{place}, {key}" if place else key


def read_keys(table: dict[str, Any], fields: Sequence[Field], place: str, reading: Reading) -> dict[str, Any]:
    """What the keys of a table hold that are a text, a number, one of a few words, or true or false.

    Without those left out or, with a problem added, bad. A key that no field declares is a problem too.
    """
    check_keys(table, fields, place, reading)
    return values_at(table, fields, place, reading)


def values_at(table: dict[str, Any], fields: Sequence[Field], place: str, reading: Reading) -> dict[str, Any]:
    """As `read_keys`, of some keys of a table that may hold others."""
    read = {each.name: how(table, each, place, reading) for each in fields if (how := _reader(each)) is not None}
    return {key: value for key, value in read.items() if value is not None}


def check_keys(table: dict[str, Any], fields: Sequence[Field], place: str, reading: Reading) -> None:
    """Add a problem for each key that is not known."""
    known = [each.name for each in fields]
    for key in table:
        if key not in known:
            hint = did_you_mean(key, known, "keys")
            shown = key if re.fullmatch(r"[\w-]{1,40}", key) else quoted(key)
            reading.problem(under(place, shown), f"found a key that consist does not know; {hint}")


def text_at(table: dict[str, Any], each: Field, place: str, reading: Reading) -> str | None:
    """The text of a key; None where it is left out or, with a problem added, bad."""
    key, needed = each.name, each.needed
    if key not in table:
        if needed:
            reading.problem(under(place, key), f'found nothing, expected {needed}; add {key} = "..."')
        return None
    text = _clean(table[key])
    if text is None or (needed and not text):
        told = f'found {found(table[key])}, expected {needed or "a text"}; write {key} = "..."'
        reading.problem(under(place, key), told)
        return None
    return text


def _clean(value: object) -> str | None:
    if not isinstance(value, str):
        return None
    text = tidy(value)
    return None if _CONTROL.search(text) else text


def _number(table: dict[str, Any], each: Field, place: str, reading: Reading) -> float | None:
    key, expected = each.name, each.bounds.words
    if key not in table:
        if each.needed:
            reading.problem(under(place, key), f"found nothing, expected {expected}; add {key} = ...")
        return None
    value = table[key]
    number = _as_float(value)
    if number is None or not each.bounds.hold(number):
        cure = "write a number without quotes" if isinstance(value, str) else "correct the number"
        reading.problem(under(place, key), f"found {found(value)}, expected {expected}; {cure}")
        return None
    return number


def _as_float(value: object) -> float | None:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return None
    try:
        return float(value)
    except OverflowError:
        return None


def _switch(table: dict[str, Any], each: Field, place: str, reading: Reading) -> bool | None:
    value = table.get(each.name)
    if each.name in table and not isinstance(value, bool):
        text = f"found {found(value)}, expected true or false; write it without quotes"
        reading.problem(under(place, each.name), text)
        return None
    return value


def _choice(table: dict[str, Any], each: Field, place: str, reading: Reading) -> object:
    value = table.get(each.name)
    text = value.strip().lower() if isinstance(value, str) else ""
    if text in each.words:
        return each.words[text]
    shown = "nothing" if each.name not in table else found(value)
    expected = " or ".join(f'"{word}"' for word in each.words)
    reading.problem(under(place, each.name), f"found {shown}, expected {expected}; {each.cure}")
    return None


def _reader(each: Field) -> Callable[[dict[str, Any], Field, str, Reading], Any] | None:
    if each.is_number:
        return _number
    return {"text": text_at, "name": text_at, "true or false": _switch, "choice": _choice}.get(each.kind)


def table_at(table: dict[str, Any], key: str, place: str, reading: Reading) -> dict[str, Any]:
    """The table at a key, empty where it is absent or, with a problem added, not a table."""
    value = table.get(key, {})
    if isinstance(value, dict):
        return value
    reading.problem(under(place, key), f"found {found(value)}, expected a table; write it as [{key}]")
    return {}


def tables_at(table: dict[str, Any], key: str, reading: Reading) -> list[dict[str, Any]]:
    """The list of tables at a key, empty where it is absent or, with a problem added, something else."""
    value = table.get(key, [])
    if isinstance(value, list) and all(isinstance(item, dict) for item in value):
        return value
    reading.problem(key, f"found {found(value)}, expected one table or more; begin each with [[{key}]]")
    return []


def list_of_names(table: dict[str, Any], each: Field, place: str, reading: Reading) -> tuple[str, ...] | None:
    """The names listed at a key; None where it is absent or, with a problem added, not a list of texts."""
    key = each.name
    if key not in table:
        return None
    value = table[key]
    names = [_clean(item) for item in value] if isinstance(value, list) else [None]
    good = tuple(name for name in names if name)
    if len(good) < len(names):
        told = f'found {_list_found(value)}, expected {each.range_words}; write {key} = ["..."]'
        reading.problem(under(place, key), told)
        return None
    return good


def _list_found(value: object) -> str:
    if not isinstance(value, list):
        return found(value)
    bad = next(item for item in value if not _clean(item))
    return f"{found(bad)} in the list"
