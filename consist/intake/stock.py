"""`cars.csv`, `guests.csv` and `engines.csv`: one row a car or an engine."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from pathlib import Path

from consist.intake.fields import Field, declared
from consist.intake.files import Reading, raise_problems
from consist.intake.rows import Given, read_rows
from consist.lengths import longer
from consist.names import did_you_mean, plain, quoted
from consist.scales import Scale
from consist.stock import Car, Engine, WeightStandard, car_by_rule, engine_by_rule

__all__ = [
    "CARS",
    "ENGINES",
    "GUESTS",
    "cars_of",
    "check_bodies",
    "check_homes",
    "engines_of",
    "read_cars",
    "read_cars_into",
    "read_engines_into",
]

FREEST_PERCENT = 0.1  # common practice, no source: the freest cars need several times this

CARS = declared("cars")
GUESTS = declared("cars", "guests")
ENGINES = declared("engines")


def read_cars(path: Path, scale: Scale | None = None) -> tuple[Given, ...]:
    """The rows of one table of cars alone, held against a scale where one is given.

    Raises `InputError` with every problem of the file.
    """
    reading = Reading(plain(path.name))
    read = read_cars_into(path, reading)
    if scale is not None:
        check_bodies(read or (), scale, reading)
    raise_problems(reading)
    return read or ()


def cars_of(
    rows: Iterable[Given], scale: Scale, standard: WeightStandard, rolling_percent: float, *, guest: bool = False
) -> tuple[Car, ...]:
    """The cars of checked rows, with what they leave out assumed by rule."""
    return tuple(car_by_rule(row.name, scale, standard, rolling_percent, guest=guest, **row.values) for row in rows)


def engines_of(rows: Iterable[Given], scale: Scale) -> tuple[Engine, ...]:
    """The engines of checked rows, with what they leave out assumed by rule."""
    return tuple(engine_by_rule(row.name, scale, **row.values) for row in rows)


def read_cars_into(path: Path, reading: Reading, fields: tuple[Field, ...] = CARS) -> tuple[Given, ...] | None:
    """The rows of a table of cars, problems going to `reading`; None where it cannot be read as one."""
    rows = read_rows(path, fields, reading)
    for row in rows or ():
        _note_free_rolling(row, reading)
        _check_car(row, reading)
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


def _note_free_rolling(row: Given, reading: Reading) -> None:
    # A spreadsheet cell shown as 1.4 % holds 0.014.
    rolls_at = row.values.get("rolls_at_percent")
    if rolls_at is not None and rolls_at < FREEST_PERCENT:
        reading.note(
            f"has a rolls_at_percent of {rolls_at:.4g} in row {row.row}, freer than cars roll; "
            "if the cell is shown as a percentage, write 1.4 for 1.4 %"
        )


def _check_car(row: Given, reading: Reading) -> None:
    if not row.filled & {"body_length", "coupled_length"}:
        reading.problem(
            f"row {row.row}, body_length",
            f"found no length for the car {quoted(row.name)}, expected body_length or coupled_length; "
            "measure one of them",
        )
    _check_centers(row, reading)
    coupled, body = row.values.get("coupled_length_mm"), row.values.get("body_length_mm")
    if coupled is not None and body is not None and longer(body, coupled):
        reading.problem(
            f"row {row.row}, coupled_length",
            f"found a coupled length of {coupled:.5g} mm, expected no less than the body length of {body:.5g} mm; "
            "correct one of the two",
        )


def _check_centers(row: Given, reading: Reading) -> None:
    coupled, centers = row.values.get("coupled_length_mm"), row.values.get("truck_centers_mm")
    if coupled is not None and centers is not None and not longer(coupled, centers):
        reading.problem(
            f"row {row.row}, truck_centers",
            f"found {centers:.5g} mm between truck centers, expected less than the coupled length "
            f"of {coupled:.5g} mm; correct one of the two",
        )


def read_engines_into(path: Path, reading: Reading) -> tuple[Given, ...] | None:
    """The rows of a table of engines, problems going to `reading`; None where it is not such a table."""
    rows = read_rows(path, ENGINES, reading)
    for row in rows or ():
        _check_engine(row, reading)
    return rows


def _check_engine(row: Given, reading: Reading) -> None:
    if not row.filled & {"weight", "drivers_weight", "pull"}:
        reading.problem(
            f"row {row.row}, weight",
            f"found neither a weight nor a pull for the engine {quoted(row.name)}, expected one of them; "
            "fill in weight_g, drivers_weight_g or pull_g",
        )
    _check_centers(row, reading)
    weight, drivers = row.values.get("weight_g"), row.values.get("drivers_weight_g")
    if weight is not None and drivers is not None and drivers > weight * (1 + 1e-9):
        reading.problem(
            f"row {row.row}, drivers_weight",
            f"found {drivers:.5g} g on the drivers, expected no more than the engine's weight of {weight:.5g} g; "
            "correct one of the two",
        )


def check_homes(rows: Iterable[Given], places: Collection[str], reading: Reading) -> None:
    """Add a problem for each engine whose home is not a place of the layout. A blank home is anywhere."""
    for row in rows:
        home = row.values.get("home")
        if home is not None and home not in places:
            hint = did_you_mean(home, places, "places")
            reading.problem(
                f"row {row.row}, home",
                f"found {quoted(home)}, expected a place of the layout or an empty cell; {hint}",
            )
