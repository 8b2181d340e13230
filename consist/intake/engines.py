"""`engines.csv`: one row an engine."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path

from consist.intake.columns import check_columns, has_columns, named_rows
from consist.intake.names import did_you_mean, quoted
from consist.intake.quantities import LENGTH, VEHICLE_LENGTH, WEIGHT, Bounds, Quantity, read_quantity
from consist.intake.reading import Reading
from consist.intake.records import EngineRecord
from consist.intake.tables import Row, Table, read_table
from consist.lengths import longer

__all__ = ["EnginesRead", "check_homes", "read_engines_into"]

QUANTITIES = (
    Quantity("weight", WEIGHT, cure="leave the cell empty if the engine was not weighed"),
    Quantity("drivers_weight", WEIGHT, cure="leave the cell empty if it was not weighed"),
    Quantity("pull", WEIGHT, cure="leave the cell empty if the pull was not measured"),
    Quantity("grip", {}, Bounds(0.01, 1), "write it as a share, such as 0.22, or leave the cell empty"),
    Quantity("coupled_length", LENGTH, VEHICLE_LENGTH),
    Quantity("truck_centers", LENGTH, VEHICLE_LENGTH),
)
TEXTS = ("engine", "class", "home")
STRENGTHS = ("weight", "drivers_weight", "pull")


@dataclass(frozen=True)
class EnginesRead:
    """What was read of a table of engines. `names` has every name met, in order, also of rows with problems."""

    records: tuple[EngineRecord, ...]
    names: Mapping[str, None]


def read_engines_into(path: Path, reading: Reading) -> EnginesRead | None:
    """The engines of a table, problems going to `reading`; None where it is not a table of engines."""
    table = read_table(path, reading)
    if table is None or not has_columns(table, ["engine"], reading):
        return None
    unread = check_columns(table, TEXTS, QUANTITIES, reading)
    rows = named_rows(table, "engine", "engine", reading)
    strengths_read = not unread & set(STRENGTHS)
    records = tuple(_record(name, row, table, reading, strengths_read) for name, row in rows)
    return EnginesRead(records, dict.fromkeys(name for name, _ in rows))


def check_homes(read: EnginesRead, places: Collection[str], reading: Reading) -> None:
    """Add a problem for each engine whose home is not a place of the layout. A blank home is anywhere."""
    for record in read.records:
        if record.home is not None and record.home not in places:
            hint = did_you_mean(record.home, places, "places")
            reading.problem(
                f"row {record.row}, home",
                f"found {quoted(record.home)}, expected a place of the layout or an empty cell; {hint}",
            )


def _record(name: str, row: Row, table: Table, reading: Reading, strengths_read: bool) -> EngineRecord:
    numbers = {q.field_name: read_quantity(q, row, table, reading) for q in QUANTITIES}
    if strengths_read and not any(row.cells.get(f"{s}_{unit}") for s in STRENGTHS for unit in WEIGHT):
        reading.problem(
            f"row {row.number}, weight",
            f"found neither a weight nor a pull for the engine {quoted(name)}, expected one of them; "
            "fill in weight_g, drivers_weight_g or pull_g",
        )
    _check(row, numbers, reading)
    return EngineRecord(
        engine=name,
        row=row.number,
        engine_class=row.cells.get("class") or None,
        home=row.cells.get("home") or None,
        **numbers,
    )


def _check(row: Row, numbers: dict[str, float | None], reading: Reading) -> None:
    coupled, centers = numbers["coupled_length_mm"], numbers["truck_centers_mm"]
    if coupled is not None and centers is not None and not longer(coupled, centers):
        reading.problem(
            f"row {row.number}, truck_centers",
            f"found {centers:.5g} mm between truck centers, expected less than the coupled length "
            f"of {coupled:.5g} mm; correct one of the two",
        )
    weight, drivers = numbers["weight_g"], numbers["drivers_weight_g"]
    if weight is not None and drivers is not None and drivers > weight * (1 + 1e-9):
        reading.problem(
            f"row {row.number}, drivers_weight",
            f"found {drivers:.5g} g on the drivers, expected no more than the engine's weight of {weight:.5g} g; "
            "correct one of the two",
        )
