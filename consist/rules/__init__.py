"""Rules: what a run means to a crew. One file a rule; a new rule is added to `RULES`."""

from __future__ import annotations

from collections.abc import Callable

from consist.rules.assumed import assumed
from consist.rules.car_weight import car_weight
from consist.rules.case import Case
from consist.rules.coupler_angle import coupler_angle
from consist.rules.finding import LEVELS, Finding, Level, Verdict
from consist.rules.light_ahead import light_ahead
from consist.rules.no_cars import no_cars
from consist.rules.power_short import power_short
from consist.rules.radius import radius
from consist.rules.side_pull import side_pull
from consist.rules.slack import slack
from consist.rules.too_long import too_long
from consist.rules.two_trains import two_trains

__all__ = ["RULES", "Case", "Finding", "Level", "Verdict", "findings"]

RULES: tuple[Callable[[Case], list[Finding]], ...] = (
    no_cars,
    side_pull,
    power_short,
    coupler_angle,
    radius,
    light_ahead,
    too_long,
    slack,
    car_weight,
    two_trains,
    assumed,
)
"""Every rule, in the order in which findings of one level are told."""


def findings(case: Case) -> tuple[Finding, ...]:
    """All that the rules find, gravest level first; within a level in the order of the rules."""
    found = [finding for rule in RULES for finding in rule(case)]
    return tuple(sorted(found, key=lambda finding: LEVELS.index(finding.level)))
