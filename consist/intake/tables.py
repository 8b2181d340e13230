"""Tables as rows of cells: CSV in the ways that spreadsheets write it, and XLSX.

Cells are text without blanks around them, an empty cell is an empty string, and a row keeps the number that
the user's spreadsheet shows. A row is a comment where its first cell is `#` or begins with it and a blank.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise, zip_longest
from pathlib import Path

from consist.errors import InputError
from consist.intake.csv_text import CsvText, comment_line
from consist.intake.files import Reading, file_bytes
from consist.intake.workbook import MOST_CELLS, Odd, Sheet, kind_of, sheet_of
from consist.names import listed, plain, quoted, tidy

__all__ = ["KINDS", "Row", "Table", "read_table", "table_of"]

KINDS = (".csv", ".xlsx")
OTHERS = {
    ".xls": "an old or locked workbook; open it in a spreadsheet program and save it as .xlsx without a password",
    ".ods": "an OpenDocument spreadsheet; open it in a spreadsheet program and save it as .xlsx",
}
"""What a table's file may be under another name, and the cure."""


@dataclass(frozen=True)
class Row:
    """A row of a table: its number in the file, and its cells by column.

    `odd` are by column those of a workbook that are no text and no number.
    """

    number: int
    cells: dict[str, str]
    odd: Mapping[str, Odd] = field(default_factory=dict)


@dataclass(frozen=True)
class Table:
    """A table: its rows without blank ones, and its header in lower case as it stands, empty where no name is.

    `text` is that of a CSV file, None of a workbook.
    """

    header: tuple[str, ...]
    rows: tuple[Row, ...]
    text: CsvText | None

    @property
    def decimal_comma(self) -> bool:
        """Whether a comma may stand before decimals, since it does not part the cells."""
        return self.text is not None and self.text.delimiter != ","

    @property
    def columns(self) -> tuple[str, ...]:
        """The columns that have a name."""
        return tuple(filter(None, self.header))


def read_table(path: Path, reading: Reading) -> Table:
    """The table of a `.csv` or `.xlsx` file; refused where it cannot be read as one."""
    suffix = path.suffix.lower()
    if suffix not in KINDS:
        reading.refuse(f"found a file ending in {quoted(suffix)}, expected .csv or .xlsx; save it as one of these")
    return table_of(file_bytes(path, reading), suffix, reading)


def table_of(content: bytes, suffix: str, reading: Reading) -> Table:
    """The table that a file ending in `.csv` or `.xlsx` holds; refused where it is none."""
    kind = kind_of(content)
    if kind in OTHERS:
        reading.refuse(f"found {OTHERS[kind]}")
    if suffix == ".xlsx":
        if kind == ".csv":
            reading.refuse("found text under the name of a workbook; rename it to end in .csv")
        return _table(sheet_of(content, reading), None, reading)
    if kind == ".xlsx":
        reading.refuse("found a workbook under the name of a CSV file; rename it to end in .xlsx")
    text = CsvText.of(content)
    if text is None or not kind:
        reading.refuse("found bytes that are not text, expected a CSV file; save the table again as CSV (UTF-8)")
    if text.encoding == "cp1252":
        reading.note("is not UTF-8 and was read as Windows-1252; if names look wrong, save it as CSV UTF-8")
    return _table(Sheet(_csv_cells(text, reading), {}), text, reading)


def _csv_cells(text: CsvText, reading: Reading) -> list[list[str]]:
    last = ["the last row"]
    read = ("" if comment_line(line) else line for line in text.lines)
    try:
        # A quote that is not closed takes whatever comes after it into its cell.
        rows = list(csv.reader([*(f"{line}\n" for line in read), *last], delimiter=text.delimiter))
        closed = rows.pop() == last
    except csv.Error:
        reading.refuse(
            f"found a cell of more than {csv.field_size_limit()} characters, expected a short one; look for a double "
            "quote that is opened and not closed, or shorten the cell"
        )
    if not closed:
        reading.refuse("the rows cannot be told apart; look for a double quote that is opened and not closed")
    if max(map(len, rows)) * len(text.lines) > MOST_CELLS:
        reading.refuse("found a table too wide and long to read; look for a row of delimiters and remove it")
    return rows


def _table(sheet: Sheet, text: CsvText | None, reading: Reading) -> Table:
    tidied = ((number, [tidy(cell) for cell in row]) for number, row in enumerate(sheet.rows, start=1))
    rows = [(number, row) for number, row in tidied if any(row) and row[0] != "#" and row[0][:2] != "# "]
    if not rows:
        reading.refuse("found no header row; the first row must name the columns")
    header_number, names = rows[0]
    header = tuple(re.sub(r"\s+", "_", name.lower()) for name in names)
    ordered = sorted(filter(None, header))
    twice = sorted({one for one, other in pairwise(ordered) if one == other})
    for name in twice:
        told = f"found the column {quoted(name)} twice, expected it once; rename or remove one"
        reading.problem(f"row {header_number}, {plain(name)}", told)
    odd: dict[int, dict[str, Odd]] = {}
    for (number, column), cell in sheet.odd.items():
        if column <= len(header):
            odd.setdefault(number, {})[header[column - 1]] = cell
    read = (_row(number, row, header, odd.get(number, {}), reading) for number, row in rows[1:])
    table = Table(header, tuple(read), text)
    if twice:
        raise InputError(reading.problems)
    return table


def _row(number: int, row: Sequence[str], header: Sequence[str], odd: Mapping[str, Odd], reading: Reading) -> Row:
    cells = [(column, cell) for column, cell in zip_longest(header, row, fillvalue="") if column or cell]
    stray = [cell for column, cell in cells if not column]
    if stray:
        reading.problem(
            f"row {number}",
            f"found {listed(stray)} under no column, expected no more cells than the header has; "
            "clear the cell, name its column, or put quotes around a cell that holds the delimiter",
        )
    return Row(number, {column: cell for column, cell in cells if column}, odd)
