"""The user's files: their bytes, and what the reading of one has found wrong."""

from __future__ import annotations

import contextlib
import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import NoReturn, TypeVar

from consist.errors import InputError, Problem
from consist.names import did_you_mean, quoted

__all__ = ["Reading", "file_bytes", "raise_problems", "reason", "unless_refused"]

Read = TypeVar("Read")
MOST_PROBLEMS = 1000  # of one file


@dataclass
class Reading:
    """The reading of one file: `file` is its name as the user knows it.

    Readers add to it and go on, so that a user sees every problem of a file in one pass.
    """

    file: str
    problems: list[Problem] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    headings: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    """Where an owner's table has headings of its own: by our column, or its name without the unit, what the owner
    calls it, and its letter."""

    def place(self, place: str) -> str:
        """A place such as "row 7, weight_oz" by the owner's heading and cell, where the owner has another.

        >>> Reading("cars.xlsx", headings={"weight_oz": ("On scale", "C")}).place("row 7, weight_oz")
        'row 7, On scale (cell C7)'
        """
        found = re.fullmatch(r"row (\d+), (.+)", place)
        columns = found[2].split(" and ") if found else []
        if found is None or not any(column in self.headings for column in columns):
            return place
        told = [
            "{} (cell {}{})".format(*self.headings[each], found[1]) if each in self.headings else each
            for each in columns
        ]
        return f"row {found[1]}, {' and '.join(told)}"

    def problem(self, place: str, text: str) -> None:
        """Add a problem at a row and column or a key; `place` is empty where the whole file is meant.

        Raises `InputError` where there are more than anyone corrects in one pass.
        """
        if len(self.problems) < MOST_PROBLEMS:
            self.problems.append(Problem(self.file, self.place(place), text))
        if len(self.problems) == MOST_PROBLEMS:
            told = f"found {MOST_PROBLEMS} problems and looked no further; correct these and run the command again"
            self.problems.append(Problem(self.file, "", told))
        if len(self.problems) > MOST_PROBLEMS:
            raise InputError(self.problems)

    def refuse(self, text: str, place: str = "") -> NoReturn:
        """Add the problem that ends the reading, and raise `InputError` with every one so far."""
        self.problem(place, text)
        raise InputError(self.problems)

    def check_known(self, place: str, name: str, known: Collection[str], expected: str, among: str) -> None:
        """Add a problem for a name that is not known; `expected` and `among` are what such names are of, in words."""
        if name not in known:
            self.problem(place, f"found {quoted(name)}, expected {expected}; {did_you_mean(name, known, among)}")

    def note(self, text: str) -> None:
        """Add one sentence about an oddity that stops nothing."""
        self.notes.append(f"{self.file} {text}")


def raise_problems(*readings: Reading) -> None:
    """Raise `InputError` with the problems of all readings in their order, if there are any."""
    if problems := [problem for reading in readings for problem in reading.problems]:
        raise InputError(problems)


def unless_refused(read: Callable[..., Read], *given: object) -> Read | None:
    """What `read` makes of what it is given, None where the reading was refused; its problems are with it."""
    with contextlib.suppress(InputError):
        return read(*given)
    return None


def reason(error: OSError | ValueError, what: str = "file") -> str:
    """Why the system refuses a file or folder, in words for a message."""
    return (getattr(error, "strerror", None) or f"the name is not one a {what} can have").lower()


def file_bytes(path: Path, reading: Reading) -> bytes:
    """The file's bytes; refused where it is missing, not a file, empty or unreadable."""
    try:
        if path.is_dir():
            reading.refuse("found a folder, expected a file; name the file itself")
        if not path.exists():
            reading.refuse("the file is missing; check the name and the folder")
        if not path.is_file():
            reading.refuse("found something that is not a plain file; name a file kept on disk")
        content = path.read_bytes()
    except (OSError, ValueError) as error:
        reading.refuse(f"the file cannot be read ({reason(error)}); check its name and permissions")
    if not content.strip():
        reading.refuse("the file is empty; fill it in, or remove it if it is not needed")
    return content
