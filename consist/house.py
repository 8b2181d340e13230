"""The house's limits: the host's own practice, and the one judgement of what goes, what wants care and what holds.

Whoever tells a verdict, of a car, a train, a session or a guest, asks here.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from consist.tolerances import lighter, shorter

__all__ = [
    "LEVELS", "PUBLISHED", "GuestPractice", "House", "Level", "OwnStandard", "Spread", "Verdict", "radius_level",
]  # fmt: skip

PUBLISHED = "nmra-rp-20.1"
"""The weight standard that cars are held against where none is named."""

Level = Literal["note", "care", "hold"]
"""How grave a finding is."""
Verdict = Literal["go", "care", "hold"]
TOO_SHARP, SHARP_FOR_A_CAR = 2.0, 3.0
"""A radius under so many coupled lengths is too sharp to trust, or sharp, for a car: common practice, from memory."""
LEVELS: tuple[Level, ...] = ("hold", "care", "note")
"""The levels of a finding, gravest first."""


@dataclass(frozen=True)
class OwnStandard:
    """A weight standard of the host's own: target = base_g + per_mm_g × body length."""

    name: str
    base_g: float
    per_mm_g: float


@dataclass(frozen=True)
class GuestPractice:
    """What the host asks of guests' cars. Every figure has a default.

    `margin` is the least margin at which a guest car rides, None for the house's care_margin. A car more than
    `under_percent` below the standard is run with care, more than `bench_under_percent` goes to the bench first.
    """

    margin: float | None = None
    under_percent: float = 10.0
    bench_under_percent: float = 30.0
    rolls_at_percent: float = 2.0
    needs_gauge_check: bool = False
    needs_coupler_check: bool = False

    def weight_level(self, weight_g: float, target_g: float) -> Verdict:
        """What a guest car's weight makes of it: on hold it goes to the bench first.

        >>> [GuestPractice().weight_level(weight, 100.0) for weight in (90.0, 89.0, 69.0)]
        ['go', 'care', 'hold']
        """
        if lighter(weight_g, (1.0 - self.bench_under_percent / 100.0) * target_g):
            return "hold"
        return "care" if lighter(weight_g, (1.0 - self.under_percent / 100.0) * target_g) else "go"

    def rolling_level(self, rolls_at_percent: float) -> Verdict:
        """What the grade on which a guest car just keeps rolling makes of it."""
        return "hold" if rolls_at_percent > self.rolls_at_percent * (1.0 + 1e-9) else "go"


@dataclass(frozen=True)
class Spread:
    """How far what was not measured may be from the figure taken for it. Every figure has a default.

    Each is the factor either way that holds 90 %, lognormal, but for these: `rolling_common` is the share of the
    variance of rolling (of its logarithm) that all cars have in common; `flange_friction` and `flange_angle_deg` are
    what holds 90 % either way of the house's own, normal. Rolling is by cars measured on a bench, 0.8 to 2.2 %, and
    curve resistance by the hobby's 28/R against 32/R, both from public discussions; the others are assumptions.
    """

    rolling: float = 1.6
    rolling_common: float = 0.5
    weight: float = 1.33
    weighed: float = 1.01
    curve_resistance: float = 1.15
    flange_drag: float = 2.0
    truck_centers: float = 1.06
    grip: float = 1.25
    pull: float = 1.05
    helper_part: float = 1.5
    flange_friction: float = 0.1
    flange_angle_deg: float = 5.0


@dataclass(frozen=True)
class House:
    """The host's own practice. Every figure has a default.

    `flange_drag` is what a side load costs a car along the track, as a share of that load. Its default is derived,
    not measured: friction of 0.4, times about 0.35 mm of flange below the rail's head, over a wheel of 4.8 mm radius
    in HO (NMRA RP-25, code 110, has a flange 0.635 mm deep).
    """

    weight_standard: str | OwnStandard = PUBLISHED
    care_margin: float = 1.5
    hold_margin: float = 1.0
    rolling_percent: float = 1.4
    pull_reserve: float = 0.15
    flange_drag: float = 0.03
    flange_angle_deg: float = 60.0
    flange_friction: float = 0.4
    turn_minutes: float = 10.0
    light_moves: bool = False
    guests: GuestPractice = GuestPractice()
    spread: Spread = Spread()

    @property
    def guest_margin(self) -> float:
        """The least margin at which a guest car rides."""
        return self.care_margin if self.guests.margin is None else self.guests.margin

    def level_of(self, side_use: float) -> Verdict:
        """What a greatest side use, as a share of what a car can bear, makes of a car or a train.

        >>> [House().level_of(use) for use in (0.0, 2 / 3, 0.7, 1.0, 1.1)]
        ['go', 'go', 'care', 'care', 'hold']
        """
        if side_use * self.hold_margin > 1.0:
            return "hold"
        return "care" if side_use * self.care_margin > 1.0 else "go"

    def margin_of(self, level: Verdict) -> float:
        """The margin that what stands at a level falls short of; that of care for what goes."""
        return self.hold_margin if level == "hold" else self.care_margin

    def judged(self, side_use: float, findings: Iterable[Level]) -> Verdict:
        """The verdict on a train, or a session, by its greatest side use and the levels of its findings.

        >>> House().judged(0.8, []), House().judged(0.0, ["note", "hold", "care"])
        ('care', 'hold')
        """
        levels = {self.level_of(side_use), *findings}
        return "hold" if "hold" in levels else "care" if "care" in levels else "go"


def radius_level(
    radius_mm: float, least_mm: float | None, coupled_mm: float, truck_centers_mm: float = 0.0
) -> tuple[Verdict | Level, float]:
    """What a curve makes of a car with that least radius, or of that coupled length where none is given, and with
    trucks so far apart; and the radius that the car wants.

    >>> radius_level(500.0, 600.0, 250.0), radius_level(500.0, None, 250.0), radius_level(600.0, 600.0, 250.0)
    (('hold', 600.0), ('note', 750.0), ('go', 600.0))
    >>> radius_level(490.0, None, 250.0), radius_level(80.0, None, 250.0, 170.0)
    (('care', 500.0), ('hold', 85.0))
    """
    if radius_mm < 0.5 * truck_centers_mm:
        return "hold", 0.5 * truck_centers_mm
    bars: tuple[tuple[Level, float], ...] = (("care", TOO_SHARP * coupled_mm), ("note", SHARP_FOR_A_CAR * coupled_mm))
    if least_mm is not None:
        bars = (("hold", least_mm),)
    return next(((level, wanted) for level, wanted in bars if shorter(radius_mm, wanted)), ("go", bars[-1][1]))
