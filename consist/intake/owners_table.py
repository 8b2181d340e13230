"""An owner's table as it stands, so that what is not changed keeps its every character when it is written again."""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from consist.intake.files import Reading, file_bytes
from consist.intake.tables import Table, comment_line, decoded, delimiter_of, table_of

__all__ = ["KINDS", "QUOTE", "OwnersTable", "Record", "cell_text", "records_of"]

KINDS = (".csv", ".xlsx")
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
