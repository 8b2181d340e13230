"""The house's own practice, from `[house]` of `session.toml`."""

from __future__ import annotations

import math
from dataclasses import fields, replace
from typing import TypeVar

from consist.house import GuestPractice, House, OwnStandard
from consist.intake.toml import Keys

__all__ = ["read_house"]

Practice = TypeVar("Practice", House, GuestPractice)


def read_house(session: Keys) -> House:
    """The house's practice, with the default for every key left out or, with a problem added, bad."""
    keys = session.within(session.value("house") or {}, "house", "house")
    house = _practice(House(), keys)
    guests = _practice(GuestPractice(), keys.within(keys.value("guests") or {}, "guests", "guest_practice"))
    return replace(house, guests=guests, weight_standard=_standard(keys) or house.weight_standard)


def _practice(default: Practice, keys: Keys) -> Practice:
    """The default with what the keys say in its place."""
    before = len(keys.reading.problems)
    practice = replace(default, **keys.values())
    if len(keys.reading.problems) == before:
        # A flange no steeper than the angle of friction climbs under any side pull: no train could run.
        friction = getattr(practice, "flange_friction", 0.0)
        keys.check({**vars(practice), "least_flange_angle": math.degrees(math.atan(friction))})
    return practice


def _standard(house: Keys) -> str | OwnStandard | None:
    value = house.table.get("weight_standard")
    if isinstance(value, dict):
        keys = house.within(value, "weight_standard", "own_standard")
        read = keys.values()
        if read.get("base_g") == read.get("per_mm_g") == 0:
            keys.problem("", "found base_g and per_mm_g both 0, expected one of them over 0; correct one")
        elif len(read) == len(fields(OwnStandard)):
            return OwnStandard(**read)
    elif value is not None and not isinstance(value, str):
        house.problem(
            "weight_standard",
            f"found {house.found('weight_standard')}, expected the name of a standard or a table; "
            'write "nmra-rp-20.1" or { name = "...", base_g = 0.0, per_mm_g = 0.0 }',
        )
    elif value is not None:
        named: str | None = house.value("weight_standard")
        return named
    return None
