"""`cars.csv` and `guests.csv`: one row a car."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import cast

from consist.intake.answers import NO, YES
from consist.intake.columns import check_columns, has_columns, named_rows
from consist.intake.names import plain, quoted
from consist.intake.quantities import (
    LENGTH,
    NOT_NEGATIVE,
    ROLLS_AT_PERCENT,
    VEHICLE_LENGTH,
    WEIGHT,
    Bounds,
    Quantity,
    read_quantity,
)
from consist.intake.reading import Reading, raise_problems
from consist.intake.records import CarRecord, CouplerMount
from consist.intake.tables import Row, Table, read_table
from consist.lengths import longer
from consist.scales import Scale

__all__ = ["CarsRead", "check_bodies", "read_cars", "read_cars_into"]

QUANTITIES = (
    Quantity("weight", WEIGHT, cure="leave the cell empty if the car was not weighed"),
    Quantity("load", WEIGHT, NOT_NEGATIVE, "leave the cell empty if the car carries no load"),
    Quantity("body_length", LENGTH, VEHICLE_LENGTH),
    Quantity("coupled_length", LENGTH, VEHICLE_LENGTH),
    Quantity("truck_centers", LENGTH, VEHICLE_LENGTH),
    Quantity("rolls_at", {"percent": 1.0}, ROLLS_AT_PERCENT, "leave the cell empty if it was not measured"),
    Quantity("max_swing", {"deg": 1.0}, Bounds(0.01, 90)),
    Quantity("min_radius", LENGTH),
)
FREEST_PERCENT = 0.1  # common practice, no source: the freest cars need several times this
TEXTS = ("car", "kind", "coupler_mount", "owner", "note")
GUEST_QUANTITIES = (Quantity("height", LENGTH), Quantity("width", LENGTH))
GUEST_ANSWERS = ("wheels_in_gauge", "coupler_height_ok")


@dataclass(frozen=True)
class CarsRead:
    """What was read of a table of cars. `names` has every name met, in order, also of rows with problems."""

    records: tuple[CarRecord, ...]
    names: Mapping[str, None]


def read_cars(path: Path, guest: bool = False, scale: Scale | None = None) -> tuple[CarRecord, ...]:
    """The cars of one table alone, held against a scale where one is given.

    Raises `InputError` with every problem of the file.
    """
    reading = Reading(plain(path.name))
    read = read_cars_into(path, reading, guest)
    if read is not None and scale is not None:
        check_bodies(read, scale, reading)
    raise_problems([reading])
    return read.records if read else ()


def read_cars_into(path: Path, reading: Reading, guest: bool = False) -> CarsRead | None:
    """The cars of a table, problems going to `reading`; None where it cannot be read as a table of cars."""
    table = read_table(path, reading)
    if table is None or not has_columns(table, ["car"], reading):
        return None
    texts = (*TEXTS, *GUEST_ANSWERS) if guest else TEXTS
    unread = check_columns(table, texts, _quantities(guest), reading)
    rows = named_rows(table, "car", "car", reading)
    lengths_read = not {"body_length", "coupled_length"} & unread
    records = tuple(_record(name, row, table, reading, guest, lengths_read) for name, row in rows)
    return CarsRead(records, dict.fromkeys(name for name, _ in rows))


def check_bodies(read: CarsRead, scale: Scale, reading: Reading) -> None:
    """Add a problem for each car that is no longer than the couplers of its scale and has no body length."""
    couplers = scale.coupled_over_body_mm
    for record in read.records:
        coupled = record.coupled_length_mm
        if record.body_length_mm is None and coupled is not None and not longer(coupled, couplers):
            reading.problem(
                f"row {record.row}, coupled_length",
                f"found a coupled length of {coupled:.5g} mm, expected more than the {couplers:.3g} mm that its "
                f"couplers alone take in scale {scale.name}; correct it, or fill in body_length",
            )


def _quantities(guest: bool) -> tuple[Quantity, ...]:
    return (*QUANTITIES, *GUEST_QUANTITIES) if guest else QUANTITIES


def _answer(column: str, row: Row, reading: Reading) -> bool | None:
    """A guest's yes or no; None where the cell is blank or, with a problem added, unclear."""
    text = row.cells.get(column, "").casefold()
    if not text:
        return None
    if text not in (*YES, *NO):
        found = quoted(row.cells[column])
        cure = "write yes or no, or leave the cell empty if it was not looked at"
        reading.problem(f"row {row.number}, {column}", f"found {found}, an unclear yes or no; {cure}")
        return None
    return text in YES


def _record(name: str, row: Row, table: Table, reading: Reading, guest: bool, lengths_read: bool) -> CarRecord:
    numbers = {q.field_name: read_quantity(q, row, table, reading) for q in _quantities(guest)}
    wheels, coupler = (_answer(column, row, reading) if guest else None for column in GUEST_ANSWERS)
    _note_free_rolling(row, numbers["rolls_at_percent"], reading)
    if lengths_read:
        _check_lengths(name, row, numbers, reading)
    return CarRecord(
        car=name,
        row=row.number,
        guest=guest,
        kind=row.cells.get("kind") or None,
        coupler_mount=_mount(row, reading),
        owner=row.cells.get("owner") or None,
        note=row.cells.get("note") or None,
        wheels_in_gauge=wheels,
        coupler_height_ok=coupler,
        **numbers,
    )


def _note_free_rolling(row: Row, rolls_at: float | None, reading: Reading) -> None:
    # A spreadsheet cell shown as 1.4 % holds 0.014.
    if rolls_at is not None and rolls_at < FREEST_PERCENT:
        reading.note(
            f"has a rolls_at_percent of {rolls_at:.4g} in row {row.number}, freer than cars roll; "
            "if the cell is shown as a percentage, write 1.4 for 1.4 %"
        )


def _check_lengths(name: str, row: Row, numbers: dict[str, float | None], reading: Reading) -> None:
    if not any(row.cells.get(f"{length}_{unit}") for length in ("body_length", "coupled_length") for unit in LENGTH):
        reading.problem(
            f"row {row.number}, body_length",
            f"found no length for the car {quoted(name)}, expected body_length or coupled_length; "
            "measure one of them",
        )
    coupled, centers = numbers["coupled_length_mm"], numbers["truck_centers_mm"]
    body = numbers["body_length_mm"]
    if coupled is not None and centers is not None and not longer(coupled, centers):
        reading.problem(
            f"row {row.number}, truck_centers",
            f"found {centers:.5g} mm between truck centers, expected less than the coupled length "
            f"of {coupled:.5g} mm; correct one of the two",
        )
    if coupled is not None and body is not None and longer(body, coupled):
        reading.problem(
            f"row {row.number}, coupled_length",
            f"found a coupled length of {coupled:.5g} mm, expected no less than the body length of {body:.5g} mm; "
            "correct one of the two",
        )


def _mount(row: Row, reading: Reading) -> CouplerMount | None:
    text = row.cells.get("coupler_mount", "").lower()
    if text in ("body", "truck"):
        return cast(CouplerMount, text)
    if text:
        found = quoted(row.cells["coupler_mount"])
        reading.problem(
            f"row {row.number}, coupler_mount",
            f"found {found}, expected body or truck; write which of them carries the coupler",
        )
    return None
