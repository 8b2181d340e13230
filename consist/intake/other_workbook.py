"""OpenDocument spreadsheets and old workbooks, read by calamine; what it does not tell of them is looked up."""

from __future__ import annotations

import contextlib
import io
import os
import sys
import zipfile
from collections.abc import Iterator
from xml.etree import ElementTree

from consist.intake.workbook import MOST_CELLS, Odd, Sheet, fill_merged, letters, never_worked_out, no_text, text_of

__all__ = ["OtherWorkbook"]

_TABLE, _OFFICE = (f"{{urn:oasis:names:tc:opendocument:xmlns:{part}:1.0}}" for part in ("table", "office"))
BOUND_SHEET, ROW, END, HIDDEN = 0x0085, 0x0208, 0x000A, 0x20


class OtherWorkbook:
    """A workbook's sheets, each with whether it is shown."""

    def __init__(self, content: bytes) -> None:
        from python_calamine import CalamineWorkbook, SheetVisibleEnum

        self._content = content
        with _quietly():
            self._book = CalamineWorkbook.from_filelike(io.BytesIO(content))
            told = self._book.sheets_metadata
        self.sheets = [(each.name, each.visible == SheetVisibleEnum.Visible) for each in told]

    def read(self, name: str) -> Sheet | None:
        """The sheet; None where it is too wide and long."""
        with _quietly():
            sheet = self._book.get_sheet_by_name(name)
            if sheet.total_height * (sheet.total_width + 1) > MOST_CELLS:
                return None
            cells = sheet.to_python(skip_empty_area=False)
            areas = [(column, top, last) for (top, column), (last, _) in sheet.merged_cell_ranges or ()]
        rows = [[text_of(value) for value in row] for row in cells]
        odd: dict[tuple[int, int], Odd] = {}
        for number, row in enumerate(cells, start=1):
            for column, value in enumerate(row, start=1):
                if (fault := no_text(value, f"{letters(column)}{number}")) is not None:
                    odd[number, column] = fault
        hidden: list[int] = []
        if self._content.startswith(b"PK"):
            more = self._opendocument(name, hidden, areas)
            for number, column in more:
                if number <= len(rows) and column <= len(rows[number - 1]) and not rows[number - 1][column - 1]:
                    odd[number, column] = never_worked_out(f"{letters(column)}{number}")
                    rows[number - 1][column - 1] = "="
        else:
            hidden += _hidden_in_old(self._content, name)
        fill_merged(rows, areas)
        return Sheet(rows, odd, name, tuple(number for number in hidden if number <= len(rows)))

    def _opendocument(self, name: str, hidden: list[int], areas: list[tuple[int, int, int]]) -> list[tuple[int, int]]:
        """Formulas of a sheet without a value, by row and column; its `hidden` rows and merged `areas` are added."""
        with zipfile.ZipFile(io.BytesIO(self._content)) as parts:
            root = ElementTree.fromstring(parts.read("content.xml"))
        table = next(each for each in root.iter(f"{_TABLE}table") if each.get(f"{_TABLE}name") == name)
        unworked, number = [], 1
        for row in table.iter(f"{_TABLE}table-row"):
            times, column = int(row.get(f"{_TABLE}number-rows-repeated", "1")), 1
            if row.get(f"{_TABLE}visibility", "visible") != "visible":
                hidden += range(number, number + min(times, MOST_CELLS))
            for cell in row:
                spanned = int(cell.get(f"{_TABLE}number-rows-spanned", "1"))
                if spanned > 1:
                    areas.append((column - 1, number - 1, number + spanned - 2))
                if cell.get(f"{_TABLE}formula") and cell.get(f"{_OFFICE}value-type") is None:
                    unworked.append((number, column))
                column += int(cell.get(f"{_TABLE}number-columns-repeated", "1"))
            number += times
        return unworked


def _hidden_in_old(content: bytes, name: str) -> list[int]:
    """The hidden rows of a sheet of an old workbook, from 1; none where its records are not as they should be.

    Source: Microsoft, "[MS-XLS]: Excel Binary File Format (.xls) Structure", records BoundSheet8, Row and EOF.
    """
    import olefile  # type: ignore[import-untyped]

    with contextlib.suppress(Exception), olefile.OleFileIO(io.BytesIO(content)) as parts:
        stream = parts.openstream("Workbook").read()
        sheets = [data for kind, data in _records(stream) if kind == BOUND_SHEET]
        starts = {
            data[8:].decode("utf-16-le" if data[7] & 1 else "latin-1"): int.from_bytes(data[:4], "little")
            for data in sheets
        }
        rows = (data for kind, data in _records(stream[starts[name] :]) if kind == ROW)
        return [int.from_bytes(data[:2], "little") + 1 for data in rows if data[12] & HIDDEN]
    return []


def _records(stream: bytes) -> Iterator[tuple[int, bytes]]:
    """The records of one part of an old workbook's stream, up to its end."""
    at = 0
    while at + 4 <= len(stream):
        kind, size = (int.from_bytes(stream[at + by : at + by + 2], "little") for by in (0, 2))
        if kind == END:
            return
        yield kind, stream[at + 4 : at + 4 + size]
        at += 4 + size


@contextlib.contextmanager
def _quietly() -> Iterator[None]:
    """A damaged file can end calamine in a panic, told on stderr, that is no ordinary error; here it is one."""
    with contextlib.ExitStack() as undo:
        with contextlib.suppress(OSError, ValueError):
            sys.stderr.flush()
            kept = os.dup(2)
            undo.callback(os.close, kept)
            undo.callback(os.dup2, kept, 2)
            nowhere = os.open(os.devnull, os.O_WRONLY)
            undo.callback(os.close, nowhere)
            os.dup2(nowhere, 2)
        try:
            yield
        except BaseException as error:
            if type(error).__name__ != "PanicException":
                raise
            raise ValueError(str(error)) from None
