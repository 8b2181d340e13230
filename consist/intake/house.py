"""The `[house]` table of `session.toml`, and the `[house.guests]` table within it: the host's own practice."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from consist.house import GuestPractice, House, OwnStandard
from consist.intake.fields import Field, declared
from consist.intake.files import Reading
from consist.intake.toml import found, read_keys, table_at, text_at

__all__ = ["GUEST_PRACTICE", "HOUSE", "OWN_STANDARD", "read_house"]

HOUSE = declared("house")
GUEST_PRACTICE = declared("guest_practice")
OWN_STANDARD = declared("own_standard")


def read_house(session: dict[str, Any], reading: Reading) -> House:
    """The house's practice, with the default for every key left out or, with a problem added, bad."""
    table = table_at(session, "house", "", reading)
    given = read_keys(table, HOUSE, "house", reading)
    numbers = [each.name for each in HOUSE if each.is_number]
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
