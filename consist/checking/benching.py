"""The bench's list put together with what the check knows of engines: whom a train runs behind, how many it needs."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from consist.bench.listing import Progress, bench_cars, bench_list
from consist.bench.results import BenchList
from consist.bench.target import scale_named
from consist.intake import KNOWN_PIECES, PieceKind, read_cars
from consist.session import Session

__all__ = ["bench", "bench_table"]


def bench(
    session: Session,
    pieces: Sequence[PieceKind] = KNOWN_PIECES,
    minutes: float | None = None,
    per_car: float | None = None,
    progress: Progress | None = None,
) -> BenchList:
    """The list for a session; a train without engines is run behind those that its check takes.

    Raises `InputError` for minutes that are none.
    """
    return bench_list(session, pieces, minutes, per_car, progress=progress)


def bench_table(
    cars: Path,
    scale: str,
    standard: str = "nmra-rp-20.1",
    pieces: Sequence[PieceKind] = KNOWN_PIECES,
    minutes: float | None = None,
    per_car: float | None = None,
) -> BenchList:
    """The list for a table of cars alone. Raises `InputError` for a table or a question that is none."""
    known = scale_named(scale)
    return bench_cars(read_cars(cars, scale=known), known, standard, pieces, minutes, per_car)
