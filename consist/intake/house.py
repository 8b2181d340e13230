"""The `[house]` table of `session.toml`, and the `[house.guests]` table within it: the host's own practice."""

from __future__ import annotations

import math
from dataclasses import replace

from consist.house import GuestPractice, House, OwnStandard
from consist.intake.fields import declared
from consist.intake.toml import Keys

__all__ = ["GUEST_PRACTICE", "HOUSE", "OWN_STANDARD", "read_house"]

HOUSE = declared("house")
GUEST_PRACTICE = declared("guest_practice")
OWN_STANDARD = declared("own_standard")


def read_house(session: Keys) -> House:
    """The house's practice, with the default for every key left out or, with a problem added, bad."""
    keys = Keys(session.below("house"), HOUSE, "house", session.reading)
    given = keys.values()
    sound = all(each.name in given for each in HOUSE if each.is_number and each.name in keys.table)
    house = replace(House(), guests=_guest_practice(keys), **given)
    house = replace(house, weight_standard=_standard(keys) or house.weight_standard)
    if sound:
        _check_margins(house, keys)
        _check_flange(house, keys)
    return house


def _check_margins(house: House, keys: Keys) -> None:
    if house.care_margin < house.hold_margin:
        keys.problem(
            "care_margin",
            f"found {house.care_margin:.6g}, expected no less than hold_margin, which is {house.hold_margin:.6g}; "
            "raise care_margin or lower hold_margin",
        )


def _check_flange(house: House, keys: Keys) -> None:
    # A flange no steeper than the angle of friction climbs under any side pull: no train could run.
    if math.tan(math.radians(house.flange_angle_deg)) <= house.flange_friction:
        least = math.degrees(math.atan(house.flange_friction))
        keys.problem(
            "flange_angle_deg",
            f"found {house.flange_angle_deg:.6g}, expected more than {least:.4g} with a flange_friction of "
            f"{house.flange_friction:.6g}; raise the angle or lower the friction",
        )


def _guest_practice(house: Keys) -> GuestPractice:
    keys = Keys(house.below("guests"), GUEST_PRACTICE, "house, guests", house.reading)
    practice = replace(GuestPractice(), **keys.values())
    if practice.bench_under_percent < practice.under_percent:
        keys.problem(
            "bench_under_percent",
            f"found {practice.bench_under_percent:.6g}, expected no less than under_percent, which is "
            f"{practice.under_percent:.6g}; raise one or lower the other",
        )
    return practice


def _standard(house: Keys) -> str | OwnStandard | None:
    value = house.table.get("weight_standard")
    if isinstance(value, dict):
        return _own_standard(Keys(value, OWN_STANDARD, "house, weight_standard", house.reading))
    if value is not None and not isinstance(value, str):
        house.problem(
            "weight_standard",
            f"found {house.found('weight_standard')}, expected the name of a standard or a table; "
            'write "nmra-rp-20.1" or { name = "...", base_g = 0.0, per_mm_g = 0.0 }',
        )
        return None
    return None if value is None else house.text("weight_standard")


def _own_standard(keys: Keys) -> OwnStandard | None:
    read = keys.values()
    if len(read) < len(OWN_STANDARD):
        return None
    standard = OwnStandard(**read)
    if standard.base_g == standard.per_mm_g == 0:
        keys.problem("", "found base_g and per_mm_g both 0, expected one of them over 0; correct one")
        return None
    return standard
