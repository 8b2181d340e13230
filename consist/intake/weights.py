"""`pieces.csv`: the pieces of weight at hand, one row a kind of piece.

Where there is no such table, coins and quarter-ounce stick-on pieces are taken to be at hand in plenty. Weights of
coins are those of the US Mint. Nuts and washers differ too much to be known: the user weighs them.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from consist.errors import InputError, Problem
from consist.intake.columns import check_columns, has_columns, named_rows
from consist.intake.quantities import LENGTH, WEIGHT, Quantity, parse_number, read_quantity
from consist.intake.reading import Reading, raise_problems
from consist.intake.tables import Row, Table, read_table
from consist.names import plain, quoted
from consist.scales import GRAMS_PER_OUNCE

__all__ = ["KNOWN_PIECES", "PieceKind", "find_pieces", "pieces_at_hand", "read_pieces"]

MOST_ON_HAND = 1_000_000


@dataclass(frozen=True)
class PieceKind:
    """A kind of piece: its weight, its length where it was measured, and how many there are (None: plenty)."""

    piece: str
    weight_g: float
    length_mm: float | None = None
    on_hand: int | None = None


KNOWN_PIECES = (
    PieceKind("quarter-ounce stick-on", 0.25 * GRAMS_PER_OUNCE),
    PieceKind("quarter coin", 5.670),
    PieceKind("nickel coin", 5.000),
    PieceKind("cent coin", 2.500),
    PieceKind("dime coin", 2.268),
)
"""Known by default. Coins: US Mint, cents since 1982. Stick-on wheel weights: common practice, no source."""

QUANTITIES = (Quantity("weight", WEIGHT, cure="weigh one piece"), Quantity("length", LENGTH))
TEXTS = ("piece", "on_hand", "note")


def read_pieces(path: Path) -> tuple[PieceKind, ...]:
    """The pieces of a table. Raises `InputError` with every problem of the file."""
    reading = Reading(plain(path.name))
    table = read_table(path, reading)
    pieces: tuple[PieceKind, ...] = ()
    if table is not None and has_columns(table, ["piece"], reading):
        unread = check_columns(table, TEXTS, QUANTITIES, reading)
        rows = named_rows(table, "piece", "piece", reading)
        read = [_piece(name, row, table, reading, "weight" not in unread) for name, row in rows]
        pieces = tuple(piece for piece in read if piece is not None)
        if not table.rows:
            reading.problem("", "found no piece, expected at least one row; add a piece or remove the file")
    raise_problems([reading])
    return pieces


def find_pieces(folder: Path) -> Path | None:
    """The table of pieces in a session's folder, None where it has none. Raises `InputError` where it has two."""
    there = [path for path in (folder / "pieces.csv", folder / "pieces.xlsx") if path.exists()]
    if len(there) > 1:
        text = "found pieces.csv and pieces.xlsx, expected one of them; remove or rename the other"
        raise InputError([Problem("pieces.csv", "", text)])
    return there[0] if there else None


def pieces_at_hand(folder: Path) -> tuple[PieceKind, ...]:
    """The pieces of a folder's own table, or those known by default where it has none."""
    path = find_pieces(folder)
    return KNOWN_PIECES if path is None else read_pieces(path)


def _piece(name: str, row: Row, table: Table, reading: Reading, weights_read: bool) -> PieceKind | None:
    weight, length = (read_quantity(quantity, row, table, reading) for quantity in QUANTITIES)
    if weight is None and weights_read and not any(row.cells.get(column) for column in QUANTITIES[0].columns):
        reading.problem(
            f"row {row.number}, weight",
            f"found no weight for the piece {quoted(name)}, expected weight_g or weight_oz; weigh one piece",
        )
    on_hand = _on_hand(row, table, reading)
    return None if weight is None else PieceKind(name, weight, length, on_hand)


def _on_hand(row: Row, table: Table, reading: Reading) -> int | None:
    text = row.cells.get("on_hand", "")
    if not text:
        return None
    value = parse_number(text, table.decimal_comma)
    if value is None or not 0 <= value <= MOST_ON_HAND or value != int(value):
        reading.problem(
            f"row {row.number}, on_hand",
            f"found {quoted(text)}, expected a whole number from 0; count the pieces, or leave the cell empty "
            "for plenty",
        )
        return None
    return int(value)
