"""`pieces.csv`: the pieces of weight at hand, one row a kind of piece.

Where there is no such table, coins and quarter-ounce stick-on pieces are taken to be at hand in plenty. Weights of
coins are those of the US Mint. Nuts and washers differ too much to be known: the user weighs them.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from consist.intake.fields import declared
from consist.intake.files import Reading, raise_problems
from consist.intake.rows import read_rows, table_file
from consist.names import plain, quoted
from consist.scales import GRAMS_PER_OUNCE

__all__ = ["KNOWN_PIECES", "PIECES", "PieceKind", "pieces_at_hand", "read_pieces"]


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

PIECES = declared("pieces")


def read_pieces(path: Path) -> tuple[PieceKind, ...]:
    """The pieces of a table. Raises `InputError` with every problem of the file."""
    reading = Reading(plain(path.name))
    rows = read_rows(path, PIECES, reading)
    for row in rows or ():
        if "weight" not in row.filled:
            told = (
                f"found no weight for the piece {quoted(row.name)}, expected weight_g or weight_oz; weigh one piece"
            )
            reading.problem(f"row {row.row}, weight", told)
    if rows == () and not any(problem.place.startswith("row ") for problem in reading.problems):
        reading.problem("", "found no piece, expected at least one row; add a piece or remove the file")
    raise_problems(reading)
    return tuple(PieceKind(row.name, **{k: v for k, v in row.values.items() if k != "note"}) for row in rows or ())


def pieces_at_hand(folder: Path) -> tuple[PieceKind, ...]:
    """The pieces of a folder's own table, or those known by default where it has none. Raises `InputError`."""
    path, reading = table_file(folder, "pieces")
    raise_problems(reading)
    return KNOWN_PIECES if path is None else read_pieces(path)
