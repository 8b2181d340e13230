"""A CSV file as text: how it is encoded, what parts its cells, and its rows as they stand, character by character."""

from __future__ import annotations

import codecs
import contextlib
import csv
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

__all__ = ["CsvText", "cell_text", "comment_line", "records_of"]

_COMMENT = re.compile(r"\s*#([\s,;]|$)")
DELIMITERS = (",", ";", "\t")
ENCODINGS = (
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
    (codecs.BOM_UTF8, "utf-8"),
    (b"", "utf-8"),
    (b"", "cp1252"),
)
"""The byte-order marks and encodings that a file may have, tried in this order."""

Record = tuple[list[str], str]
"""A row as it stands: its cells, quotes and blanks and all, and what ends its line."""


@dataclass(frozen=True)
class CsvText:
    """The text of a file, its byte-order mark, if any, and the encoding of what follows it."""

    text: str
    mark: bytes
    encoding: str
    comments: bool = True
    """Whether a row may be a comment; in a table of an owner's own a `#` is nothing special."""

    @classmethod
    def of(cls, content: bytes, comments: bool = True) -> CsvText | None:
        """What a file holds as text; None where it is no text."""
        for mark, encoding in ENCODINGS:
            if content.startswith(mark):
                with contextlib.suppress(UnicodeDecodeError):
                    return cls(content[len(mark) :].decode(encoding), mark, encoding, comments)
                if encoding.startswith("utf-16"):
                    break
        return None

    @cached_property
    def lines(self) -> list[str]:
        """Its lines, whatever ends them."""
        return self.text.replace("\r\n", "\n").replace("\r", "\n").split("\n")

    @cached_property
    def delimiter(self) -> str:
        """What parts the cells, judged by the first line that holds any; in an owner's table by that with most."""
        if not self.comments:
            return max(DELIMITERS, key=lambda delimiter: max(line.count(delimiter) for line in self.lines[:100]))
        for line in self.lines:
            if line.strip(" ,;\t\ufeff") and not comment_line(line.lstrip('"')):
                return max(DELIMITERS, key=line.count)
        return ","

    def cells(self) -> list[list[str]]:
        """The cells as they stand, row by row; a comment is one cell."""
        return [cells for cells, _ in self._records()]

    def no_row(self, line: str) -> bool:
        """Whether a line is a comment, or names the delimiter."""
        return comment_line(line) if self.comments else line.lower().startswith("sep=")

    def _records(self) -> list[Record]:
        return records_of(self.text, self.delimiter, self.no_row)

    def with_cells(self, cells: Iterable[Sequence[str]]) -> bytes:
        """The file with other cells, its encoding, its byte-order mark and the ends of its lines kept."""
        records = zip(cells, self._records(), strict=True)
        text = "".join(self.delimiter.join(row) + end for row, (_, end) in records)
        return self.mark + text.encode(self.encoding)


def comment_line(line: str) -> bool:
    """Whether a line of a CSV file holds no row: its `#` stands alone or before a blank.

    >>> comment_line("# ours"), comment_line("#;;"), comment_line("#7 Turn,1,PQF 201")
    (True, True, False)
    """
    # Some spreadsheets write a line "sep=;" at the head of a CSV file; it names the delimiter and is no row.
    return _COMMENT.match(line) is not None or line.lower().startswith("sep=")


def records_of(text: str, delimiter: str, no_row: Callable[[str], bool] = comment_line) -> list[Record]:
    """The records of a CSV text, in step with the rows that `read_table` numbers from 1.

    >>> records_of('a,"b,c"\\r\\n# d,e\\r\\n', ",")
    [(['a', '"b,c"'], '\\r\\n'), (['# d,e'], '\\r\\n')]
    """
    # The reader takes a line for a comment wherever it stands; nothing in it opens, closes or parts a cell.
    masked = re.sub(r"[^\r\n]+", lambda line: "_" * len(line[0]) if no_row(line[0]) else line[0], text)
    # A quote opens a cell only as its first character, and two of them within stand for one.
    quoted = r'"(?:[^"]|"")*(?:"|\Z)'
    parted = re.escape(delimiter)
    records: list[Record] = []
    cells: list[str] = []
    for match in re.finditer(rf"((?:{quoted})?[^{parted}\r\n]*)({parted}|\r\n|\r|\n|\Z)", masked):
        raw, end = (text[slice(*match.span(part))] for part in (1, 2))
        if match[0] or cells:
            cells.append(raw)
        if cells and end != delimiter:
            records.append((cells, end))
            cells = []
    return records


def cell_text(raw: str, delimiter: str) -> str:
    """What a cell as it stands says.

    >>> cell_text('"5"" flat"', ",")
    '5" flat'
    """
    return next(csv.reader([raw or '""'], delimiter=delimiter))[0]
