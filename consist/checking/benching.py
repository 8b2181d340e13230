"""The bench's list put together with what the check knows of engines: whom a train runs behind, how many it needs."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from consist.bench.listing import Progress, bench_cars, bench_list
from consist.bench.results import BenchList
from consist.bench.target import scale_named
from consist.checking.engines import engines_for
from consist.intake import read_cars
from consist.intake.weights import KNOWN_PIECES, PieceKind
from consist.power import engines_needed
from consist.session import Session
from consist.trip import tables_of

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
    head_end = {
        train.name: engines_for(session, train, engines_needed(session, train, tables_of(session, train)))[0]
        for train in session.trains
        if not train.engines and not train.helpers
    }
    return bench_list(session, pieces, minutes, per_car, head_end=head_end, needed=engines_needed, progress=progress)


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
