"""How a table of an owner's own is to be read: `[tables.*]` of `session.toml`, and the tables of a session's folder.

A map gives for each of our columns the heading of the owner's own. Read through it, a table has our names in its
header, so that whoever reads or writes it need not know; only messages name the owner's headings and cells.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import zip_longest
from pathlib import Path
from typing import Any, NamedTuple

from consist.errors import InputError
from consist.intake.fields import Field, declared
from consist.intake.files import Reading, unless_refused
from consist.intake.toml import Keys, read_toml
from consist.names import did_you_mean, listed, quoted, tidy

__all__ = [
    "AS_OURS", "ROWS_LOOKED_AT", "SESSION_FILE", "TABLES", "Headed", "TableMap", "columns_of", "fields_of",
    "heading_names", "maps_in", "maps_of", "proto_column",
]  # fmt: skip

SESSION_FILE = "session.toml"
TABLES = ("cars", "engines", "guests", "pieces", "trains")
"""The tables of a session, by the names of their files."""
ROWS_LOOKED_AT = 100
"""A heading row stands among these."""


class Headed(NamedTuple):
    """A table's last heading row by its place among the rows, what the owner calls the columns, our names of them,
    empty where one is left unread, and by our name the places of the columns that are joined."""

    at: int
    names: tuple[str, ...]
    header: tuple[str, ...]
    joined: Mapping[str, tuple[int, ...]]


def heading_names(rows: Sequence[Sequence[str]]) -> list[str]:
    """What one heading row, or two of which the upper one says what the lower one's columns have in common, name.

    An upper cell goes on to the right over the cells that are empty, as merged cells and those that want to be do.

    >>> heading_names([["Mark", "Weight", ""], ["", "(oz)", "as it should be"]])
    ['Mark', 'Weight (oz)', 'Weight as it should be']
    """
    upper, lower = ([*map(tidy, row)] for row in (rows[0], rows[-1]))
    if len(rows) == 1:
        return lower
    names, over = [], ""
    for above, below in zip_longest(upper, lower, fillvalue=""):
        over = above or over
        parts = (over, below) if below else (above,)
        names.append(" ".join(dict.fromkeys(filter(None, parts))))
    return names


@dataclass(frozen=True)
class TableMap:
    """How one table is read: its file from the session's folder, its sheet, its heading row, by each of our columns
    the owner's headings that make it up, and what the first cell of rows to leave out begins with.

    Empty and None stand for what is found by itself. Without columns the table has our own names.
    """

    file: str = ""
    sheet: str = ""
    header: int | None = None
    header_rows: int = 1
    columns: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    skip: tuple[str, ...] = ()

    def headed(self, rows: Sequence[tuple[int, Sequence[str]]], reading: Reading) -> Headed:
        """The heading row among numbered rows and its columns; refused where headings are missing."""
        wanted = [*map(_folded, self.headings)]
        at = self._heading_row(rows, wanted, reading)
        last = at + self.header_rows - 1
        if last >= len(rows):
            reading.refuse("found fewer heading rows than session.toml names; correct header_rows", "header")
        names_told = heading_names([row for _, row in rows[at : last + 1]])
        names = [*map(_folded, names_told)]
        place = f"row {rows[at][0]}"
        header, joined = [""] * len(names), {}
        for headings in self.columns.values():
            for each in headings:
                if (count := names.count(_folded(each))) != 1:
                    found = f"found {quoted(each)} {count} times" if count else f"found no heading {quoted(each)}"
                    hint = "" if count else f"; {did_you_mean(each, [*filter(None, names_told)], 'headings')}"
                    told = f"{found}, expected it once, as session.toml names it{hint}; correct one of the two"
                    reading.problem(place, told)
        if reading.problems:
            raise InputError(reading.problems)
        for column, headings in self.columns.items():
            places = tuple(names.index(_folded(each)) for each in headings)
            header[places[0]] = column
            joined[column] = places
        return Headed(last, tuple(names_told), tuple(header), joined)

    def _heading_row(self, rows: Sequence[tuple[int, Sequence[str]]], wanted: Sequence[str], reading: Reading) -> int:
        if self.header is not None:
            at = next((at for at, (number, _) in enumerate(rows) if number == self.header), None)
            if at is None:
                reading.refuse("found nothing in the heading row that session.toml names; correct header", "header")
            return at
        asked = [heading_names([row for _, row in rows[at : at + self.header_rows]]) for at in range(len(rows))]
        found = [sum(name in wanted for name in map(_folded, names)) for names in asked[:ROWS_LOOKED_AT]]
        most = max(found)
        if not most:
            told = f"found no row with the headings {listed(self.headings)}"
            reading.refuse(f"{told}, as session.toml names them; correct them, or name the row by header", "header")
        return found.index(most)

    def leaves_out(self, row: Sequence[str], above: Sequence[Sequence[str]]) -> bool:
        """Whether a row is a total, or once more a heading row or what stands above it."""
        first = next(filter(None, row), "").casefold()
        return row in above or any(re.match(rf"{re.escape(each.casefold())}(?!\w)", first) for each in self.skip)

    @property
    def heading_place(self) -> str:
        """Where the columns are named, in words."""
        first = self.header or 1
        return f"row {first}" if self.header_rows == 1 else f"rows {first} and {first + self.header_rows - 1}"

    @property
    def headings(self) -> list[str]:
        """The owner's headings that are read."""
        return [each for headings in self.columns.values() for each in headings]


AS_OURS = TableMap()
"""The map of a table that has our own names."""


def _folded(name: str) -> str:
    return tidy(name).casefold()


def fields_of(name: str) -> tuple[Field, ...]:
    """The fields of a session's table."""
    return declared("cars", "guests") if name == "guests" else declared(name)


def proto_column(each: Field) -> str:
    """The column in which a length may be given in feet of the prototype."""
    return f"{each.name}_proto_ft"


def columns_of(name: str) -> dict[str, Field]:
    """The columns that a map of a session's table may give, with their fields."""
    return {
        column: each
        for each in fields_of(name)
        for column in (*each.columns, *([proto_column(each)] if each.kind == "length" else []))
    }


def maps_of(folder: Path) -> dict[str, TableMap]:
    """The maps of a session's folder; none where its file cannot be read, which whoever reads the session tells."""
    session = Reading(SESSION_FILE)
    told = unless_refused(read_toml, folder / SESSION_FILE, session)
    return {} if told is None else maps_in(Keys(told, ("session",), "", session))


def maps_in(session: Keys) -> dict[str, TableMap]:
    """The maps that `session.toml` gives, by the names of the tables, with a problem added for each thing wrong."""
    tables = session.value("tables") or {}
    keys = session.within({name: told for name, told in tables.items() if name in TABLES}, "tables", "maps")
    for name in tables.keys() - {*TABLES}:
        keys.problem(name, f"found a table that consist does not know; {did_you_mean(name, TABLES, 'tables')}")
    return {
        name: _map(name, told, keys) for name in TABLES if name in tables and (told := keys.value(name)) is not None
    }


def _map(name: str, told: Mapping[str, Any], tables: Keys) -> TableMap:
    columns = columns_of(name)
    own = {each.name for each in declared("map")}
    keys = tables.within({key: value for key, value in told.items() if key in own}, name, "map")
    given = {key: _headings(key, value, columns, keys) for key, value in told.items() if key not in own}
    taken = [each for headings in given.values() for each in headings]
    for each in {each for each in taken if taken.count(each) > 1}:
        keys.problem("", f"found the heading {quoted(each)} for two columns, expected it for one; remove one")
    header = keys.value("header")
    return TableMap(
        file=keys.value("file") or "",
        sheet=keys.value("sheet") or "",
        header=None if header is None else int(header),
        header_rows=int(keys.value("header_rows") or 1),
        columns={column: headings for column, headings in given.items() if headings},
        skip=keys.value("skip") or (),
    )


def _headings(key: str, value: object, columns: Mapping[str, Field], keys: Keys) -> tuple[str, ...]:
    headings = tuple(value) if isinstance(value, list) else (value,)
    texts = tuple(tidy(each) for each in headings if isinstance(each, str) and tidy(each))
    if key not in columns:
        keys.problem(key, f"found a column that consist does not know; {did_you_mean(key, columns, 'columns')}")
    elif not texts or len(texts) != len(headings):
        keys.problem(key, f'expected a heading of the sheet or a list of them; write {key} = "..."')
    elif len(texts) > 1 and (columns[key].is_number or columns[key].words):
        keys.problem(key, f"found {len(texts)} headings, expected one; only names and remarks are joined")
    else:
        return texts
    return ()
