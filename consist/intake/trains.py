"""`trains.csv`: one row a car in a train, and what its rows must agree with."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from consist.intake.fields import declared
from consist.intake.files import Reading
from consist.intake.rows import Given, read_rows
from consist.names import did_you_mean, quoted

__all__ = ["TrainRow", "check_train_rows", "read_train_rows", "rows_of"]

HOLD = next(each for each in declared("trains") if each.name == "hold")


@dataclass(frozen=True)
class TrainRow:
    """One row of `trains.csv`: a car in a train. `hold` is `front`, `rear`, `stay`, `with CAR`, or None.

    `joins` and `leaves` are stops of the train's route, None where the cell is blank.
    """

    train: str
    spot: int
    car: str
    row: int
    loaded: bool = False
    block: str | None = None
    hold: str | None = None
    joins: str | None = None
    leaves: str | None = None


def read_train_rows(path: Path, reading: Reading) -> tuple[TrainRow, ...]:
    """The rows of a table of trains that name a train, a spot and a car, problems going to `reading`.

    Refused where it is not such a table.
    """
    given = read_rows(path, ("trains",), reading)
    riding: dict[str, list[str]] = {}
    for row in given:
        riding.setdefault(row.name, []).append(row.values.get("car", ""))
    held = [(row, {**row.values, "hold": _hold(row, riding[row.name], reading)}) for row in given]
    rows = tuple(TrainRow(row.name, row=row.row, **values) for row, values in held if {"spot", "car"} <= {*values})
    _check_once(rows, reading)
    return rows


def rows_of(train: str, rows: Iterable[TrainRow]) -> tuple[TrainRow, ...]:
    """The rows of one train in spot order."""
    return tuple(sorted((row for row in rows if row.train == train), key=lambda row: row.spot))


def _hold(row: Given, riding: Collection[str], reading: Reading) -> str | None:
    text = row.values.get("hold", "")
    if not text or text.casefold() in ("front", "rear", "stay"):
        return text.casefold() or None
    place = f"row {row.row}, hold"
    word, _, other = text.partition(" ")
    others = [car for car in riding if car and car != row.values.get("car")]
    if word.casefold() != "with" or not other:
        reading.problem(place, f"found {quoted(text)}, {HOLD.fault}; {HOLD.cure}")
    elif other not in others:
        hint = did_you_mean(other, others, "other cars of the train")
        reading.problem(place, f"found {quoted(text)}, expected another car of the same train; {hint}")
    return f"with {other}"


def _check_once(rows: Iterable[TrainRow], reading: Reading) -> None:
    first: dict[tuple[str, int | str], int] = {}
    for row in rows:
        place, train = f"row {row.row}", quoted(row.train)
        taken = first.setdefault((row.train, row.spot), row.row)
        if taken != row.row:
            told = f"found spot {row.spot} of {train}, which row {taken} takes already"
            reading.problem(f"{place}, spot", f"{told}; expected each spot once, renumber one of the two rows")
        has = first.setdefault((row.train, row.car), row.row)
        if has != row.row:
            told = f"found {quoted(row.car)} a second time in {train}, row {has} has it already"
            reading.problem(f"{place}, car", f"{told}; expected each car once in a train, remove one of the two rows")


def check_train_rows(
    rows: Iterable[TrainRow],
    cars: Collection[str] | None,
    routes: Mapping[str, tuple[str, ...] | None] | None,
    reading: Reading,
) -> tuple[TrainRow, ...]:
    """The rows, checked against the known cars and the trains' routes, stops spelled as the routes have them.

    `cars`, `routes` or a train's route is None where it could not be read, and is not checked against then.
    """
    checked = []
    for row in rows:
        if cars is not None:
            reading.check_known(f"row {row.row}, car", row.car, cars, "a car of cars.csv or guests.csv", "cars")
        if routes is not None:
            reading.check_known(f"row {row.row}, train", row.train, routes, "a train of session.toml", "trains")
        route = (routes or {}).get(row.train)
        checked.append(row if route is None else _stops_checked(row, route, reading))
    return tuple(checked)


def _stops_checked(row: TrainRow, route: tuple[str, ...], reading: Reading) -> TrainRow:
    known = {stop.casefold(): stop for stop in route}
    joins, leaves = (stop and known.get(stop.casefold(), stop) for stop in (row.joins, row.leaves))
    for column, stop in (("joins", joins), ("leaves", leaves)):
        if stop is not None:
            reading.check_known(f"row {row.row}, {column}", stop, route, "a stop of the train's route", "stops")
    if {joins, leaves} <= {None, *route}:
        _check_way_round(row.row, joins, leaves, route, reading)
    return replace(row, joins=joins, leaves=leaves)


def _check_way_round(
    number: int, joins: str | None, leaves: str | None, route: tuple[str, ...], reading: Reading
) -> None:
    first = route.index(joins) if joins else 0
    last = len(route) - 1 - route[::-1].index(leaves) if leaves else len(route) - 1
    if first < last:
        return
    place = "joins and leaves" if joins and leaves else "joins" if joins else "leaves"
    if joins is None or leaves is None:
        told = f"found {quoted(joins or leaves or '')}, where the train {'ends' if joins else 'starts'}"
    elif joins == leaves:
        told = f"found {quoted(joins)} for both"
    else:
        told = f"found {quoted(joins)} and then {quoted(leaves)}, which comes before it"
    told = f"{told}; expected a car to leave at a later stop than it joins, correct the stops"
    reading.problem(f"row {number}, {place}", told)
