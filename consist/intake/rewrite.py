"""A session's trains table written again with cars in other spots, and everything else as it stands."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path

from consist.errors import InputError
from consist.intake.csv_text import CsvText, cell_text
from consist.intake.fields import declared
from consist.intake.files import Reading
from consist.intake.owners_table import OwnersTable, Placed, reordered_workbook, workbook_of
from consist.intake.rows import own_files, parse_number
from consist.intake.table_map import AS_OURS, maps_of
from consist.intake.tables import WRITTEN
from consist.intake.workbook import sheet_of
from consist.intake.writing import check_output, turn_to_write, write_whole
from consist.names import no_formula, one_of, quoted, tidy

__all__ = ["check_table_name", "trains_table", "write_reordered"]


NEEDED = ("train", "car")
READ = frozenset(column for each in declared("trains") for column in each.columns)
"""The columns of a trains table that are not its owner's own."""


def check_table_name(target: Path) -> None:
    """Raise `InputError` where a file of that name is no table of the kinds that can be written."""
    if target.suffix.lower() not in WRITTEN:
        told = f"found a name ending in {quoted(target.suffix)}, expected .csv or .xlsx; end the name in one of these"
        raise InputError.of(target, told)


def trains_table(session: Path) -> OwnersTable:
    """The trains table of a session's folder as it is now. Raises `InputError` where it cannot be read."""
    folder = session.parent if session.is_file() else session
    maps = maps_of(folder)
    path = (*own_files(folder, "trains", maps), folder / "trains.csv")[0]
    return OwnersTable.read(path, Reading(path.name), maps.get("trains", AS_OURS), NEEDED)


def write_reordered(
    session: Path, orders: Mapping[str, Sequence[str]], target: Path, as_read: OwnersTable | None = None
) -> None:
    """Write the trains table of a session's folder to `target` with trains in new standing orders.

    `orders` gives by train its cars from the head end back. The rows of such a train keep the places of the file that
    they have together, in standing order, and its spot numbers are those it had. Whatever else the table holds stays
    as it is; a table that keeps its form keeps its every other byte or cell. `as_read` is the table that the orders
    were made from: what has changed in other trains since is kept. Raises `InputError`, with nothing written, where
    the table cannot be read, has changed in a train of `orders`, or cannot be written.
    """
    check_table_name(target)
    check_output(target, session, but="trains")
    with turn_to_write(target):
        source = trains_table(session)
        if not {*NEEDED} <= {*source.table.header}:
            raise source.changed()
        if as_read and any(source.rows_of(train) != as_read.rows_of(train) for train in orders):
            raise source.changed()
        content = _arranged(source, orders, target)
        source.check_unchanged()
        write_whole(target, content)


def _arranged(source: OwnersTable, orders: Mapping[str, Sequence[str]], target: Path) -> bytes:
    """The table with its trains in those orders, as it goes into `target`, where it reads as it should."""
    placed = {row: taken for train, order in orders.items() for row, taken in _placed(source, train, order).items()}
    kind = target.suffix.lower()
    cells = {row.number: row.cells for row in source.table.rows}
    wanted = cells | {
        row: cells[body] | {column: cells[spot][column] for column in ("spot",) if column in cells[spot]}
        for row, (body, spot) in placed.items()
    }
    if source.kind == ".xlsx" and kind == ".csv":
        wanted = {
            number: {column: _as_text(column, cell) for column, cell in row.items()} for number, row in wanted.items()
        }
    content = _content(source, placed, kind)
    other = next(each for each in WRITTEN if each != kind)
    source.check_reads_back(content, target, wanted, f"in this form, nothing was written; write it to a {other} file")
    return content


def _placed(source: OwnersTable, train: str, order: Sequence[str]) -> Placed:
    """Where the rows of a train go; none where it already stands so."""
    rows = [row for row in source.table.rows if row.cells["train"] == train]
    number = {one_of(row.cells["car"], order) or row.cells["car"]: row.number for row in rows}
    told = [row.cells.get("spot", "") for row in rows]
    # a train without spots stands in the order of its rows
    counted = told if any(told) else [str(spot) for spot in range(1, len(rows) + 1)]
    spots = {
        row.number: parse_number(spot, source.table.decimal_comma) for row, spot in zip(rows, counted, strict=True)
    }
    if None in spots.values() or len(number) != len(rows) or sorted(number) != sorted(order):
        raise source.changed()
    standing, wanted = sorted(spots, key=lambda row: spots[row] or 0), [number[car] for car in order]
    return {} if wanted == standing else dict(zip(spots, zip(wanted, standing, strict=True), strict=True))


def _content(source: OwnersTable, placed: Placed, kind: str) -> bytes:
    """The table with rows in other places, as a file of a kind."""
    spot_column = source.table.header.index("spot") if "spot" in source.table.header else None
    if source.kind == kind == ".xlsx":
        try:
            return reordered_workbook(source.content, source.table.sheet, spot_column, placed)
        except ValueError:
            told = "found merged cells in a row that is to move; unmerge them, or write to a .csv file"
            raise InputError.of(source.path.name, told) from None
    text = source.table.text
    rows = text.cells() if text else sheet_of(source.content, Reading(source.path.name), source.table.sheet).rows
    arranged = list(rows)
    for row, (body, spot) in placed.items():
        arranged[row - 1] = [*rows[body - 1]]
        if spot_column is not None:
            arranged[row - 1][spot_column] = rows[spot - 1][spot_column]
    if text:
        return text.with_cells(arranged) if kind == ".csv" else _as_workbook(source, text, arranged, spot_column)
    for each in source.table.rows:
        arranged[each.number - 1] = list(map(_as_text, source.table.header, arranged[each.number - 1]))
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(arranged)
    return out.getvalue().encode("utf-8")


def _as_text(column: str, cell: str) -> str:
    """A workbook's cell for a .csv file: in a column of the owner's own no formula; what is read stays as it is."""
    read = column in READ or parse_number(cell, decimal_comma=True) is not None
    return cell if read else no_formula(tidy(cell))


def _as_workbook(
    source: OwnersTable, text: CsvText, records: Sequence[Sequence[str]], spot_column: int | None
) -> bytes:
    numbers = {row.number for row in source.table.rows}
    rows: list[list[str | int]] = []
    for number, record in enumerate(records, start=1):
        comment = text.no_row(record[0])
        row: list[str | int] = [raw if comment else cell_text(raw, text.delimiter) for raw in record]
        if number in numbers and spot_column is not None and spot_column < len(row) and str(row[spot_column]).strip():
            row[spot_column] = int(parse_number(str(row[spot_column]).strip(), source.table.decimal_comma) or 0)
        if not comment or record[0].lstrip().startswith("#"):  # else it names a delimiter
            rows.append(row)
    return workbook_of(rows)
