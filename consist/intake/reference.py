"""Every column and key that the user's files may have, as data."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from consist.intake.fields import FILES_OWN, Field, Kind
from consist.intake.house import GUEST_PRACTICE, HOUSE, OWN_STANDARD
from consist.intake.layout import LAYOUT, LINE, OWN_SCALE, PLACE
from consist.intake.pieces import PIECE
from consist.intake.schedule import TRAIN
from consist.intake.session import SESSION
from consist.intake.stock import CARS, ENGINES, GUESTS
from consist.intake.trains import TRAIN_ROWS
from consist.intake.weights import PIECES

__all__ = ["FILES", "Declared", "declarations"]

FILES: tuple[tuple[str, str, Sequence[Field]], ...] = (
    ("session.toml", "", SESSION),
    ("session.toml", "[house]", HOUSE),
    ("session.toml", "weight_standard", OWN_STANDARD),
    ("session.toml", "[house.guests]", GUEST_PRACTICE),
    ("session.toml", "[[train]]", TRAIN),
    ("layout file", "", LAYOUT),
    ("layout file", "scale", OWN_SCALE),
    ("layout file", "[place]", PLACE),
    ("layout file", "[[line]]", LINE),
    ("layout file", "track", PIECE),
    ("cars.csv", "", CARS),
    ("guests.csv", "", GUESTS),
    ("engines.csv", "", ENGINES),
    ("trains.csv", "", TRAIN_ROWS),
    ("pieces.csv", "", PIECES),
)
"""Each file's tables with their fields; a table of CSV may be kept as a workbook of the same name."""


@dataclass(frozen=True)
class Declared:
    """A column or key: where it stands, how it is written, and what it may hold.

    `names` are the columns that may hold it, one a unit, or its one key. `units` are empty for what has none; a
    length of a layout is in either, as its file says. `range` and `default` are in words, empty where anything will
    do or nothing is taken.
    """

    file: str
    table: str
    names: tuple[str, ...]
    kind: Kind
    units: tuple[str, ...]
    range: str
    default: str
    help: str


def declarations() -> tuple[Declared, ...]:
    """Every declaration, file by file, in the order of the files that `consist new` writes.

    >>> [each.names for each in declarations() if each.file == "engines.csv"][4:6]
    [('pull_g', 'pull_oz'), ('grip',)]
    """
    return tuple(_declared())


def _declared() -> Iterator[Declared]:
    for file, table, fields in FILES:
        for each in fields:
            yield Declared(
                file=file,
                table=table,
                names=tuple(each.columns),
                kind=each.kind,
                units=("in", "mm") if each.units is FILES_OWN else tuple(each.units),
                range=each.range_words,
                default=each.default_words,
                help=" ".join(each.help.split()),
            )
