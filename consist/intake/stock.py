"""Tables of which a row is one thing: `cars.csv`, `guests.csv` and `engines.csv`, and the `pieces.csv` of weight.

Where there is no table of pieces, coins and quarter-ounce stick-on pieces are taken to be at hand in plenty. Weights
of coins are those of the US Mint. Nuts and washers differ too much to be known: the user weighs them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from consist.intake.files import Reading, raise_problems
from consist.intake.rows import Given, read_rows, table_file
from consist.intake.table_map import AS_OURS, TableMap, maps_of
from consist.names import plain
from consist.scales import GRAMS_PER_OUNCE, Scale
from consist.stock import Car, Engine, WeightStandard, car_by_rule, engine_by_rule
from consist.tolerances import longer

__all__ = [
    "KNOWN_PIECES",
    "PieceKind",
    "cars_of",
    "check_bodies",
    "engines_of",
    "pieces_at_hand",
    "read_car_rows",
    "read_cars",
    "read_pieces",
]

FREEST_PERCENT = 0.1  # common practice, no source: the freest cars need several times this


def read_cars(path: Path, scale: Scale | None = None, how: TableMap = AS_OURS) -> tuple[Given, ...]:
    """The rows of one table of cars alone, read through a map, and held against a scale where one is given.

    Raises `InputError` with every problem of the file.
    """
    reading = Reading(plain(path.name))
    rows = read_car_rows(path, reading, "cars", how=how, ratio=None if scale is None else scale.ratio)
    if scale is not None:
        check_bodies(rows, scale, reading)
    raise_problems(reading)
    return rows


def read_car_rows(
    path: Path, reading: Reading, *tables: str, how: TableMap = AS_OURS, ratio: float | None = None
) -> tuple[Given, ...]:
    """The rows of a table of cars, problems going to `reading`; refused where it cannot be read as one."""
    rows = read_rows(path, reading, *tables, how=how, ratio=ratio)
    for row in rows:
        # A cell shown as 1.4 % is read so, but one whose format was lost says 0.014.
        rolls_at = row.values.get("rolls_at_percent")
        if rolls_at is not None and rolls_at < FREEST_PERCENT:
            reading.note(
                f"has a rolls_at_percent of {rolls_at:.4g} in row {row.row}, freer than cars roll; "
                "if the cell is shown as a percentage, write 1.4 for 1.4 %"
            )
    return rows


def check_bodies(rows: Iterable[Given], scale: Scale, reading: Reading) -> None:
    """Add a problem for each car that is no longer than the couplers of its scale and has no body length."""
    couplers = scale.coupled_over_body_mm
    for row in rows:
        coupled = row.values.get("coupled_length_mm")
        if "body_length_mm" not in row.values and coupled is not None and not longer(coupled, couplers):
            reading.problem(
                f"row {row.row}, coupled_length",
                f"found a coupled length of {coupled:.5g} mm, expected more than the {couplers:.3g} mm that its "
                f"couplers alone take in scale {scale.name}; correct it, or fill in body_length",
            )


def cars_of(
    rows: Iterable[Given], scale: Scale, standard: WeightStandard, rolling_percent: float, *, guest: bool = False
) -> tuple[Car, ...]:
    """The cars of checked rows, with what they leave out assumed by rule."""
    return tuple(car_by_rule(row.name, scale, standard, rolling_percent, guest=guest, **row.values) for row in rows)


def engines_of(rows: Iterable[Given], scale: Scale) -> tuple[Engine, ...]:
    """The engines of checked rows, with what they leave out assumed by rule."""
    return tuple(engine_by_rule(row.name, scale, **row.values) for row in rows)


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


def read_pieces(path: Path, how: TableMap = AS_OURS) -> tuple[PieceKind, ...]:
    """The pieces of a table. Raises `InputError` with every problem of the file."""
    reading = Reading(plain(path.name))
    rows = read_rows(path, reading, "pieces", how=how)
    if not rows and not any(problem.place.startswith("row ") for problem in reading.problems):
        reading.problem("", "found no piece, expected at least one row; add a piece or remove the file")
    raise_problems(reading)
    return tuple(PieceKind(row.name, **{k: v for k, v in row.values.items() if k != "note"}) for row in rows)


def pieces_at_hand(folder: Path) -> tuple[PieceKind, ...]:
    """The pieces of a folder's own table, or those known by default where it has none. Raises `InputError`."""
    how = maps_of(folder).get("pieces", AS_OURS)
    path, reading = table_file(folder, "pieces", how)
    raise_problems(reading)
    return KNOWN_PIECES if path is None else read_pieces(path, how)
