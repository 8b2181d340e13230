"""An owner's table as it stands, so that what is not changed is kept when it is written again.

Of a CSV file every character, of a workbook looks, notes, links and formulas. And rows of text made into a workbook.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from consist.errors import InputError
from consist.intake.files import Reading, file_bytes, unless_refused
from consist.intake.rows import parse_number
from consist.intake.table_map import AS_OURS, TableMap
from consist.intake.tables import KINDS, WRITTEN, Table, table_of
from consist.intake.workbook import kind_of, workbook_in

__all__ = ["OwnersTable", "Placed", "reordered_workbook", "rows_in_workbook", "with_cells", "workbook_of"]

NOT_IN_A_CELL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")
"""Characters that the XML of a workbook cannot hold."""
CORE = "docProps/core.xml"
SAVED_AT = re.compile(rb"<dcterms:modified.*?</dcterms:modified>")
MADE_AND_SAVED_AT = re.compile(rb"<dcterms:(created|modified).*?</dcterms:\1>")
ZIP_EPOCH = (1980, 1, 1, 0, 0, 0)

Placed = Mapping[int, tuple[int, int]]
"""By the row of the file that takes them: the row whose cells it takes, and the row whose spot. Rows count from 1."""


@dataclass(frozen=True)
class OwnersTable:
    """A table's file, its bytes and what was read from them."""

    path: Path
    content: bytes
    table: Table
    how: TableMap = AS_OURS

    @classmethod
    def read(cls, path: Path, reading: Reading, how: TableMap = AS_OURS, needed: Sequence[str] = ()) -> OwnersTable:
        """The table of a file, read through a map; refused where it is none, or of a kind that cannot be written."""
        content = file_bytes(path, reading)
        if (kind := kind_of(content)) in KINDS and kind not in WRITTEN:
            told = (
                "found a table of a kind that is read but not written; save it as .xlsx or .csv and name that file, "
                "or take a copy in with 'consist import' and --copy"
            )
            reading.refuse(told)
        return cls(path, content, table_of(content, path.suffix.lower(), reading, how, needed), how)

    @property
    def kind(self) -> str:
        """What the file's name ends in."""
        return self.path.suffix.lower()

    def rows_of(self, train: str) -> list[dict[str, str]]:
        """What the rows of one train say."""
        return [row.cells for row in self.table.rows if row.cells.get("train") == train]

    def check_unchanged(self) -> None:
        """Raise `InputError` where the file no longer holds what was read."""
        if unless_refused(file_bytes, self.path, Reading(self.path.name)) != self.content:
            raise self.changed()

    def problem(self, place: str, text: str) -> InputError:
        """The error of one place in the table, told by the owner's heading and cell."""
        return InputError.of(self.path.name, text, Reading("", headings=self.table.headings).place(place))

    def changed(self) -> InputError:
        """The error of a table that is another than the one that was read."""
        return InputError.of(self.path.name, "the table has changed since it was read; run the command again")

    def check_reads_back(
        self, content: bytes, target: Path, cells: Mapping[int, Mapping[str, str]], cure: str
    ) -> None:
        """Raise `InputError` unless what is to be written reads as the table but for rows with other `cells`."""
        how = self.how if target.suffix.lower() != ".xlsx" or self.table.text is None else replace(self.how, sheet="")
        table = unless_refused(table_of, content, target.suffix.lower(), Reading(target.name), how)
        wanted = [_said(cells.get(row.number, row.cells)) for row in self.table.rows]
        if table is None or [_said(row.cells) for row in table.rows] != wanted:
            raise InputError.of(target, f"the table does not read the same {cure}")


def _said(cells: Mapping[str, str]) -> dict[str, object]:
    spot = cells.get("spot", "")
    number = parse_number(spot, decimal_comma=True)
    return {**cells, "spot": spot if number is None else number}


def reordered_workbook(content: bytes, sheet_name: str, spot_column: int | None, placed: Placed) -> bytes:
    """The workbook with rows of one sheet in other places; looks, notes and links go with their rows.

    `spot_column` is counted from 0, None where there is none. Raises `ValueError` where cells of such a row are
    merged with others.
    """
    book = workbook_in(content, rich_text=True)
    sheet = book[sheet_name]
    if any(placed.keys() & range(area.min_row, area.max_row + 1) for area in sheet.merged_cells.ranges):
        raise ValueError("merged cells")
    taken = {row: list(sheet[row]) for row in placed}
    for row, (body, spot) in placed.items():
        for column in range(sheet.max_column):
            _move(taken[spot if column == spot_column else body][column], row)
    return _saved(book, content)


def _move(cell: Any, row: int) -> None:
    """Set a cell into another row of its column."""
    from openpyxl.formula.translate import Translator  # type: ignore[import-untyped]

    before, cell.row = cell.coordinate, row
    cell.parent._cells[row, cell.column] = cell
    if cell.hyperlink:
        cell.hyperlink.ref = cell.coordinate
    if cell.data_type == "f" and isinstance(cell.value, str):
        # a formula that looks at its own row looks at the row it has moved to
        cell.value = Translator(cell.value, before).translate_formula(cell.coordinate)


def rows_in_workbook(
    content: bytes, sheet_name: str, bodies: Mapping[int, int | None], cells: Mapping[tuple[int, int], str | int]
) -> bytes:
    """The workbook with rows of one sheet made of other rows, and cells put in; looks go with their rows.

    `bodies` gives by row the one whose cells it takes, None for a row of no cells. Rows and columns count from 1.
    Raises `ValueError` where cells of such a row are merged with others.
    """
    from copy import copy

    book = workbook_in(content, rich_text=True)
    sheet = book[sheet_name]
    rows = {*bodies, *filter(None, bodies.values())}
    if any(rows & {*range(area.min_row, area.max_row + 1)} for area in sheet.merged_cells.ranges):
        raise ValueError("merged cells")
    wide, above = sheet.max_column, sheet.max_row
    taken = {row: list(sheet[row]) for row in rows if row <= above}
    for row, body in bodies.items():
        if body == row:
            continue
        for column in range(1, wide + 1):
            sheet._cells.pop((row, column), None)
            if body is not None:
                _move(copy(taken[body][column - 1]), row)
            elif row > above:
                sheet.cell(row, column)._style = copy(sheet.cell(above, column)._style)
    for (row, column), content_of in cells.items():
        cell = sheet.cell(row, column)
        cell.value = content_of
        if isinstance(content_of, str) and content_of:
            cell.data_type = "s"  # text that begins with = is no formula
    return _saved(book, content)


def with_cells(content: bytes, sheet_name: str, cells: Mapping[tuple[int, int], float | str]) -> bytes:
    """The workbook with numbers or text in cells of one sheet, by row and column from 1; looks stay."""
    book = workbook_in(content, rich_text=True)
    for (row, column), value in cells.items():
        cell = book[sheet_name].cell(row, column)
        # a cell of text keeps what it shows only as a number
        if cell.number_format == "@" and not isinstance(value, str):
            cell.number_format = "General"
        cell.value = value
    return _saved(book, content)


def workbook_of(rows: Iterable[Sequence[str | float]], title: str = "trains") -> bytes:
    """A workbook of one sheet. Text is kept as text, whatever it begins with; only numbers are numbers."""
    import openpyxl  # type: ignore[import-untyped]

    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.title = title
    for number, row in enumerate(rows, start=1):
        for column, content in enumerate(row, start=1):
            if not isinstance(content, str):
                sheet.cell(number, column, content)
            elif content:
                cell = sheet.cell(number, column, NOT_IN_A_CELL.sub(" ", content))
                cell.data_type = "s"  # openpyxl takes text that begins with = for a formula
                cell.number_format = "@"
    return _saved(book)


def _saved(book: Any, before: bytes | None = None) -> bytes:
    """The workbook's bytes, the same each time: without when it was saved, nor, where none said so before, made."""
    told_before = before is not None and CORE in zipfile.ZipFile(io.BytesIO(before)).namelist()
    times = SAVED_AT if told_before else MADE_AND_SAVED_AT
    out, steady = io.BytesIO(), io.BytesIO()
    book.save(out)
    with zipfile.ZipFile(out) as parts, zipfile.ZipFile(steady, "w", zipfile.ZIP_DEFLATED) as kept:
        for name in parts.namelist():
            part = parts.read(name)
            content = times.sub(b"", part) if name == CORE else part
            kept.writestr(zipfile.ZipInfo(name, ZIP_EPOCH), content, zipfile.ZIP_DEFLATED)
    return steady.getvalue()
