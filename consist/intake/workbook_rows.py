"""Rows of a workbook set in other places, numbers set in its cells, and rows of text made into a workbook."""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass
from typing import Any

__all__ = ["Placed", "reordered_workbook", "with_numbers", "workbook_of"]

NOT_IN_A_CELL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")
"""Characters that the XML of a workbook cannot hold."""
CORE = "docProps/core.xml"
SAVED_AT = re.compile(rb"<dcterms:modified.*?</dcterms:modified>")
MADE_AND_SAVED_AT = re.compile(rb"<dcterms:(created|modified).*?</dcterms:\1>")
ZIP_EPOCH = (1980, 1, 1, 0, 0, 0)


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
    taken = {row: [_Cell(cell) for cell in sheet[row]] for row in rows}
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


class _Cell:
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
