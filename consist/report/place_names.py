"""Names set under a drawing, each below a tick at its column, in as many rows as keep them apart."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len

from consist.report.words import clean, fit

__all__ = ["name_rows"]

LONGEST_NAME = 24
APART = 2  # blank columns between two names in a row


def name_rows(names: Sequence[tuple[str, int]], columns: int) -> list[str]:
    """A row of ticks, then the rows of names, with a line up to its tick from each name in a lower row.

    From right to left, each name takes the highest row with room for it.

    >>> for row in name_rows([("Westing", 0), ("Dock", 4)], 12): print(row)
    |   |
    |   Dock
    Westing
    """
    taken: list[list[tuple[int, int]]] = []
    rows: list[list[str]] = []
    ticks = [" "] * columns
    for name, column in sorted(names, key=lambda item: -item[1]):
        shown = fit(clean(name), min(LONGEST_NAME, columns))
        size = cell_len(shown)
        ticks[column] = "|"
        start = max(min(column, columns - size), 0)
        row = _row_for(taken, start, start + size)
        if row == len(rows):
            taken.append([])
            rows.append([" "] * columns)
        taken[row].append((start, start + size))
        rows[row][start : start + size] = [*shown, *[""] * (size - len(shown))]
        for upper in range(row):
            if rows[upper][column] == " ":
                rows[upper][column] = "|"
                taken[upper].append((column, column + 1))
    return ["".join(row).rstrip() for row in (ticks, *rows)]


def _row_for(taken: list[list[tuple[int, int]]], start: int, finish: int) -> int:
    for row, spans in enumerate(taken):
        if all(finish + APART <= begins or start >= ends + APART for begins, ends in spans):
            return row
    return len(taken)
