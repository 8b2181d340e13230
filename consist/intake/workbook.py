"""A workbook's sheet as text, each cell as a spreadsheet program shows it, and the cells that are odd.

A percentage keeps its sign, a date and a time are written as 2026-03-04 and 10:40, and merged rows share their value.
"""

from __future__ import annotations

import datetime
import io
import re
import warnings
import zipfile
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, NamedTuple, NoReturn, Protocol

from consist.intake.csv_text import CsvText
from consist.intake.files import Reading
from consist.names import did_you_mean, listed, quoted

__all__ = [
    "MOST_CELLS", "UNWORKED", "Odd", "Sheet", "fill_merged", "kind_of", "letters", "never_worked_out", "no_text",
    "sheet_of", "sheets_of", "text_of", "workbook_in",
]  # fmt: skip

UNWORKED = "that was never worked out"

MOST_CELLS = 1_000_000  # beyond any roster; a file this wide and long is not a table
MOST_TOLD = 8
MOST_BYTES = 40_000_000  # of a workbook's text unpacked, which a roster of 50,000 cars does not reach

_HIDDEN = re.compile(rb'<(?:\w+:)?row\s(?=[^>]*\bhidden="(?:1|true)")[^>]*\br="(\d+)"')
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
    odd: Mapping[tuple[int, int], Odd] = field(default_factory=dict)
    name: str = ""
    hidden: tuple[int, ...] = ()
    """Its hidden rows, from 1."""


class _Book(Protocol):
    """A workbook: the names of its sheets, each with whether it is shown, and what one of them holds."""

    @property
    def sheets(self) -> list[tuple[str, bool]]: ...

    def read(self, name: str) -> Sheet | None:
        """The sheet; None where it is too wide and long."""


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


def sheet_of(
    content: bytes, reading: Reading, named: str = "", fits: Callable[[Sheet], bool] = lambda sheet: True
) -> Sheet:
    """The sheet of that name, else the first of those shown that `fits`, else the first; others are noted.

    Refused where the workbook is damaged, locked or no table.
    """
    book = _opened(content, reading)
    names = [name for name, _ in book.sheets]
    if named and (found := next((name for name in names if name.casefold() == named.casefold()), None)) is None:
        told = f"found no sheet {quoted(named)}, which session.toml names"
        reading.refuse(f"{told}; {did_you_mean(named, names, 'sheets')}")
    shown = [name for name, seen in book.sheets if seen] or names
    asked = [found] if named and found else shown
    sheets = (_read(book, name, reading) for name in asked)
    first = next(sheets, None)
    if first is None:
        reading.refuse("found a workbook without a sheet; save it again as .xlsx or .csv")
    sheet = first if len(asked) == 1 or fits(first) else next(filter(fits, sheets), first)
    passed = [name for name in names if name != sheet.name]
    if passed and not named:
        word = "a sheet" if len(passed) == 1 else "sheets"
        reading.note(f"has {word} {listed(passed)} besides {quoted(sheet.name)}, which alone was read")
    if sheet.hidden:
        numbers = ", ".join(map(str, sheet.hidden[:MOST_TOLD])) + (" and more" if sheet.hidden[MOST_TOLD:] else "")
        reading.note(f"has hidden rows, which were read like the others: {numbers}")
    return sheet


def sheets_of(content: bytes, reading: Reading) -> list[Sheet]:
    """All sheets of a workbook that are shown; refused where it is damaged, locked or no table."""
    book = _opened(content, reading)
    return [_read(book, name, reading) for name, seen in book.sheets if seen]


def _opened(content: bytes, reading: Reading) -> _Book:
    try:
        if kind_of(content) != ".xls":
            with zipfile.ZipFile(io.BytesIO(content)) as parts:
                unpacked = sum(p.file_size for p in parts.infolist() if p.filename.endswith((".xml", ".rels")))
            if unpacked > MOST_BYTES:
                raise OverflowError
        if kind_of(content) == ".xlsx":
            return _Xlsx(content)
        from consist.intake.other_workbook import OtherWorkbook

        return OtherWorkbook(content)
    except OverflowError:
        _too_large(reading)
    except Exception:  # openpyxl lets whatever its zip and XML readers raise through
        _damaged(reading)


def _read(book: _Book, name: str, reading: Reading) -> Sheet:
    try:
        sheet = book.read(name)
    except Exception:
        _damaged(reading)
    if sheet is None:
        _too_large(reading)
    return sheet


def _damaged(reading: Reading) -> NoReturn:
    reading.refuse(
        "the workbook cannot be opened, it is damaged or locked; save it again as .xlsx or .csv without a password"
    )


def _too_large(reading: Reading) -> NoReturn:
    reading.refuse(
        "found a table too wide and long to read; look for a stray cell far down or to the right, remove it"
    )


class _Xlsx:
    """A workbook read by openpyxl, which knows how cells are shown and the formulas behind them."""

    def __init__(self, content: bytes) -> None:
        self._content = content
        self._book = self._loaded(data_only=True)

    def _loaded(self, *, data_only: bool) -> Any:
        return workbook_in(self._content, read_only=True, data_only=data_only, keep_links=False)

    @property
    def sheets(self) -> list[tuple[str, bool]]:
        return [(sheet.title, sheet.sheet_state == "visible") for sheet in self._book.worksheets]

    @cached_property
    def _with_formulas(self) -> Any:
        return self._loaded(data_only=False)

    def read(self, name: str) -> Sheet | None:
        with warnings.catch_warnings(action="ignore"):
            return self._read(name)

    def _read(self, name: str) -> Sheet | None:
        sheet = self._book[name]
        sheet.reset_dimensions()
        with sheet._get_source() as source:  # openpyxl does not tell merged cells and hidden rows row by row
            xml = source.read()
        formulas = None
        if _FORMULA.search(xml):
            self._with_formulas[name].reset_dimensions()
            formulas = iter(self._with_formulas[name].rows)
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
                    # so that the row is not taken for a blank one
                    rows[-1][column - 1] = rows[-1][column - 1] or "="
        fill_merged(rows, _merged_in(xml))
        return Sheet(rows, odd, name, tuple(int(number) for number in _HIDDEN.findall(xml)))


def letters(column: int) -> str:
    """What a spreadsheet calls a column, counted from 1.

    >>> letters(3), letters(28)
    ('C', 'AB')
    """
    return (letters((column - 1) // 26) if column > 26 else "") + chr(ord("A") + (column - 1) % 26)


def _shown(cell: Any) -> str:
    value = cell.value
    if (
        cell.data_type == "n"
        and isinstance(value, (int, float))
        and "%" in _SHOWN_BESIDE.sub("", str(cell.number_format))
    ):
        return f"{value * 100:.12g}%"
    return text_of(value)


def text_of(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, datetime.datetime) and value.time() == datetime.time():
        return str(value.date())
    if isinstance(value, datetime.time) and not value.second:
        return value.strftime("%H:%M")
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)


def _fault(cell: Any, written: Any) -> Odd | None:
    if cell.data_type == "e":
        return Odd(f"an error in cell {written.coordinate}", "correct its formula or type what is meant")
    if cell.value is None and written.value is not None:
        return never_worked_out(written.coordinate)
    return no_text(cell.value, getattr(written, "coordinate", ""))


def never_worked_out(address: str) -> Odd:
    """A formula without the value that it has."""
    what = f"a formula in cell {address} {UNWORKED}"
    return Odd(what, "open the table in a spreadsheet program and save it again")


def no_text(value: Any, address: str) -> Odd | None:
    if isinstance(value, (datetime.date, datetime.time, datetime.timedelta)):
        kind = "date" if isinstance(value, datetime.date) else "time"
        told = f"a {kind} in cell {address}"
        return Odd(told, "format the cell as text and type again what is meant", harmless=True)
    return None


def _merged_in(xml: bytes) -> list[tuple[int, int, int]]:
    """The merged areas: their first column and row, and their last row, from 0."""
    from openpyxl.utils import column_index_from_string  # type: ignore[import-untyped]

    return [
        (column_index_from_string(column.decode()) - 1, int(first) - 1, int(last) - 1)
        for column, first, last in _MERGED.findall(xml)
    ]


def fill_merged(rows: list[list[str]], areas: Iterable[tuple[int, int, int]]) -> None:
    """Set the value of merged rows in each that holds anything; the header stays as it is."""
    header = next((number for number, row in enumerate(rows) if any(row) and not row[0].startswith("#")), 0)
    for column, top, last in areas:
        if not header < top < len(rows) or column >= len(rows[top]):
            continue
        for row in rows[top + 1 : last + 1]:
            if any(row) and column < len(row):
                row[column] = rows[top][column]
