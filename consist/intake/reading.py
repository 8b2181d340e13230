"""What the reading of one file has found wrong so far, and the oddities that stop nothing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from consist.errors import InputError, Problem

__all__ = ["Reading", "raise_problems"]


@dataclass
class Reading:
    """The reading of one file: `file` is its name as the user knows it.

    Readers add to it and go on, so that a user sees every problem of a file in one pass.
    """

    file: str
    problems: list[Problem] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def problem(self, place: str, text: str) -> None:
        """Add a problem at a row and column or a key; `place` is empty where the whole file is meant."""
        self.problems.append(Problem(self.file, place, text))

    def note(self, text: str) -> None:
        """Add one sentence about an oddity that stops nothing."""
        self.notes.append(f"{self.file} {text}")


def raise_problems(readings: Iterable[Reading]) -> None:
    """Raise `InputError` with the problems of all readings, in their order, if there are any."""
    problems = [problem for reading in readings for problem in reading.problems]
    if problems:
        raise InputError(problems)
