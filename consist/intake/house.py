"""The `[house]` table of `session.toml`: the host's own practice."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from consist.intake.guest_practice import MARGIN, read_guest_practice
from consist.intake.quantities import ROLLS_AT_PERCENT, Bounds
from consist.intake.reading import Reading
from consist.intake.records import HouseRecord, StandardRecord
from consist.intake.toml import check_keys, found, number_at, switch_at, table_at, text_at

__all__ = ["NUMBERS", "SWITCHES", "read_house"]

NUMBERS: Mapping[str, Bounds] = {
    "care_margin": MARGIN,
    "hold_margin": MARGIN,
    "rolling_percent": ROLLS_AT_PERCENT,
    "pull_reserve": Bounds(0, 1, below=True),
    "flange_drag": Bounds(0, 0.5),
    "flange_angle_deg": Bounds(0, 90, above=True, below=True),
    "flange_friction": Bounds(0, 10),
    "turn_minutes": Bounds(0, 1440),
}
"""The keys that hold a number, each a field of `HouseRecord` of the same name."""

SWITCHES = ("light_moves",)
"""The keys that hold true or false, each a field of `HouseRecord` of the same name."""

STANDARD_KEYS = ("name", "base_g", "per_mm_g")
BASE_G = Bounds(0.001, 1000, zero=True)
PER_MM_G = Bounds(0.001, 20, zero=True)
"""Of a standard of one's own; the greatest of the published are 142 g (NMRA RP-20.1, O) and 4 g (NEM 302, II)."""


def read_house(session: dict[str, Any], reading: Reading) -> HouseRecord:
    """The house's practice, with the default for every key left out or, with a problem added, bad."""
    table = table_at(session, "house", "", reading)
    check_keys(table, ("weight_standard", *NUMBERS, *SWITCHES, "guests"), "house", reading)
    house = HouseRecord()
    given = {key: number_at(table, key, bounds, "house", reading) for key, bounds in NUMBERS.items()}
    changes: dict[str, Any] = {key: value for key, value in given.items() if value is not None}
    for key in SWITCHES:
        switch = switch_at(table, key, "house", reading)
        if switch is not None:
            changes[key] = switch
    changes["guests"] = read_guest_practice(table, reading)
    standard = _standard(table, reading)
    if standard is not None:
        changes["weight_standard"] = standard
    house = replace(house, **changes)
    if not any(key in table and given[key] is None for key in NUMBERS):
        _check_margins(house, reading)
        _check_flange(house, reading)
    return house


def _check_margins(house: HouseRecord, reading: Reading) -> None:
    if house.care_margin < house.hold_margin:
        reading.problem(
            "house, care_margin",
            f"found {house.care_margin:.6g}, expected no less than hold_margin, which is {house.hold_margin:.6g}; "
            "raise care_margin or lower hold_margin",
        )


def _check_flange(house: HouseRecord, reading: Reading) -> None:
    # A flange no steeper than the angle of friction climbs under any side pull: no train could run.
    if math.tan(math.radians(house.flange_angle_deg)) <= house.flange_friction:
        least = math.degrees(math.atan(house.flange_friction))
        reading.problem(
            "house, flange_angle_deg",
            f"found {house.flange_angle_deg:.6g}, expected more than {least:.4g} with a flange_friction of "
            f"{house.flange_friction:.6g}; raise the angle or lower the friction",
        )


def _standard(table: dict[str, Any], reading: Reading) -> str | StandardRecord | None:
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
    return text_at(table, "weight_standard", "house", reading, None if value is None else "the name of a standard")


def _own_standard(value: dict[str, Any], reading: Reading) -> StandardRecord | None:
    place = "house, weight_standard"
    check_keys(value, STANDARD_KEYS, place, reading)
    name = text_at(value, "name", place, reading, "a name for the standard")
    base = number_at(value, "base_g", BASE_G, place, reading, needed=True)
    per_mm = number_at(value, "per_mm_g", PER_MM_G, place, reading, needed=True)
    if name is None or base is None or per_mm is None:
        return None
    if base == per_mm == 0:
        reading.problem(place, "found base_g and per_mm_g both 0, expected one of them over 0; correct one")
        return None
    return StandardRecord(name, base, per_mm)
