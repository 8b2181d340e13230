"""The house's one judgement: what goes, what wants care and what holds, at its limits and to either side of them."""

from __future__ import annotations

from math import nextafter

import pytest

from consist.house import LEVELS, GuestPractice, House, Level, Verdict

__all__: list[str] = []

STRICT = House(care_margin=2.0, hold_margin=1.25)


@pytest.mark.parametrize(
    ("side_use", "level"),
    [
        (0.0, "go"),
        (0.5, "go"),  # a margin of just 2
        (nextafter(0.5, 1.0), "care"),
        (0.8, "care"),  # a margin of just 1.25
        (0.81, "hold"),
        (float("inf"), "hold"),
    ],
)
def test_a_limit_is_met_by_what_is_just_on_it(side_use: float, level: Verdict) -> None:
    assert STRICT.level_of(side_use) == level


def test_a_verdict_is_the_gravest_of_side_use_and_findings() -> None:
    grave: dict[Level, Verdict] = {"note": "go", "care": "care", "hold": "hold"}
    for level in LEVELS:
        assert STRICT.judged(0.1, [level]) == grave[level]
        assert STRICT.judged(0.9, [level]) == "hold"
    assert STRICT.judged(0.6, ["note", "note"]) == "care"
    assert STRICT.judged(0.1, []) == "go"


def test_a_level_tells_the_margin_it_falls_short_of() -> None:
    assert [STRICT.margin_of(level) for level in ("go", "care", "hold")] == [2.0, 2.0, 1.25]


def test_a_guest_is_judged_by_the_practice_for_guests() -> None:
    practice = GuestPractice(under_percent=5.0, bench_under_percent=20.0, rolls_at_percent=2.5)
    weights = {120.0: "go", 95.0: "go", 94.9: "care", 80.0: "care", 79.9: "hold"}
    assert {weight: practice.weight_level(weight, 100.0) for weight in weights} == weights
    assert [practice.rolling_level(grade) for grade in (2.5, 2.51)] == ["go", "hold"]


def test_a_guests_margin_is_the_houses_care_margin_unless_said() -> None:
    assert House(care_margin=1.7).guest_margin == 1.7
    assert House(care_margin=1.7, guests=GuestPractice(margin=1.1)).guest_margin == 1.1
