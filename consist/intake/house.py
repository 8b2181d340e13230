"""The `[house]` table of `session.toml`, and the `[house.guests]` table within it: the host's own practice."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from consist.house import GuestPractice, House, OwnStandard
from consist.intake.fields import NO_MEASURE, Bounds, Field
from consist.intake.files import Reading
from consist.intake.toml import found, read_keys, table_at, text_at

__all__ = ["GUEST_PRACTICE", "HOUSE", "OWN_STANDARD", "read_house"]

MARGIN = Bounds(0, 1000, above=True)
ROLLING = Bounds(0, 15, above=True)
SHARE = Bounds(0, 100)
LOOKED_AT = (
    "Whether a car with an empty wheels_in_gauge or coupler_height_ok waits until it has been looked at: "
    "true or false."
)


def _number(name: str, help: str, bounds: Bounds, of: House | GuestPractice, sample: str = "") -> Field:
    """A key that holds a number; its default is that of the field of the same name."""
    return Field(name, help, "number", NO_MEASURE, bounds, default=getattr(of, name), sample=sample)


def _switch(name: str, help: str, of: House | GuestPractice) -> Field:
    return Field(name, help, "true or false", default=getattr(of, name))


_HOUSE, _GUESTS = House(), GuestPractice()

HOUSE = (
    Field(
        "weight_standard",
        'What a car ought to weigh: "nmra-rp-20.1", "nem-302", "amra", or your own rule by body length,\n'
        '{ name = "our own", base_g = 28.0, per_mm_g = 0.56 }.',
        "table",
        default=_HOUSE.weight_standard,
        sample='"$standard"',
    ),
    _number(
        "care_margin",
        "A car whose margin against being pulled off is below this is reported for care; 1 is the very limit.",
        MARGIN,
        _HOUSE,
    ),
    _number("hold_margin", "A train with a car below this is on hold.", MARGIN, _HOUSE),
    _number(
        "rolling_percent",
        "The grade on which a car just keeps rolling, in percent, for cars that were not measured.",
        ROLLING,
        _HOUSE,
    ),
    _number(
        "pull_reserve",
        "The share of an engine's pull to keep in hand, from 0 to under 1.",
        Bounds(0, 1, below=True),
        _HOUSE,
    ),
    _number(
        "flange_drag",
        "What it costs a car to be pulled aside against the rail, as a share of that pull, from 0 to 0.5.",
        Bounds(0, 0.5),
        _HOUSE,
    ),
    _number(
        "flange_angle_deg",
        "The angle of a wheel's flange at the rail, in degrees.",
        Bounds(0, 90, above=True, below=True),
        _HOUSE,
    ),
    _number("flange_friction", "The friction of flange on rail.", Bounds(0, 10), _HOUSE),
    _number(
        "turn_minutes",
        "Minutes of the fast clock from an engine's arrival until it can leave with another train.",
        Bounds(0, 1440),
        _HOUSE,
    ),
    _switch(
        "light_moves", "Whether an engine may run light to a train that is short of power: true or false.", _HOUSE
    ),
    Field(
        "guests", "What is asked of guests' cars in guests.csv before they run. Every key may be left out.", "table"
    ),
)
GUEST_PRACTICE = (
    _number(
        "margin",
        "The least margin at which a guest's car rides in a train. Left out, it is care_margin.",
        MARGIN,
        _GUESTS,
        sample="1.5",
    ),
    _number(
        "under_percent",
        "A car no more than this many percent under its weight is near enough; one further under is run with care.",
        SHARE,
        _GUESTS,
    ),
    _number(
        "bench_under_percent",
        "A car more than this many percent under its weight goes to the bench first.",
        SHARE,
        _GUESTS,
    ),
    _number(
        "rolls_at_percent",
        "A car that needs a steeper grade than this, in percent, to keep rolling goes to the bench first.",
        ROLLING,
        _GUESTS,
    ),
    _switch("needs_gauge_check", LOOKED_AT, _GUESTS),
    _switch("needs_coupler_check", LOOKED_AT, _GUESTS),
)
OWN_STANDARD = (
    Field("name", "What the rule is called.", needed="a name for the standard"),
    Field("base_g", "Grams for every car.", "number", bounds=Bounds(0, 100_000), needed="a number"),
    Field("per_mm_g", "Grams for each millimetre of body.", "number", bounds=Bounds(0, 100_000), needed="a number"),
)


def read_house(session: dict[str, Any], reading: Reading) -> House:
    """The house's practice, with the default for every key left out or, with a problem added, bad."""
    table = table_at(session, "house", "", reading)
    given = read_keys(table, HOUSE, "house", reading)
    numbers = [each.name for each in HOUSE if each.kind == "number"]
    sound = all(key in given for key in numbers if key in table)
    guests = _guest_practice(table, reading)
    standard = _standard(table, reading)
    house = replace(House(), guests=guests, weight_standard=standard or House().weight_standard, **given)
    if sound:
        _check_margins(house, reading)
        _check_flange(house, reading)
    return house


def _check_margins(house: House, reading: Reading) -> None:
    if house.care_margin < house.hold_margin:
        reading.problem(
            "house, care_margin",
            f"found {house.care_margin:.6g}, expected no less than hold_margin, which is {house.hold_margin:.6g}; "
            "raise care_margin or lower hold_margin",
        )


def _check_flange(house: House, reading: Reading) -> None:
    # A flange no steeper than the angle of friction climbs under any side pull: no train could run.
    if math.tan(math.radians(house.flange_angle_deg)) <= house.flange_friction:
        least = math.degrees(math.atan(house.flange_friction))
        reading.problem(
            "house, flange_angle_deg",
            f"found {house.flange_angle_deg:.6g}, expected more than {least:.4g} with a flange_friction of "
            f"{house.flange_friction:.6g}; raise the angle or lower the friction",
        )


def _guest_practice(house: dict[str, Any], reading: Reading) -> GuestPractice:
    table = table_at(house, "guests", "house", reading)
    practice = replace(GuestPractice(), **read_keys(table, GUEST_PRACTICE, "house, guests", reading))
    if practice.bench_under_percent < practice.under_percent:
        reading.problem(
            "house, guests, bench_under_percent",
            f"found {practice.bench_under_percent:.6g}, expected no less than under_percent, which is "
            f"{practice.under_percent:.6g}; raise one or lower the other",
        )
    return practice


def _standard(table: dict[str, Any], reading: Reading) -> str | OwnStandard | None:
    value = table.get("weight_standard")
    if isinstance(value, dict):
        return _own_standard(value, reading)
    if value is not None and not isinstance(value, str):
        reading.problem(
            "house, weight_standard",
            f"found {found(value)}, expected the name of a standard or a table; "
            'write "nmra-rp-20.1" or { name = "...", base_g = 0.0, per_mm_g = 0.0 }',
        )
        return None
    named = Field("weight_standard", "", needed="" if value is None else "the name of a standard")
    return text_at(table, named, "house", reading)


def _own_standard(value: dict[str, Any], reading: Reading) -> OwnStandard | None:
    place = "house, weight_standard"
    read = read_keys(value, OWN_STANDARD, place, reading)
    if len(read) < len(OWN_STANDARD):
        return None
    standard = OwnStandard(**read)
    if standard.base_g == standard.per_mm_g == 0:
        reading.problem(place, "found base_g and per_mm_g both 0, expected one of them over 0; correct one")
        return None
    return standard
