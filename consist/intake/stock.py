"""`cars.csv`, `guests.csv` and `engines.csv`: one row a car or an engine."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from pathlib import Path

from consist.intake.fields import LENGTH, NO_MEASURE, NOT_NEGATIVE, PERCENT, WEIGHT, Bounds, Field, yes_or_no
from consist.intake.files import Reading, raise_problems
from consist.intake.rows import Given, read_rows
from consist.lengths import longer
from consist.names import did_you_mean, plain, quoted
from consist.scales import Scale
from consist.stock import ASSUMED_GRIP, Car, Engine, WeightStandard, car_by_rule, engine_by_rule

__all__ = [
    "CARS",
    "ENGINES",
    "GUESTS",
    "cars_of",
    "check_homes",
    "engines_of",
    "read_cars",
    "read_cars_into",
    "read_engines_into",
]

FREEST_PERCENT = 0.1  # common practice, no source: the freest cars need several times this
NOT_LOOKED_AT = "write yes or no, or leave the cell empty if it was not looked at"

CARS = (
    Field("car", "mark and number, once in the file.", "name"),
    Field("kind", "what the car is, in your own words."),
    Field(
        "weight",
        "the empty car with everything on the scale. Leave empty if not weighed.",
        "number",
        WEIGHT,
        cure="leave the cell empty if the car was not weighed",
        default="what its weight standard asks for",
    ),
    Field(
        "load",
        "what its load adds.",
        "number",
        WEIGHT,
        NOT_NEGATIVE,
        cure="leave the cell empty if the car carries no load",
        default="none",
    ),
    Field("body_length", "the body without couplers.", "number", LENGTH, default="by the coupled length"),
    Field(
        "coupled_length", "over the pulling faces of both couplers.", "number", LENGTH, default="by the body length"
    ),
    Field(
        "truck_centers",
        "from one truck's pivot to the other's. For a four-wheel car from axle to axle.",
        "number",
        LENGTH,
        default="by the coupled length",
    ),
    Field(
        "coupler_mount",
        "body or truck, whichever carries the coupler.",
        "choice",
        words={"body": "body", "truck": "truck"},
        fault="expected body or truck",
        cure="write which of them carries the coupler",
        default="body",
    ),
    Field(
        "rolls_at",
        "the grade on which this car just keeps rolling.",
        "number",
        PERCENT,
        Bounds(0, 15, above=True),
        cure="leave the cell empty if it was not measured",
        default="the house's rolling_percent",
    ),
    Field(
        "max_swing",
        "how far the coupler swings to each side.",
        "number",
        {"deg": 1.0},
        Bounds(0, 90, above=True),
    ),
    Field("min_radius", "the sharpest curve this car takes.", "number", LENGTH),
    Field("owner", "anything you like."),
    Field("note", "anything you like."),
)
GUESTS = (
    *CARS,
    yes_or_no("wheels_in_gauge", "whether its wheels were found in gauge.", NOT_LOOKED_AT, more={"ok": True}),
    yes_or_no(
        "coupler_height_ok", "whether its couplers were found at their height.", NOT_LOOKED_AT, more={"ok": True}
    ),
    Field("height", "above the rail.", "number", LENGTH),
    Field("width", "at its widest.", "number", LENGTH),
)
ENGINES = (
    Field("engine", "its number, once in the file.", "name"),
    Field(
        "class",
        "engines of one class are alike. Leave empty for an engine of its own kind.",
        stored="engine_class",
        default="its own",
    ),
    Field(
        "weight",
        "all of it.",
        "number",
        WEIGHT,
        cure="leave the cell empty if the engine was not weighed",
        default=f"the weight on its drivers, or its pull over {ASSUMED_GRIP:g}",
    ),
    Field(
        "drivers_weight",
        "the weight on the driven wheels.",
        "number",
        WEIGHT,
        cure="leave the cell empty if it was not weighed",
        default="its weight",
    ),
    Field(
        "pull",
        "the drawbar pull on level track at which it slips, measured.",
        "number",
        WEIGHT,
        cure="leave the cell empty if the pull was not measured",
        default="grip times the weight on drivers",
    ),
    Field(
        "grip",
        "pull as a share of the weight on drivers, over 0 and up to 1, used where no pull was measured.",
        "number",
        NO_MEASURE,
        Bounds(0, 1, above=True),
        cure="write it as a share, such as 0.22, or leave the cell empty",
        default=ASSUMED_GRIP,
    ),
    Field(
        "coupled_length",
        "over the pulling faces of both couplers.",
        "number",
        LENGTH,
        default="200 mm in HO, by ratio elsewhere",
    ),
    Field(
        "truck_centers",
        "from one truck's pivot to the other's.",
        "number",
        LENGTH,
        default="by the coupled length",
    ),
    Field("home", "where it is kept.", default="anywhere"),
)


def read_cars(path: Path) -> tuple[Given, ...]:
    """The rows of one table of cars alone. Raises `InputError` with every problem of the file."""
    reading = Reading(plain(path.name))
    read = read_cars_into(path, reading)
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
