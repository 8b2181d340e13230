"""Rules: what a run means to a crew. A new rule is added to `RULES`."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from consist.rules.cars import car_weight, coupler_angle, light_ahead, radius, side_pull
from consist.rules.case import LEVELS, Case, Finding, FindingCode, Level, Verdict
from consist.rules.unlikely import slip_of_most, unlikely
from consist.rules.unsure import OFTEN, unsure
from consist.rules.whole_trains import assumed, no_cars, power_short, slack, too_long, two_trains, way_taken

__all__ = [
    "OFTEN", "RULES", "Case", "Finding", "FindingCode", "Level", "Verdict", "findings", "gravest_first", "unsure",
]  # fmt: skip

RULES: tuple[Callable[[Case], list[Finding]], ...] = (
    no_cars, slip_of_most, side_pull, power_short, coupler_angle, radius, light_ahead, too_long, slack, car_weight,
    unlikely, two_trains, way_taken, assumed,
)  # fmt: skip
"""Every rule, in the order in which findings of one level are told."""


def findings(case: Case) -> tuple[Finding, ...]:
    """All that the rules find, gravest level first; within a level in the order of the rules."""
    return gravest_first(finding for rule in RULES for finding in rule(case))


def gravest_first(found: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings by their level, those of one level as they stand."""
    return tuple(sorted(found, key=lambda finding: LEVELS.index(finding.level)))
