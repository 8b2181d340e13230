"""A workbook's first sheet as text, each cell as a spreadsheet program shows it, and the cells that are odd.

A percentage keeps its sign, a date and a time are written as 2026-03-04 and 10:40, and merged rows share their value.
"""

from __future__ import annotations

import datetime
import io
import re
import warnings
import zipfile
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from consist.intake.csv_text import CsvText
from consist.intake.files import Reading

__all__ = ["MOST_CELLS", "Odd", "Sheet", "kind_of", "sheet_of", "workbook_in"]

MOST_CELLS = 1_000_000  # beyond any roster; a file this wide and long is not a table
MOST_BYTES = 40_000_000  # of a workbook's text unpacked, which a roster of 50,000 cars does not reach

_MERGED = re.compile(rb'<(?:\w+:)?mergeCell\s+ref="([A-Z]+)(\d+):[A-Z]+(\d+)"')
_FORMULA = re.compile(rb"<(?:\w+:)?f[\s>/]")
_SHOWN_BESIDE = re.compile(r'"[^"]*"|\\.|\[[^\]]*\]')


class Odd(NamedTuple):
    """What a cell holds that is no text and no number, with its address, in words; and what to do about it."""

    what: str
    cure: str
    harmless: bool = False
    """Whether it will do in a remark."""


@dataclass(frozen=True)
class Sheet:
    """The rows of a sheet from its first row and column on, and its odd cells by row and column from 1."""

    rows: list[list[str]]
    odd: Mapping[tuple[int, int], Odd]


def kind_of(content: bytes) -> str:
    """What a table's file is by its bytes, as its name would end; empty where that is none of those known."""
    if content.startswith(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"):
        return ".xls"
    if content.startswith(b"PK\x03\x04"):
        return ".ods" if b"opendocument.spreadsheet" in content[:200] else ".xlsx"
    text = CsvText.of(content)
    return ".csv" if text and not re.search(r"[\x00-\x08\x0e-\x1f\x7f-\x9f]", text.text) else ""


def workbook_in(content: bytes, **how: Any) -> Any:
    """The workbook that a file's bytes hold."""
    import openpyxl  # type: ignore[import-untyped]

    with warnings.catch_warnings(action="ignore"):
        return openpyxl.load_workbook(io.BytesIO(content), **how)


def sheet_of(content: bytes, reading: Reading) -> Sheet:
    """The first sheet of a workbook; refused where it is damaged, locked or no table."""
    sheet = None
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as parts:
            unpacked = sum(part.file_size for part in parts.infolist() if part.filename.endswith((".xml", ".rels")))
        if unpacked <= MOST_BYTES:
            with warnings.catch_warnings(action="ignore"):
                sheet = _read(content)
    except Exception:  # openpyxl lets whatever its zip and XML readers raise through
        reading.refuse("the workbook cannot be opened, it is damaged or locked; save it again as .xlsx or .csv")
    if sheet is None:
        told = "found a table too wide and long to read; look for a stray cell far down or to the right, remove it"
        reading.refuse(told)
    return sheet


def _read(content: bytes) -> Sheet | None:
    """The first sheet; None where it is too wide and long."""
    sheet = _first(content, data_only=True)
    with sheet._get_source() as source:  # merged cells are not told by openpyxl where it reads row by row
        xml = source.read()
    formulas = iter(_first(content, data_only=False).rows) if _FORMULA.search(xml) else None
    rows: list[list[str]] = []
    odd: dict[tuple[int, int], Odd] = {}
    count = 0
    for number, cells in enumerate(sheet.rows, start=1):
        count += len(cells) + 1
        if count > MOST_CELLS:
            return None
        written = next(formulas) if formulas is not None else cells
        rows.append([_shown(cell) for cell in cells])
        for column, (cell, asked) in enumerate(zip(cells, written, strict=True), start=1):
            if (fault := _fault(cell, asked)) is not None:
                odd[number, column] = fault
                rows[-1][column - 1] = rows[-1][column - 1] or "="  # so that the row is not taken for a blank one
    _fill_merged(rows, _MERGED.findall(xml))
    return Sheet(rows, odd)


def _first(content: bytes, *, data_only: bool) -> Any:
    sheet = workbook_in(content, read_only=True, data_only=data_only, keep_links=False).worksheets[0]
    sheet.reset_dimensions()
    return sheet


def _shown(cell: Any) -> str:
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, datetime.datetime) and value.time() == datetime.time():
        return str(value.date())
    if isinstance(value, datetime.time) and not value.second:
        return value.strftime("%H:%M")
    if cell.data_type == "n" and isinstance(value, (int, float)):
        if "%" in _SHOWN_BESIDE.sub("", str(cell.number_format)):
            return f"{value * 100:.12g}%"
        whole = isinstance(value, float) and value.is_integer()
        return str(int(value) if whole else value)
    return str(value)


def _fault(cell: Any, written: Any) -> Odd | None:
    if cell.data_type == "e":
        return Odd(f"an error in cell {written.coordinate}", "correct its formula or type what is meant")
    if cell.value is None and written.value is not None:
        what = f"a formula in cell {written.coordinate} that was never worked out"
        return Odd(what, "open the table in a spreadsheet program and save it again")
    if isinstance(cell.value, (datetime.date, datetime.time, datetime.timedelta)):
        kind = "date" if isinstance(cell.value, datetime.date) else "time"
        what = f"a {kind} in cell {written.coordinate}"
        return Odd(what, "format the cell as text and type again what is meant", harmless=True)
    return None


def _fill_merged(rows: list[list[str]], areas: Iterable[tuple[bytes, bytes, bytes]]) -> None:
    """Set the value of merged rows in each that holds anything; the header stays as it is."""
    from openpyxl.utils import column_index_from_string  # type: ignore[import-untyped]

    header = next((number for number, row in enumerate(rows) if any(row) and not row[0].startswith("#")), 0)
    for letters, first, last in areas:
        column, top = column_index_from_string(letters.decode()) - 1, int(first) - 1
        if not header < top < len(rows) or column >= len(rows[top]):
            continue
        for row in rows[top + 1 : int(last)]:
            if any(row) and column < len(row):
                row[column] = rows[top][column]
