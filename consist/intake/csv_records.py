"""A CSV text as records of cells just as they stand in it, so that what is not changed keeps its every character."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass

from consist.intake.tables import comment_line

__all__ = ["Record", "cell_text", "records_of"]

_LINE = re.compile(r"([^\r\n]*)(\r\n|\r|\n|\Z)")
QUOTE = '"'


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
