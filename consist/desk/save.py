"""An evening saved into the session's own tables: all of it or nothing, with copies of what stood before.

Before the first table is touched the journal notes what each is to be; so a save that is cut short, by whatever ends
the process, is taken back when the desk is opened again.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from consist.desk.desk import Desk, Who
from consist.desk.journal import Journal, Saving, fingerprints
from consist.errors import ConsistError
from consist.intake import (
    Brought,
    Kept,
    RowOfCar,
    saved_files,
    session_files,
    turn_to_write,
    write_whole,
)
from consist.names import listed
from consist.session import CarInTrain, Session, Train, load

__all__ = ["MOST_COPIES", "SaveError", "alike", "kept_of", "save", "session_tables", "settle"]

MOST_COPIES = 10
"""So many copies of a table are kept beside it, the newest."""
STAMP = "%Y-%m-%dT%H-%M-%S"


class SaveError(ConsistError):
    """A save that is refused; `str()` says why, and what to do."""


def session_tables(home: Path) -> list[Path]:
    """The files of a session that a save may change, and those that it must find as they were read."""
    return [path for path in session_files(home) if path.name == "session.toml" or path.suffix != ".toml"]


def save(home: Path, desk: Desk, journal: Journal, who: Who) -> None:
    """Write what was done at the desk into the session's tables, and let the desk go on from there.

    Raises `SaveError` where another program has changed a table meanwhile, or where what is written does not read as
    the desk has it, and `InputError` where a table cannot hold it or be written. Every file is then as it was.
    """
    if not desk.changed:
        raise SaveError("there is nothing to save; the tables are as the desk has them")
    with turn_to_write(home / "session.toml"):
        base = load(home)
        now = fingerprints(home, session_tables(home))
        changed = sorted(name for name in {*now, *journal.tables} if now.get(name) != journal.tables.get(name))
        if changed:
            told = f"another program has changed {listed(changed)} since the desk read it"
            raise SaveError(f"{told}; end the desk and open it again to do all this to the tables as they now are")
        files = saved_files(home, kept_of(base, desk.session))
        with contextlib.ExitStack() as undo:
            copies = {path: _copy(path, old, undo) for path, (old, _) in files.items()}
            marks = {os.path.relpath(path, home): _marks(*both, copies[path]) for path, both in files.items()}
            journal.note_saving(Saving(marks))
            for path, (old, new) in files.items():
                undo.callback(_put_back, path, old)
                write_whole(path, new)
            saved = load(home)
            if not alike(saved, desk.session):
                told = "the tables would not read as the desk has it, so nothing was saved"
                raise SaveError(f"{told}; please report this, with the session's files")
            undo.pop_all()
        desk.saved(replace(saved, notes=desk.session.notes))
        journal.begin(fingerprints(home, session_tables(home)), desk.first, desk.ticked)
        for path in files:
            _drop_old(path)


def _marks(old: bytes | None, new: bytes, copy: Path | None) -> tuple[str | None, str, str | None]:
    before = None if old is None else sha256(old).hexdigest()
    return before, sha256(new).hexdigest(), None if copy is None else copy.name


def settle(home: Path, journal: Journal) -> list[str]:
    """Take back a save that was cut short, or take note of one that was done; what there is to tell of it.

    A save is done where every table holds what it was to hold: the journal then begins anew on them. Whoever calls
    has the turn to write here.
    """
    saving = journal.saving
    if saving is None:
        return []
    now = fingerprints(home, [home / name for name in saving.files])
    if all(now.get(name) == after for name, (_, after, _) in saving.files.items()):
        first = journal.first + len(journal.entries)
        ticked = {*journal.ticked}
        for entry in journal.entries:
            if entry.task is not None:
                ticked = ticked | {entry.task} if entry.done else ticked - {entry.task}
        journal.begin(fingerprints(home, session_tables(home)), first, ticked)
        return []
    back = []
    for name, (before, after, copy) in saving.files.items():
        if now.get(name) != after:
            continue
        kept = (home / name).with_name(copy) if copy is not None else None
        if kept is not None and kept.is_file() and sha256(kept.read_bytes()).hexdigest() == before:
            write_whole(home / name, kept.read_bytes())
            back.append(name)
        elif before is None:
            (home / name).unlink(missing_ok=True)
            back.append(name)
    journal.saving = None
    if not back:
        return []
    return [f"A save was cut short: {listed(back)} stands again as before it. Everything is still here to be saved."]


def kept_of(base: Session, now: Session) -> Kept:
    """What tables must note so that a session which reads as `base` reads as `now`."""
    trains, engines = {}, {}
    for was, train in zip(base.trains, now.trains, strict=True):
        if was.cars != train.cars and _rows(was) != _rows(train):
            trains[train.name] = [_row(base, was, train, car) for car in train.cars]
        names = [[engine.name for engine in each] for each in (train.engines, train.helpers)]
        if names != [[engine.name for engine in each] for each in (was.engines, was.helpers)]:
            engines[train.name] = names[0], names[1]
    known = {name: car for name, car in now.cars.items() if name in base.cars}
    weights = {
        name: car.weight_g
        for name, car in known.items()
        if car.weighed and (car.weight_g != base.cars[name].weight_g or not base.cars[name].weighed)
    }
    brought = [
        Brought(car.name, car.kind, car.owner, car.weight_g if car.weighed else None, car.body_length_mm)
        for name, car in now.cars.items()
        if name not in base.cars
    ]
    return Kept(trains, engines, weights, brought)


def _rows(train: Train) -> list[tuple[object, ...]]:
    return [_said(car) for car in train.cars]


def _said(car: CarInTrain) -> tuple[object, ...]:
    return car.car.name, car.loaded, car.block, car.hold, car.joins, car.leaves


def _row(base: Session, was: Train, train: Train, car: CarInTrain) -> RowOfCar:
    """A car's row, with the cells that must say something else than its row does now."""
    riding = [(each, of.name) for of in (was, *base.trains) for each in of.cars if each.car.name == car.car.name]
    before, was_in = riding[0] if riding else (None, None)
    cells: dict[str, str] = {}
    if before is None or before.loaded != car.loaded:
        cells["loaded"] = "yes" if car.loaded else "no" if before else ""
    for column in ("block", "hold"):
        told, old = getattr(car, column) or "", (getattr(before, column) or "") if before else ""
        if told != old:
            cells[column] = told
    stops = train.route.stops
    own = before is not None and was_in == train.name
    for column, stop, whole in (("joins", car.joins, 0), ("leaves", car.leaves, len(stops) - 1)):
        same = own and before is not None and getattr(before, column) == stop
        other = not own and was_in is not None
        if not same and (stop != whole or own or other):
            cells[column] = "" if stop == whole else stops[stop]
    return RowOfCar(car.car.name, was_in, {column: cell for column, cell in cells.items() if cell or before})


def alike(one: Session, other: Session) -> bool:
    """Whether two sessions have the same trains and cars, weights to what a table holds of them."""

    def cars(session: Session) -> Iterator[tuple[str, float]]:
        return ((name, car.weight_g) for name, car in sorted(session.cars.items()))

    def engines(session: Session) -> list[list[str]]:
        return [[engine.name for engine in (*train.engines, *train.helpers)] for train in session.trains]

    return (
        [_rows(train) for train in one.trains] == [_rows(train) for train in other.trains]
        and engines(one) == engines(other)
        and one.cars.keys() == other.cars.keys()
        and all(abs(a - b) < 0.02 for (_, a), (_, b) in zip(cars(one), cars(other), strict=True))
    )


def _copy(path: Path, content: bytes | None, undo: contextlib.ExitStack) -> Path | None:
    """What a table held, beside it and dated; none of a table that was not there."""
    if content is None:
        return None
    stamp = f"{datetime.now():{STAMP}}"
    names = (f"{path.name}.{stamp}{'' if number == 1 else f'-{number}'}.bak" for number in range(1, 1000))
    copy = next(copy for copy in map(path.with_name, names) if not copy.exists())
    write_whole(copy, content, like=path, refused="a copy of the old table cannot be kept")
    undo.callback(copy.unlink, missing_ok=True)
    return copy


def _put_back(path: Path, content: bytes | None) -> None:
    if content is None:
        path.unlink(missing_ok=True)
    else:
        write_whole(path, content)


def _drop_old(path: Path) -> None:
    """Keep the newest copies of a table alone."""
    copies = sorted(path.parent.glob(f"{path.name}.????-??-??T??-??-??*.bak"))
    for copy in copies[:-MOST_COPIES]:
        with contextlib.suppress(OSError):
            copy.unlink()
