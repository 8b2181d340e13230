"""The `[house.guests]` table of `session.toml`: what the host asks of guests' cars."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from consist.intake.quantities import ROLLS_AT_PERCENT, Bounds
from consist.intake.reading import Reading
from consist.intake.records import GuestPractice
from consist.intake.toml import check_keys, number_at, switch_at, table_at

__all__ = ["GUEST_NUMBERS", "GUEST_SWITCHES", "MARGIN", "read_guest_practice"]

MARGIN = Bounds(0.01, 1000)
"""What a margin of a house may be: under a hundredth no train would ever be stopped."""

GUEST_NUMBERS: Mapping[str, Bounds] = {
    "margin": MARGIN,
    "under_percent": Bounds(0, 100),
    "bench_under_percent": Bounds(0, 100),
    "rolls_at_percent": ROLLS_AT_PERCENT,
}
"""The keys that hold a number, each a field of `GuestPractice` of the same name."""

GUEST_SWITCHES = ("needs_gauge_check", "needs_coupler_check")
"""The keys that hold true or false, each a field of `GuestPractice` of the same name."""

PLACE = "house, guests"


def read_guest_practice(house: dict[str, Any], reading: Reading) -> GuestPractice:
    """The practice for guests, with the default for every key left out or, with a problem added, bad."""
    table = table_at(house, "guests", "house", reading)
    check_keys(table, (*GUEST_NUMBERS, *GUEST_SWITCHES), PLACE, reading)
    numbers = {key: number_at(table, key, bounds, PLACE, reading) for key, bounds in GUEST_NUMBERS.items()}
    given: dict[str, Any] = numbers | {key: switch_at(table, key, PLACE, reading) for key in GUEST_SWITCHES}
    practice = replace(GuestPractice(), **{key: value for key, value in given.items() if value is not None})
    if practice.bench_under_percent < practice.under_percent:
        reading.problem(
            f"{PLACE}, bench_under_percent",
            f"found {practice.bench_under_percent:.6g}, expected no less than under_percent, which is "
            f"{practice.under_percent:.6g}; raise one or lower the other",
        )
    return practice
