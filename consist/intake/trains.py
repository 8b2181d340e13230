"""`trains.csv`: one row a car in a train, and what its rows must agree with."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from consist.intake.fields import declared
from consist.intake.files import Reading
from consist.intake.rows import open_table, read_cells
from consist.intake.tables import Row
from consist.names import did_you_mean, quoted

__all__ = ["TRAIN_ROWS", "TrainRow", "check_train_rows", "read_trains_into", "rows_of"]

TRAIN_ROWS = declared("trains")
TRAIN, SPOT, CAR, LOADED, BLOCK, HOLD, JOINS, LEAVES = TRAIN_ROWS


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


def read_trains_into(path: Path, reading: Reading) -> tuple[TrainRow, ...] | None:
    """The rows of a table of trains that name a train, a spot and a car, problems going to `reading`.

    None where it is not such a table.
    """
    opened = open_table(path, TRAIN_ROWS, ["train", "spot", "car"], reading)
    if opened is None:
        return None
    table, _ = opened
    riding: dict[str, list[str]] = {}
    for row in table.rows:
        riding.setdefault(row.cells["train"], []).append(row.cells["car"])
    read = [_train_row(row, riding, table.decimal_comma, reading) for row in table.rows]
    rows = tuple(row for row in read if row is not None)
    _check_once(rows, reading)
    return rows


def rows_of(train: str, rows: Iterable[TrainRow]) -> tuple[TrainRow, ...]:
    """The rows of one train in spot order."""
    return tuple(sorted((row for row in rows if row.train == train), key=lambda row: row.spot))


def _train_row(
    row: Row, riding: Mapping[str, Collection[str]], decimal_comma: bool, reading: Reading
) -> TrainRow | None:
    train, car = (_needed(row, column, reading) for column in ("train", "car"))
    spot = _spot(row, reading)
    others = read_cells((LOADED, BLOCK, JOINS, LEAVES), row, decimal_comma, reading)
    hold = _hold(row, riding.get(train, ()), reading)
    if not train or not car or spot is None:
        return None
    return TrainRow(train, spot, car, row.number, hold=hold, **others)


def _needed(row: Row, column: str, reading: Reading) -> str:
    name = row.cells[column]
    if not name:
        place = f"row {row.number}, {column}"
        reading.problem(place, f"found an empty cell, expected the {column}'s name; name it or clear the row")
    return name


def _spot(row: Row, reading: Reading) -> int | None:
    text = row.cells["spot"]
    digits = text.removesuffix(".0")
    if digits.isascii() and digits.isdigit() and len(digits) < 9 and SPOT.bounds.hold(int(digits)):
        return int(digits)
    reading.problem(
        f"row {row.number}, spot", f"found {quoted(text) if text else 'an empty cell'}, {SPOT.fault}; {SPOT.cure}"
    )
    return None


def _hold(row: Row, riding: Collection[str], reading: Reading) -> str | None:
    text = row.cells.get("hold", "")
    if not text:
        return None
    if text.casefold() in ("front", "rear", "stay"):
        return text.casefold()
    place = f"row {row.number}, hold"
    word, _, other = text.partition(" ")
    if word.casefold() != "with" or not other:
        reading.problem(place, f"found {quoted(text)}, {HOLD.fault}; {HOLD.cure}")
        return None
    others = [car for car in riding if car and car != row.cells["car"]]
    if other not in others:
        hint = did_you_mean(other, others, "other cars of the train")
        reading.problem(place, f"found {quoted(text)}, expected another car of the same train; {hint}")
        return None
    return f"with {other}"


def _check_once(rows: Iterable[TrainRow], reading: Reading) -> None:
    spots: dict[tuple[str, int], int] = {}
    cars: dict[tuple[str, str], int] = {}
    for row in rows:
        first = spots.setdefault((row.train, row.spot), row.row)
        if first != row.row:
            reading.problem(
                f"row {row.row}, spot",
                f"found spot {row.spot} of {quoted(row.train)}, which row {first} takes already; "
                "expected each spot once, renumber one of the two rows",
            )
        first = cars.setdefault((row.train, row.car), row.row)
        if first != row.row:
            reading.problem(
                f"row {row.row}, car",
                f"found {quoted(row.car)} a second time in {quoted(row.train)}, row {first} has it already; "
                "expected each car once in a train, remove one of the two rows",
            )


def check_train_rows(
    rows: Iterable[TrainRow],
    cars: Collection[str] | None,
    routes: Mapping[str, tuple[str, ...] | None] | None,
    reading: Reading,
) -> tuple[TrainRow, ...]:
    """The rows, checked against the known cars and the trains' routes, stops spelled as the routes have them.

    `cars`, `routes` or a train's route is None where it could not be read, and is not checked against then.
    """
    return tuple(_checked(row, cars, routes, reading) for row in rows)


def _checked(
    row: TrainRow,
    cars: Collection[str] | None,
    routes: Mapping[str, tuple[str, ...] | None] | None,
    reading: Reading,
) -> TrainRow:
    if cars is not None and row.car not in cars:
        hint = did_you_mean(row.car, cars, "cars")
        reading.problem(
            f"row {row.row}, car", f"found {quoted(row.car)}, expected a car of cars.csv or guests.csv; {hint}"
        )
    if routes is None:
        return row
    if row.train not in routes:
        hint = did_you_mean(row.train, routes, "trains")
        text = f"found {quoted(row.train)}, expected a train of session.toml; {hint}"
        reading.problem(f"row {row.row}, train", text)
        return row
    route = routes[row.train]
    return row if route is None else _stops_checked(row, route, reading)


def _stops_checked(row: TrainRow, route: tuple[str, ...], reading: Reading) -> TrainRow:
    known = {stop.casefold(): stop for stop in route}
    stops: dict[str, str | None] = {"joins": row.joins, "leaves": row.leaves}
    good = True
    for column, stop in stops.items():
        if stop is None:
            continue
        stops[column] = known.get(stop.casefold())
        if stops[column] is None:
            good = False
            hint = did_you_mean(stop, route, "stops")
            reading.problem(
                f"row {row.row}, {column}", f"found {quoted(stop)}, expected a stop of the train's route; {hint}"
            )
    if good:
        _check_way_round(row.row, stops["joins"], stops["leaves"], route, reading)
    return replace(row, joins=stops["joins"], leaves=stops["leaves"])


def _check_way_round(
    number: int, joins: str | None, leaves: str | None, route: tuple[str, ...], reading: Reading
) -> None:
    first = route.index(joins) if joins else 0
    last = len(route) - 1 - route[::-1].index(leaves) if leaves else len(route) - 1
    if first < last:
        return
    if joins is None:
        place, told = "leaves", f"found {quoted(leaves or '')}, where the train starts"
    elif leaves is None:
        place, told = "joins", f"found {quoted(joins)}, where the train ends"
    elif joins == leaves:
        place, told = "joins and leaves", f"found {quoted(joins)} for both"
    else:
        place, told = "joins and leaves", f"found {quoted(joins)} and then {quoted(leaves)}, which comes before it"
    reading.problem(
        f"row {number}, {place}", f"{told}; expected a car to leave at a later stop than it joins, correct the stops"
    )
