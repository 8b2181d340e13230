"""A finding: one thing a crew should know about a train, and what to do about it."""

from __future__ import annotations

from dataclasses import dataclass

from consist.house import LEVELS, Level, Verdict

__all__ = ["LEVELS", "Finding", "Level", "Verdict"]


@dataclass(frozen=True)
class Finding:
    """What was found: its code and level; the car, spot and place where it applies, None where none does.

    `value` is the figure found and `limit` what it was held against, both in the unit that `say` names, or
    None where the finding is no matter of a figure. `say` is one plain sentence that says what to do. `other` is the
    other train that it is of.
    """

    code: str
    level: Level
    say: str
    car: str | None = None
    spot: int | None = None
    place: str | None = None
    value: float | None = None
    limit: float | None = None
    other: str | None = None
