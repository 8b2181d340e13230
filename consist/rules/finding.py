"""A finding: one thing a crew should know about a train, and what to do about it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

__all__ = ["LEVELS", "Finding", "Level", "Verdict", "verdict"]

Level = Literal["note", "care", "hold"]
Verdict = Literal["go", "care", "hold"]
LEVELS: tuple[Level, ...] = ("hold", "care", "note")
"""The levels of a finding, gravest first."""


@dataclass(frozen=True)
class Finding:
    """What was found: its code and level; the car, spot and place where it applies, None where none does.

    `value` is the figure found and `limit` what it was held against, both in the unit that `say` names, or
    None where the finding is no matter of a figure. `say` is one plain sentence that says what to do.
    """

    code: str
    level: Level
    say: str
    car: str | None = None
    spot: int | None = None
    place: str | None = None
    value: float | None = None
    limit: float | None = None


def verdict(margin: float | None, findings: Iterable[Finding], *, care_margin: float, hold_margin: float) -> Verdict:
    """The verdict on a train from its margin (None where it has no side pull at all) and its findings.

    >>> verdict(1.2, [], care_margin=1.5, hold_margin=1.0)
    'care'
    >>> verdict(None, [Finding("power-short", "hold", "Add an engine.")], care_margin=1.5, hold_margin=1.0)
    'hold'
    """
    levels = {finding.level for finding in findings}
    if "hold" in levels or (margin is not None and margin < hold_margin):
        return "hold"
    if "care" in levels or (margin is not None and margin < care_margin):
        return "care"
    return "go"
