"""Tables as rows of cells: CSV in the ways that spreadsheets write it, and XLSX.

Cells are text without blanks around them, an empty cell is an empty string, and a row keeps the number that
the user's spreadsheet shows. A row whose first cell begins with `#` is a comment.
"""

from __future__ import annotations

import codecs
import csv
import io
import re
import warnings
from dataclasses import dataclass
from pathlib import Path

from consist.intake.files import Reading, file_bytes
from consist.names import listed, plain, quoted, tidy

__all__ = ["Row", "Table", "comment_line", "decoded", "delimiter_of", "read_table", "table_of", "workbook_cells"]

_BINARY = re.compile(r"[\x00-\x08\x0e-\x1f\x7f-\x9f]")
_DELIMITERS = (",", ";", "\t")
MOST_CELLS = 5_000_000  # beyond any roster; a file this wide and long is not a table


@dataclass(frozen=True)
class Row:
    """A row of a table: its number in the file, and its cells by column."""

    number: int
    cells: dict[str, str]


@dataclass(frozen=True)
class Table:
    """A table: its columns in lower case, and its rows without blank ones.

    `header` names the columns as they stand side by side, with an empty name where a column has none.
    """

    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    decimal_comma: bool = False
    header: tuple[str, ...] = ()


def read_table(path: Path, reading: Reading) -> Table | None:
    """The table of a `.csv` or `.xlsx` file; None, with problems added, where it cannot be read as one."""
    suffix = path.suffix.lower()
    if suffix not in (".csv", ".xlsx"):
        told = f"found a file ending in {quoted(suffix)}, expected .csv or .xlsx; save it as one of these"
        reading.problem("", told)
        return None
    content = file_bytes(path, reading)
    return None if content is None else table_of(content, suffix, reading)


def table_of(content: bytes, suffix: str, reading: Reading) -> Table | None:
    """The table that a file ending in `.csv` or `.xlsx` holds; None, with problems added, where it is none."""
    if suffix == ".xlsx":
        workbook = workbook_cells(content, reading)
        return None if workbook is None else _table(workbook, False, reading)
    text = _text(content, reading)
    if text is None:
        return None
    delimiter = delimiter_of(text)
    cells = _csv_cells(text, delimiter, reading)
    # Where the comma does not part the cells it may stand before decimals.
    return None if cells is None else _table(cells, delimiter != ",", reading)


def _text(content: bytes, reading: Reading) -> str | None:
    if content.startswith(b"PK\x03\x04"):
        reading.problem("", "found a workbook under the name of a CSV file; rename it to end in .xlsx")
        return None
    text, encoding = decoded(content)
    if text is None or _BINARY.search(text):
        reading.problem("", "found bytes that are not text, expected a CSV file; save the table again as CSV (UTF-8)")
        return None
    if encoding == "cp1252":
        reading.note("is not UTF-8 and was read as Windows-1252; if names look wrong, save it as CSV UTF-8")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def decoded(content: bytes) -> tuple[str | None, str]:
    """The text of a file without its byte-order mark, and the encoding it is in; None where it is no text."""
    utf16 = content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    for encoding in ("utf-16",) if utf16 else ("utf-8-sig", "cp1252"):
        try:
            return content.decode(encoding), encoding
        except UnicodeDecodeError:
            continue
    return None, ""


def comment_line(line: str) -> bool:
    """Whether a line of a CSV file holds no row."""
    # Some spreadsheets write a line "sep=;" at the head of a CSV file; it names the delimiter and is no row.
    return line.lstrip().startswith("#") or line.lower().startswith("sep=")


def delimiter_of(text: str) -> str:
    """What parts the cells, judged by the first line that holds any; lines end in a line feed."""
    for line in text.split("\n"):
        if line.strip(" ,;\t\ufeff") and not comment_line(line.lstrip('"')):
            return max(_DELIMITERS, key=line.count)
    return ","


def _csv_cells(text: str, delimiter: str, reading: Reading) -> list[list[str]] | None:
    import pandas

    lines = ["" if comment_line(line) else line for line in text.split("\n")]
    try:
        # Told how wide the widest row is, pandas keeps cells beyond the header, which are then a problem to report.
        width = max(len(row) for row in csv.reader(lines, delimiter=delimiter))
        if width * len(lines) > MOST_CELLS:
            reading.problem("", "found a table too wide and long to read; look for a row of delimiters and remove it")
            return None
        frame = pandas.read_csv(
            io.StringIO("\n".join(lines)),
            sep=delimiter,
            header=None,
            names=list(range(width + 1)),
            index_col=False,
            dtype=str,
            keep_default_na=False,
            na_filter=False,
            skip_blank_lines=False,
        )
    except pandas.errors.EmptyDataError:
        return []
    except (csv.Error, pandas.errors.ParserError, ValueError):
        reading.problem("", "the rows cannot be told apart; look for a double quote that is opened and not closed")
        return None
    return [[str(cell) for cell in row] for row in frame.to_numpy().tolist()]


def workbook_cells(content: bytes, reading: Reading) -> list[list[str]] | None:
    """The cells of a workbook's first sheet as text, from its first row and column on; None where it is damaged."""
    import pandas

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            frame = pandas.read_excel(
                io.BytesIO(content),
                sheet_name=0,
                header=None,
                dtype=str,
                keep_default_na=False,
                na_filter=False,
                engine="openpyxl",
            )
    except Exception:  # openpyxl lets whatever its zip and XML readers raise through
        reading.problem("", "the workbook cannot be opened, it is damaged or locked; save it again as .xlsx or .csv")
        return None
    return [[_workbook_cell(cell) for cell in row] for row in frame.to_numpy().tolist()]


def _workbook_cell(cell: object) -> str:
    return cell if isinstance(cell, str) else "#ERROR"  # pandas gives what is not text only for a failed formula


def _table(cells: list[list[str]], decimal_comma: bool, reading: Reading) -> Table | None:
    tidied = ((number, [tidy(cell) for cell in row]) for number, row in enumerate(cells, start=1))
    rows = [(number, row) for number, row in tidied if any(row) and not _is_comment_row(row)]
    if not rows:
        reading.problem("", "found no header row; the first row must name the columns")
        return None
    header_number, header = rows[0]
    columns = [re.sub(r"\s+", "_", name.lower()) for name in header]
    twice = sorted({name for name in columns if name and columns.count(name) > 1})
    for name in twice:
        place = f"row {header_number}, {plain(name)}"
        reading.problem(place, f"found the column {quoted(name)} twice, expected it once; rename or remove one")
    found = tuple(_row(number, row, columns, reading) for number, row in rows[1:])
    return None if twice else Table(tuple(name for name in columns if name), found, decimal_comma, tuple(columns))


def _is_comment_row(row: list[str]) -> bool:
    return row[0].startswith("#") and row[0] != "#ERROR"


def _row(number: int, row: list[str], columns: list[str], reading: Reading) -> Row:
    stray = [cell for cell, column in zip(row, columns, strict=True) if cell and not column]
    if stray:
        reading.problem(
            f"row {number}",
            f"found {listed(stray)} under no column, expected no more cells than the header has; "
            "clear the cell, name its column, or put quotes around a cell that holds the delimiter",
        )
    return Row(number, {column: cell for cell, column in zip(row, columns, strict=True) if column})
