"""One thing to do before the trains leave, and who must do it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from consist.rules.finding import LEVELS, Finding, Level

__all__ = ["DESKS", "Answered", "Desk", "Task", "gravest", "pressing"]

Desk = Literal["Yard", "Power desk", "Bench", "Door"]
DESKS: tuple[Desk, ...] = ("Yard", "Power desk", "Bench", "Door")
"""Who does things, in the order of the sheet."""

Answered = tuple[str, Finding]
"""A finding with the train it was found in."""


@dataclass(frozen=True)
class Task:
    """What somebody must do, in a short sentence, and for which train (None: none of tonight's).

    `answers` are the findings that it is done for. `more` is told below. `cars` are those that it is done to. `moves`
    is whether the train's switch list has the rest, `leaves_out` whether the cars stay out of the train, and
    `adds_weight` whether weight goes into a car.
    """

    desk: Desk
    train: str | None
    say: str
    level: Level | None = None
    more: tuple[str, ...] = ()
    answers: tuple[Answered, ...] = ()
    cars: tuple[str, ...] = ()
    moves: bool = False
    leaves_out: bool = False
    adds_weight: bool = False

    def also(self, *answers: Answered) -> Task:
        """The same, done for those findings too."""
        level = gravest([self.level, *(finding.level for _, finding in answers)])
        return replace(self, answers=(*self.answers, *answers), level=level)


def pressing(findings: tuple[Finding, ...]) -> list[Finding]:
    """The findings that keep a train from simply going."""
    return [finding for finding in findings if finding.level in ("care", "hold")]


def gravest(levels: list[Level | None]) -> Level | None:
    """The gravest of levels, None where there is none."""
    return next((level for level in LEVELS if level in levels), None)
