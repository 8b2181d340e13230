"""The errors that `consist` raises, one family.

A `Problem` is one thing wrong with the user's input: where it stands, what was found, what was expected and
how to mend it. Readers gather every problem of a file before they raise `InputError`, so that a user mends
them in one pass.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

__all__ = ["ConsistError", "InputError", "Problem"]


@dataclass(frozen=True)
class Problem:
    """One thing wrong with the input, told in one line.

    `file` is the file's name as the user knows it, `place` the row and column or the key ("row 7, weight_g",
    "train 2, route"), empty where the whole file is meant; `text` says what was found, what was expected and
    how to mend it.

    >>> str(Problem("cars.csv", "row 7, weight_g", "found 'heavy', expected a number; type grams or leave it empty"))
    "cars.csv, row 7, weight_g: found 'heavy', expected a number; type grams or leave it empty"
    """

    file: str
    place: str
    text: str

    def __str__(self) -> str:
        where = f"{self.file}, {self.place}" if self.place else self.file
        return " ".join(f"{where}: {self.text}".split())


class ConsistError(Exception):
    """The base of every error that `consist` raises on purpose."""


class InputError(ConsistError):
    """The input cannot be used. `problems` holds each reason; `str()` gives one line a problem."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))
