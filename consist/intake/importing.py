"""How a table is to be read, written into `session.toml` with its comments and order kept; the table is only read."""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path

from consist.errors import InputError, Problem
from consist.intake.fields import Field
from consist.intake.files import Reading, file_bytes, raise_problems, unless_refused
from consist.intake.headings import Guessed, guess
from consist.intake.layout import read_layout
from consist.intake.owners_table import workbook_of
from consist.intake.rows import read_rows
from consist.intake.stock import read_car_rows
from consist.intake.table_map import SESSION_FILE, TABLES, TableMap, columns_of, maps_of
from consist.intake.tables import sheets_in
from consist.intake.toml import read_toml
from consist.intake.trains import read_train_rows
from consist.intake.writing import turn_to_write, write_whole
from consist.names import did_you_mean, quoted
from consist.scales import known_scale

__all__ = ["check_headings", "problems_of", "proposed", "taken_of", "write_copy", "write_map"]

PLAIN_NUMBER = re.compile(r"-?(0|[1-9]\d{0,14})(\.\d+)?")


def taken_of(said: Sequence[str], kind: str | None) -> dict[str, str]:
    """What `COLUMN=HEADING` says, by column; an empty heading leaves the column unread. Raises `InputError`."""
    known: Mapping[str, Field] = {
        column: each for name in ((kind,) if kind else TABLES) for column, each in columns_of(name).items()
    }
    problems, taken = [], {}
    for each in said:
        column, equals, heading = (part.strip() for part in each.partition("="))
        if not equals:
            problems.append(Problem("--map", "", f"found {quoted(each)}, expected COLUMN=HEADING"))
        elif column not in known:
            told = f"found no column {quoted(column)}; {did_you_mean(column, known, 'columns')}"
            problems.append(Problem("--map", "", told))
        taken[column] = heading
    if problems:
        raise InputError(problems)
    return taken


def proposed(
    path: Path, into: Path, kind: str | None, taken: Mapping[str, str], sheet: str = ""
) -> tuple[Guessed, float | None]:
    """What a file's table is taken for in a session, and the ratio of its scale, None where that is not known.

    Raises `InputError` where there is no such file or session, or it has no such heading.
    """
    folder = into.parent if into.name == SESSION_FILE else into
    if not (folder / SESSION_FILE).is_file():
        told = f"found no session there; make it first with 'consist new {folder}', and --scale where it is not HO"
        raise InputError.of(into, told)
    ratio = _ratio(folder)
    reading = Reading(path.name)
    found = guess(path, reading, kind, taken, ratio, sheet)
    raise_problems(reading)
    check_headings(path, found, taken)
    return found, ratio


def check_headings(path: Path, found: Guessed, taken: Mapping[str, str]) -> None:
    """Raise `InputError` where a heading told by hand is none of the table's."""
    told_by_hand = [part.strip() for told in taken.values() if told for part in told.split(" + ")]
    known = {each.casefold() for each in found.names}
    for each in told_by_hand:
        if each.casefold() not in known:
            told = f"found no heading {quoted(each)} in {found.how.heading_place}"
            raise InputError.of(
                path.name, f"{told}; {did_you_mean(each, sorted(filter(None, found.names)), 'headings')}"
            )


def _ratio(folder: Path) -> float | None:
    head = unless_refused(read_toml, folder / SESSION_FILE, Reading(SESSION_FILE)) or {}
    layout = head.get("layout")
    if isinstance(layout, dict) and isinstance(layout.get("scale"), str):
        known = known_scale(layout["scale"])
        return None if known is None else known.ratio
    if not isinstance(layout, str):
        return None
    built = unless_refused(read_layout, folder / layout.strip())
    return None if built is None else built.scale.ratio


def problems_of(path: Path, kind: str, how: TableMap, ratio: float | None) -> tuple[list[Problem], list[str]]:
    """What is wrong in the rows of a table as it would be read, and what is odd."""
    reading = Reading(path.name)
    with suppress(InputError):
        if kind == "trains":
            read_train_rows(path, reading, how, ratio)
        else:
            tables = ("cars", "guests") if kind == "guests" else (kind,)
            read = read_car_rows if kind in ("cars", "guests") else read_rows
            read(path, reading, *tables, how=how, ratio=ratio)
    return reading.problems, reading.notes


@contextmanager
def write_copy(path: Path, sheet: str, copy: Path) -> Iterator[None]:
    """Write a sheet of a file, the only one where `sheet` is empty, as it reads into a new workbook of its own.

    Numbers are numbers there, all else is text, and each row keeps its number. The copy goes again where what is done
    with it fails. Raises `InputError` where there is a file already, or it cannot be written.
    """
    if copy.suffix.lower() != ".xlsx":
        raise InputError.of(copy, "expected a name that ends in .xlsx for the copy; correct --copy")
    reading = Reading(path.name)
    sheets = sheets_in(path, reading)
    rows = next(each.rows for each in sheets if sheet in ("", each.name))
    content = workbook_of(([_as_value(cell) for cell in row] for row in rows), "copy")
    with turn_to_write(copy):
        if os.path.lexists(copy):
            raise InputError.of(copy, "found a file of that name already; give --copy another")
        write_whole(copy, content)
    try:
        yield
    except BaseException:
        copy.unlink(missing_ok=True)
        raise


def _as_value(cell: str) -> str | float:
    return float(cell) if PLAIN_NUMBER.fullmatch(cell) else cell


def write_map(into: Path, path: Path, kind: str, how: TableMap) -> None:
    """Write a map into `session.toml` in place of the one that the table had; all else in it stays as it is.

    Raises `InputError`, with nothing written, where the file cannot be read or written.
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    folder = into.parent if into.name == SESSION_FILE else into
    target = folder / SESSION_FILE
    with turn_to_write(target):
        reading = Reading(SESSION_FILE)
        before = read_toml(target, reading)
        content = file_bytes(target, reading)
        text = content.decode("utf-8-sig")
        ends = "\r\n" if "\r\n" in text else "\n"
        table = _as_table(how, os.path.relpath(path, folder).replace(os.sep, "/"))
        try:
            document = tomlkit.parse(text.replace("\r\n", "\n"))
            made = tomlkit.table()
            for key, value in table.items():
                made.add(key, value)
            if "tables" not in document:
                document.add("tables", tomlkit.table(is_super_table=True))
            document["tables"][kind] = made
            after = tomlkit.dumps(document)
        except (TOMLKitError, TypeError, ValueError, AttributeError):
            after = ""
        wanted = {**before, "tables": {**(before.get("tables") or {}), kind: table}}
        try:
            kept = tomllib.loads(after) == wanted
        except tomllib.TOMLDecodeError:
            kept = False
        if not kept:
            told = f"the table cannot be written into the file as it stands; write [tables.{kind}] yourself"
            raise InputError.of(SESSION_FILE, told)
        mark = content[: len(content) - len(text.encode("utf-8"))]
        write_whole(target, mark + after.replace("\n", ends).encode("utf-8"))
    if maps_of(folder).get(kind) is None:  # the file was changed by another program meanwhile
        raise InputError.of(SESSION_FILE, f"[tables.{kind}] was written and is not there; run the command again")


def _as_table(how: TableMap, file: str) -> dict[str, object]:
    told: dict[str, object] = {"file": file}
    if how.sheet:
        told["sheet"] = how.sheet
    if how.header is not None:
        told["header"] = how.header
    if how.header_rows > 1:
        told["header_rows"] = how.header_rows
    told |= {
        column: headings[0] if len(headings) == 1 else list(headings) for column, headings in how.columns.items()
    }
    if how.skip:
        told["skip"] = list(how.skip)
    return told
