"""A session's trains table written again with cars in other spots, and everything else as it stands."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from consist.errors import InputError, Problem
from consist.intake.files import Reading, raise_problems, write_whole
from consist.intake.owners_table import KINDS, OwnersTable, Placed, cell_text, reordered_workbook, workbook_of
from consist.intake.tables import comment_line, table_of, workbook_cells
from consist.names import quoted

__all__ = ["check_table_name", "write_reordered"]


def check_table_name(target: Path) -> None:
    """Raise `InputError` where a file of that name is no table of the kinds that can be written."""
    if target.suffix.lower() not in KINDS:
        text = f"found a name ending in {quoted(target.suffix)}, expected .csv or .xlsx; end the name in one of these"
        raise InputError([Problem(str(target), "", text)])


def write_reordered(session: Path, orders: Mapping[str, Sequence[str]], target: Path) -> None:
    """Write the trains table of a session's folder to `target` with trains in new standing orders.

    `orders` gives by train its cars from the head end back. The rows of such a train keep the places of the file that
    they have together, in standing order, and its spot numbers are those it had. Whatever else the table holds stays
    as it is; a table that keeps its form keeps its every other byte or cell. Raises `InputError`, with nothing
    written, where the table cannot be read, has changed, or cannot be written.
    """
    check_table_name(target)
    source = _source(session)
    placed = [place for train, order in orders.items() for place in _placed(source, train, order)]
    kind = target.suffix.lower()
    content = _CONTENTS[source.kind, kind](source, placed)
    _check_reads_back(source, placed, content, target)
    write_whole(target, content)


def _source(session: Path) -> OwnersTable:
    folder = session.parent if session.is_file() else session
    path = next((path for kind in KINDS if (path := folder / f"trains{kind}").exists()), folder / "trains.csv")
    reading = Reading(path.name)
    source = OwnersTable.read(path, reading)
    raise_problems(reading)
    if source is None or not {"train", "spot", "car"} <= set(source.table.columns):
        raise _changed(path)
    return source


def _changed(path: Path) -> InputError:
    return InputError([Problem(path.name, "", "the table has changed since it was read; run the command again")])


def _placed(source: OwnersTable, train: str, order: Sequence[str]) -> list[Placed]:
    """Where the rows of a train go; none where it already stands so."""
    rows = [row for row in source.table.rows if row.cells["train"] == train]
    number = {row.cells["car"]: row.number for row in rows}
    try:
        in_spot_order = sorted(rows, key=lambda row: _spot_number(row.cells["spot"]))
    except ValueError:
        raise _changed(source.path) from None
    if len(number) != len(rows) or sorted(number) != sorted(order):
        raise _changed(source.path)
    if [row.cells["car"] for row in in_spot_order] == list(order):
        return []
    return [
        Placed(row.number, number[car], spot.number)
        for row, car, spot in zip(rows, order, in_spot_order, strict=True)
    ]


def _spot_number(text: str) -> int:
    return int(text.removesuffix(".0"))


def _spot_column(source: OwnersTable) -> int:
    return source.table.header.index("spot")


def _csv_as_csv(source: OwnersTable, placed: Sequence[Placed]) -> bytes:
    records, column = source.records, _spot_column(source)
    changed = list(records)
    for place in placed:
        cells = list(records[place.body - 1].cells)
        cells[column] = records[place.spot - 1].cells[column]
        changed[place.row - 1] = replace(records[place.row - 1], cells=tuple(cells))
    return source.with_records(changed)


def _csv_as_workbook(source: OwnersTable, placed: Sequence[Placed]) -> bytes:
    rows = [
        [*record.cells] if record.comment else [cell_text(raw, source.delimiter) for raw in record.cells]
        for record in source.records
    ]
    column = _spot_column(source)
    holding = {row.number for row in source.table.rows}
    return workbook_of(
        [_spot_number(cell.strip()) if number in holding and k == column else cell for k, cell in enumerate(row)]
        for number, row in enumerate(_arranged(rows, column, placed), start=1)
        if not (row and comment_line(row[0]) and not row[0].lstrip().startswith("#"))  # names a delimiter
    )


def _workbook_as_csv(source: OwnersTable, placed: Sequence[Placed]) -> bytes:
    rows = workbook_cells(source.content, Reading(source.path.name))
    assert rows is not None
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(_arranged(rows, _spot_column(source), placed))
    return out.getvalue().encode("utf-8")


def _workbook_as_workbook(source: OwnersTable, placed: Sequence[Placed]) -> bytes:
    try:
        return reordered_workbook(source.content, _spot_column(source), placed)
    except ValueError:
        text = "found merged cells in a row that is to move; unmerge them, or write to a .csv file"
        raise InputError([Problem(source.path.name, "", text)]) from None


_CONTENTS = {
    (".csv", ".csv"): _csv_as_csv,
    (".csv", ".xlsx"): _csv_as_workbook,
    (".xlsx", ".csv"): _workbook_as_csv,
    (".xlsx", ".xlsx"): _workbook_as_workbook,
}


def _arranged(rows: Sequence[Sequence[str]], column: int, placed: Sequence[Placed]) -> list[list[str]]:
    arranged = [list(row) for row in rows]
    for place in placed:
        arranged[place.row - 1] = list(rows[place.body - 1])
        arranged[place.row - 1][column] = rows[place.spot - 1][column]
    return arranged


def _check_reads_back(source: OwnersTable, placed: Sequence[Placed], content: bytes, target: Path) -> None:
    """Raise `InputError` unless what is to be written says of every row what it should."""
    by_number = {row.number: row.cells for row in source.table.rows}
    wanted = dict(by_number)
    for place in placed:
        wanted[place.row] = {**by_number[place.body], "spot": by_number[place.spot]["spot"]}
    table = table_of(content, target.suffix.lower(), Reading(target.name))
    if table is None or [_said(row.cells) for row in table.rows] != [_said(cells) for cells in wanted.values()]:
        other = next(kind for kind in KINDS if kind != target.suffix.lower())
        text = f"the table does not read the same in this form, nothing was written; write it to a {other} file"
        raise InputError([Problem(str(target), "", text)])


def _said(cells: Mapping[str, str]) -> dict[str, object]:
    return {**cells, "spot": _spot_number(cells["spot"])}
