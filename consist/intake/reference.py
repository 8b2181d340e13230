"""Every column and key that the user's files may have, as data."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from consist.intake.fields import FILES_OWN, UNITS, declared

__all__ = ["FILES", "Declared", "declarations"]

FILES: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("session.toml", "", ("session",)),
    ("session.toml", "[house]", ("house",)),
    ("session.toml", "weight_standard", ("own_standard",)),
    ("session.toml", "[house.guests]", ("guest_practice",)),
    ("session.toml", "[[train]]", ("train",)),
    ("layout.toml", "", ("layout",)),
    ("layout.toml", "scale", ("own_scale",)),
    ("layout.toml", "[place]", ("place", "clearances")),
    ("layout.toml", "[[line]]", ("line", "clearances")),
    ("layout.toml", "track", ("piece",)),
    ("cars.csv", "", ("cars",)),
    ("guests.csv", "", ("cars", "guests")),
    ("engines.csv", "", ("engines",)),
    ("trains.csv", "", ("trains",)),
    ("pieces.csv", "", ("pieces",)),
)
"""Each file and the part of it, with the tables of `fields.toml` that declare it.

A table of CSV may be kept as a workbook of the same name, and a layout under any name.
"""


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
    kind: str
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
    for file, table, tables in FILES:
        for each in declared(*tables):
            yield Declared(
                file=file,
                table=table,
                names=tuple(each.columns),
                kind=each.kind,
                units=("in", "mm") if each.kind == FILES_OWN else tuple(UNITS.get(each.kind, ())),
                range=each.range_words,
                default=each.default_words,
                help=" ".join(each.help.split()),
            )
