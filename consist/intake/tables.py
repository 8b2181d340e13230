"""Tables as rows of cells: CSV in the ways that spreadsheets write it, and workbooks.

Cells are text without blanks around them, an empty cell is an empty string, and a row keeps the number that
the user's spreadsheet shows. A row is a comment where its first cell is `#` or begins with it and a blank.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, field
from itertools import pairwise, zip_longest
from pathlib import Path

from consist.errors import InputError
from consist.intake.csv_text import CsvText
from consist.intake.files import Reading, file_bytes
from consist.intake.table_map import AS_OURS, ROWS_LOOKED_AT, Headed, TableMap, heading_names
from consist.intake.workbook import MOST_CELLS, Odd, Sheet, kind_of, letters, sheet_of, sheets_of
from consist.names import listed, plain, quoted, tidy

__all__ = ["EXPECTED", "KINDS", "WRITTEN", "Row", "Table", "read_table", "sheets_in", "table_of"]

KINDS = (".csv", ".xlsx", ".ods", ".xls")
WRITTEN = (".csv", ".xlsx")
"""What a table's file is called, and of these the kinds that can be written."""
UNIT = r"_(g|oz|mm|in|proto_ft|percent|deg)$"
EXPECTED = "a .csv, .xlsx, .ods or .xls file"


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
    sheet: str = ""
    """The name of a workbook's sheet."""
    headings: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    """As `Reading` has them."""

    @property
    def decimal_comma(self) -> bool:
        """Whether a comma may stand before decimals, since it does not part the cells."""
        return self.text is not None and self.text.delimiter != ","

    @property
    def columns(self) -> tuple[str, ...]:
        """The columns that have a name."""
        return tuple(filter(None, self.header))


def read_table(path: Path, reading: Reading, how: TableMap = AS_OURS, needed: Sequence[str] = ()) -> Table:
    """The table of a file, read through a map; refused where it cannot be read as one.

    Of a workbook's sheets that is read which has the columns that are `needed`, unless the map names one.
    """
    suffix = path.suffix.lower()
    if suffix not in KINDS:
        reading.refuse(f"found a file ending in {quoted(suffix)}, expected {EXPECTED}; save it as one of these")
    return table_of(file_bytes(path, reading), suffix, reading, how, needed)


def table_of(
    content: bytes, suffix: str, reading: Reading, how: TableMap = AS_OURS, needed: Sequence[str] = ()
) -> Table:
    """The table that a file whose name ends so holds; refused where it is none."""
    sheet, text = _sheet(content, suffix, reading, how, needed)
    return _table(sheet, text, reading, how)


def sheets_in(path: Path, reading: Reading) -> list[Sheet]:
    """The sheets of a file that are shown, as they stand; a CSV file is one. Refused where it is no table."""
    suffix = path.suffix.lower()
    if suffix not in KINDS:
        reading.refuse(f"found a file ending in {quoted(suffix)}, expected {EXPECTED}; save it as one of these")
    content = file_bytes(path, reading)
    if suffix != ".csv" and kind_of(content) != ".csv":
        return sheets_of(content, reading)
    return [_sheet(content, suffix, reading, TableMap(columns={"": ("",)}), ())[0]]


def _sheet(
    content: bytes, suffix: str, reading: Reading, how: TableMap, needed: Sequence[str]
) -> tuple[Sheet, CsvText | None]:
    kind = kind_of(content)
    if suffix != ".csv":
        if kind == ".csv":
            reading.refuse("found text under the name of a workbook; rename it to end in .csv")
        wanted = {each.casefold() for each in how.headings or needed}
        return sheet_of(content, reading, how.sheet, lambda sheet: _has(sheet, wanted, how.header_rows)), None
    if kind and kind != ".csv":
        reading.refuse(f"found a workbook under the name of a CSV file; rename it to end in {kind}")
    text = CsvText.of(content, comments=not how.columns)
    if text is None or not kind:
        reading.refuse("found bytes that are not text, expected a CSV file; save the table again as CSV (UTF-8)")
    if text.encoding == "cp1252":
        reading.note("is not UTF-8 and was read as Windows-1252; if names look wrong, save it as CSV UTF-8")
    return Sheet(_csv_cells(text, reading)), text


def _has(sheet: Sheet, wanted: Set[str], heading_rows: int) -> bool:
    """Whether rows of the sheet that may name its columns have all that are wanted."""
    rows = sheet.rows[:ROWS_LOOKED_AT]
    named = (heading_names(rows[at : at + heading_rows]) for at in range(len(rows)))
    return any(wanted <= {name.casefold() for name in names} for names in named)


def _csv_cells(text: CsvText, reading: Reading) -> list[list[str]]:
    last = ["the last row"]
    read = ("" if text.no_row(line) else line for line in text.lines)
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


def _table(sheet: Sheet, text: CsvText | None, reading: Reading, how: TableMap) -> Table:
    tidied = ((number, [tidy(cell) for cell in row]) for number, row in enumerate(sheet.rows, start=1))
    rows = [(number, row) for number, row in tidied if any(row) and (how.columns or not _comment(row))]
    if not rows:
        reading.refuse("found no header row; the first row must name the columns")
    headed = how.headed(rows, reading) if how.columns else _own_header(rows[0], reading)
    header = headed.header
    at_fault = bool(reading.problems)
    odd: dict[int, dict[str, Odd]] = {}
    for (number, column), cell in sheet.odd.items():
        if column <= len(header):
            odd.setdefault(number, {})[header[column - 1]] = cell
    above, body = [row for _, row in rows[: headed.at + 1]], rows[headed.at + 1 :]
    if how.columns:
        reading.headings = _headings(headed)
        told = [(number, _joined(row, headed)) for number, row in body if not how.leaves_out(row, above)]
    else:
        _note_unnamed(header, [row for _, row in body], reading)
        told = [(number, _own_cells(number, row, header, reading)) for number, row in body]
    table = Table(
        header,
        tuple(Row(number, cells, odd.get(number, {})) for number, cells in told),
        text,
        sheet.name,
        reading.headings,
    )
    if at_fault:
        raise InputError(reading.problems)
    return table


def _comment(row: Sequence[str]) -> bool:
    return row[0] == "#" or row[0][:2] == "# "


def _own_header(row: tuple[int, Sequence[str]], reading: Reading) -> Headed:
    """The header of a table that has our own names, with a problem for each that stands twice."""
    number, names = row
    header = tuple(re.sub(r"\s+", "_", name.lower()) for name in names)
    ordered = sorted(filter(None, header))
    for name in sorted({one for one, other in pairwise(ordered) if one == other}):
        told = f"found the column {quoted(name)} twice, expected it once; rename or remove one"
        reading.problem(f"row {number}, {plain(name)}", told)
    return Headed(0, tuple(names), header, {})


def _headings(headed: Headed) -> dict[str, tuple[str, str]]:
    """What the owner calls our columns, and the letter of each; under its name without the unit too."""
    told = {
        column: (" and ".join(plain(headed.names[place]) for place in places), letters(places[0] + 1))
        for column, places in headed.joined.items()
    }
    return {re.sub(UNIT, "", column): each for column, each in told.items()} | told


def _joined(row: Sequence[str], headed: Headed) -> dict[str, str]:
    """The cells of an owner's row by our columns."""
    return {
        column: tidy(" ".join(row[place] for place in places if place < len(row)))
        for column, places in headed.joined.items()
    }


def _note_unnamed(header: Sequence[str], rows: Sequence[Sequence[str]], reading: Reading) -> None:
    """Note columns without a name that stand before one with a name, such as a count of the rows."""
    for place in range(_named_to(header)):
        if not header[place] and any(row[place] for row in rows if place < len(row)):
            reading.note(f"has a column without a name ({letters(place + 1)}); it was passed over")


def _named_to(header: Sequence[str]) -> int:
    """How many columns there are up to the last that has a name."""
    return max((place + 1 for place, name in enumerate(header) if name), default=0)


def _own_cells(number: int, row: Sequence[str], header: Sequence[str], reading: Reading) -> dict[str, str]:
    """The cells of a row by our own names, with a problem for what stands past them all."""
    stray = list(filter(None, row[_named_to(header) :]))
    if stray:
        reading.problem(
            f"row {number}",
            f"found {listed(stray)} under no column, expected no more cells than the header has; "
            "clear the cell, name its column, or put quotes around a cell that holds the delimiter",
        )
    return {column: cell for column, cell in zip_longest(header, row[: len(header)], fillvalue="") if column}
