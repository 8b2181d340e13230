"""The errors that `consist` raises, one family. Each can be pickled whole, so that a pool of processes can raise it.

A `Problem` is one thing wrong with the user's input: where it stands, what was found, what was expected and
how to mend it. Readers gather every problem of a file before they raise `InputError`, so that a user mends
them in one pass.
"""

from __future__ import annotations

import copyreg
from collections.abc import Iterable
from dataclasses import dataclass

from consist.names import did_you_mean, nearest, quoted

__all__ = ["ChangeError", "ConsistError", "InputError", "Problem", "UnknownNameError", "refuse"]

LONGEST_PATH = 400  # characters of it that a message repeats


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
        file = self.file if len(self.file) <= LONGEST_PATH else f"{self.file[:60]}...{self.file[-60:]}"
        where = f"{file}, {self.place}" if self.place else file
        return " ".join(f"{where}: {self.text}".split())


class ConsistError(Exception):
    """The base of every error that `consist` raises on purpose."""

    def __reduce__(self) -> tuple[object, ...]:
        # by default an error is made again from its text, which not every one of the family is made from
        return copyreg.__newobj__, (type(self), *self.args), vars(self)  # type: ignore[attr-defined]


class InputError(ConsistError):
    """The input cannot be used. `problems` holds each reason; `str()` gives one line a problem."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__(self.problems)

    @classmethod
    def of(cls, file: object, text: str, place: str = "") -> InputError:
        """The error of a single problem."""
        return cls([Problem(str(file), place, text)])

    def __str__(self) -> str:
        return "\n".join(str(problem) for problem in self.problems)


class ChangeError(ConsistError):
    """A change to a session that cannot be; `str()` says why, and the nearest that can."""


class UnknownNameError(ConsistError):
    """A name that is none of those known, such as a train that the session has not; `nearest` is what it may mean.

    >>> str(UnknownNameError("train", "Creamry 5", ("Creamery 5", "Local 9")))
    "no train is called 'Creamry 5'; did you mean 'Creamery 5'?"
    """

    def __init__(self, what: str, name: str, known: Iterable[str]) -> None:
        self.what, self.name, self.known = what, name, tuple(known)
        super().__init__(self.what, self.name, self.known)

    @property
    def nearest(self) -> str | None:
        """The known name nearest to it, None where none is near."""
        return nearest(self.name, self.known)

    def __str__(self) -> str:
        return f"no {self.what} is called {quoted(self.name)}; {did_you_mean(self.name, self.known, f'{self.what}s')}"


def refuse(where: str, text: str) -> InputError:
    """The error of one thing wrong with what was asked for."""
    return InputError([Problem(where, "", text)])
