"""An owner's table as it stands, so that what is not changed is kept when it is written again.

Of a CSV file every character, of a workbook looks, notes, links and formulas. And rows of text made into a workbook.
"""

from __future__ import annotations

import codecs
import csv
import io
import re
import warnings
import zipfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from copy import copy
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from consist.intake.files import Reading, file_bytes
from consist.intake.tables import Table, comment_line, decoded, delimiter_of, table_of

__all__ = [
    "KINDS",
    "QUOTE",
    "OwnersTable",
    "Placed",
    "Record",
    "cell_text",
    "records_of",
    "reordered_workbook",
    "with_numbers",
    "workbook_of",
]

KINDS = (".csv", ".xlsx")
NOT_IN_A_CELL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")
"""Characters that the XML of a workbook cannot hold."""
CORE = "docProps/core.xml"
SAVED_AT = re.compile(rb"<dcterms:modified.*?</dcterms:modified>")
MADE_AND_SAVED_AT = re.compile(rb"<dcterms:(created|modified).*?</dcterms:\1>")
ZIP_EPOCH = (1980, 1, 1, 0, 0, 0)

_LINE = re.compile(r"([^\r\n]*)(\r\n|\r|\n|\Z)")
QUOTE = '"'


@dataclass(frozen=True)
class OwnersTable:
    """A table's file, its bytes and what was read from them."""

    path: Path
    content: bytes
    table: Table

    @classmethod
    def read(cls, path: Path, reading: Reading) -> OwnersTable | None:
        """The table of a `.csv` or `.xlsx` file; None, with problems added, where it is none."""
        content = file_bytes(path, reading)
        table = None if content is None else table_of(content, path.suffix.lower(), reading)
        return None if content is None or table is None else cls(path, content, table)

    @property
    def kind(self) -> str:
        """What the file's name ends in."""
        return self.path.suffix.lower()

    def unchanged(self) -> bool:
        """Whether the file still holds what was read."""
        return file_bytes(self.path, Reading(self.path.name)) == self.content

    @cached_property
    def delimiter(self) -> str:
        """What parts the cells of a CSV file."""
        text, _ = self._text
        return delimiter_of(text.replace("\r\n", "\n").replace("\r", "\n"))

    @property
    def records(self) -> list[Record]:
        """The records of a CSV file."""
        return records_of(self._text[0], self.delimiter)

    def with_records(self, records: Sequence[Record]) -> bytes:
        """A CSV file of those records, in the encoding and with the byte-order mark that the table has."""
        _, encoding = self._text
        text = "".join(record.text(self.delimiter) for record in records)
        for mark, like in _MARKS.get(encoding, ()):
            if self.content.startswith(mark):
                return mark + text.encode(like)
        return text.encode("utf-8" if encoding == "utf-8-sig" else encoding)

    @cached_property
    def _text(self) -> tuple[str, str]:
        text, encoding = decoded(self.content)
        assert text is not None
        return text, encoding


_MARKS = {
    "utf-16": ((codecs.BOM_UTF16_BE, "utf-16-be"), (codecs.BOM_UTF16_LE, "utf-16-le")),
    "utf-8-sig": ((codecs.BOM_UTF8, "utf-8"),),
}


@dataclass(frozen=True)
class Record:
    """A row as it stands: its cells, quotes and blanks and all, and what ends its line. A comment is one cell."""

    cells: tuple[str, ...]
    end: str
    comment: bool = False

    def text(self, delimiter: str) -> str:
        """The row as it stands in the file."""
        return delimiter.join(self.cells) + self.end


def records_of(text: str, delimiter: str) -> list[Record]:
    """The records of a CSV text, in step with the rows that `read_table` numbers from 1.

    >>> [record.cells for record in records_of('a,"b,c"\\r\\n# d,e\\r\\n', ",")]
    [('a', '"b,c"'), ('# d,e',)]
    """
    records: list[Record] = []
    cells: list[str] = [""]
    quoted = False
    for line, end in _lines(text):
        if comment_line(line):
            if not quoted:
                records.append(Record((line,), end, comment=True))
                continue
            cells[-1] += line  # the reader takes such a line for a comment wherever it stands
        else:
            quoted = _add(cells, line, delimiter, quoted)
        if quoted:
            cells[-1] += end
        else:
            records.append(Record(tuple(cells), end))
            cells = [""]
    if quoted:
        records.append(Record(tuple(cells), ""))
    return records


def cell_text(raw: str, delimiter: str) -> str:
    """What a cell as it stands says.

    >>> cell_text('"5"" flat"', ",")
    '5" flat'
    """
    rows = list(csv.reader(io.StringIO(raw, newline=""), delimiter=delimiter))
    return rows[0][0] if rows and rows[0] else ""


def _lines(text: str) -> Iterator[tuple[str, str]]:
    for match in _LINE.finditer(text):
        if match.group():
            yield match.group(1), match.group(2)


def _add(cells: list[str], line: str, delimiter: str, quoted: bool) -> bool:
    """Add a line's characters to the cells; gives whether it ends within quotes.

    A quote opens a cell only as its first character, and two of them within stand for one.
    """
    opening, after_quote = not quoted, False
    for character in line:
        if quoted:
            quoted = character != QUOTE
            after_quote = not quoted
        elif character == delimiter:
            cells.append("")
            opening, after_quote = True, False
            continue
        else:
            quoted = character == QUOTE and (opening or after_quote)
            after_quote = False
        opening = False
        cells[-1] += character
    return quoted


@dataclass(frozen=True)
class Placed:
    """The row of the file that takes what row `body` holds, with the spot of row `spot`."""

    row: int
    body: int
    spot: int


def reordered_workbook(content: bytes, spot_column: int, placed: Sequence[Placed]) -> bytes:
    """The workbook with rows of its first sheet in other places; looks, notes and links go with their rows.

    `spot_column` is counted from 0. Raises `ValueError` where cells of such a row are merged with others.
    """
    book = _opened(content)
    sheet = book.worksheets[0]
    rows = {place.row for place in placed}
    if any(rows.intersection(range(area.min_row, area.max_row + 1)) for area in sheet.merged_cells.ranges):
        raise ValueError("merged cells")
    taken = {row: [_WorkbookCell(cell) for cell in sheet[row]] for row in rows}
    for place in placed:
        for column, target in enumerate(sheet[place.row]):
            taken[place.spot if column == spot_column else place.body][column].put(target)
    return _saved_like(book, content)


def with_numbers(content: bytes, cells: Mapping[tuple[int, int], float]) -> bytes:
    """The workbook with numbers in cells of its first sheet, by row and column from 1; looks stay."""
    book = _opened(content)
    for (row, column), number in cells.items():
        cell = book.worksheets[0].cell(row, column)
        if cell.number_format == "@":  # a cell of text keeps what it shows only as a number
            cell.number_format = "General"
        cell.value = number
    return _saved_like(book, content)


def workbook_of(rows: Iterable[Sequence[str | int]]) -> bytes:
    """A workbook of one sheet. Text is kept as text, whatever it begins with; only numbers are numbers."""
    import openpyxl  # type: ignore[import-untyped]

    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.title = "trains"
    for number, row in enumerate(rows, start=1):
        for column, content in enumerate(row, start=1):
            if isinstance(content, int):
                sheet.cell(number, column, content)
            elif content:
                cell = sheet.cell(number, column, NOT_IN_A_CELL.sub(" ", content))
                cell.data_type = "s"  # openpyxl takes text that begins with = for a formula
                cell.number_format = "@"
    return _saved(book, MADE_AND_SAVED_AT)


class _WorkbookCell:
    """What a cell holds and how it looks, to be put into another."""

    def __init__(self, cell: Any) -> None:
        self.value, self.kind, self.at = cell.value, cell.data_type, cell.coordinate
        self.style, self.hyperlink, self.comment = copy(cell._style), copy(cell.hyperlink), copy(cell.comment)

    def put(self, target: Any) -> None:
        from openpyxl.formula.translate import Translator  # type: ignore[import-untyped]

        if target.coordinate == self.at:
            return
        formula = self.kind == "f" and isinstance(self.value, str)
        # a formula that looks at its own row looks at the row it has moved to
        target.value = Translator(self.value, self.at).translate_formula(target.coordinate) if formula else self.value
        target.data_type = self.kind
        target.hyperlink, target.comment = self.hyperlink, self.comment
        target._style = copy(self.style)


def _opened(content: bytes) -> Any:
    import openpyxl

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return openpyxl.load_workbook(io.BytesIO(content), rich_text=True)


def _saved_like(book: Any, content: bytes) -> bytes:
    with zipfile.ZipFile(io.BytesIO(content)) as parts:
        dated = CORE in parts.namelist()
    return _saved(book, SAVED_AT if dated else MADE_AND_SAVED_AT)


def _saved(book: Any, times: re.Pattern[bytes]) -> bytes:
    """The workbook's bytes, the same each time: without the times at which it was made or saved."""
    out, steady = io.BytesIO(), io.BytesIO()
    book.save(out)
    with zipfile.ZipFile(out) as parts, zipfile.ZipFile(steady, "w", zipfile.ZIP_DEFLATED) as kept:
        for name in parts.namelist():
            part = parts.read(name)
            kept.writestr(
                zipfile.ZipInfo(name, ZIP_EPOCH),
                times.sub(b"", part) if name == CORE else part,
                zipfile.ZIP_DEFLATED,
            )
    return steady.getvalue()
