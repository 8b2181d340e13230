"""What every command shares: its options, how it prints, and how it ends where the input cannot be used."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from enum import StrEnum
from typing import Annotated

import typer

from consist.errors import ConsistError, InputError

__all__ = ["EXIT_INTERRUPTED", "EXIT_UNUSABLE", "JsonOption", "UnitsChoice", "UnitsOption", "answering", "printed"]

EXIT_UNUSABLE = 2
EXIT_INTERRUPTED = 130


class UnitsChoice(StrEnum):
    """What figures are shown in."""

    oz = "oz"
    g = "g"


UnitsOption = Annotated[
    UnitsChoice | None,
    typer.Option(
        help="Show ounces and inches (oz) or grams and millimetres (g); the layout's own unit decides otherwise.",
        show_default=False,
    ),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print one JSON object instead of pages.")]


@contextmanager
def answering() -> Iterator[None]:
    """Whatever is wrong with the input or the disk ends in one line a problem and exit 2, never in a traceback."""
    try:
        yield
    except InputError as error:
        _complain(str(problem) for problem in error.problems)
        raise typer.Exit(EXIT_UNUSABLE) from None
    except ConsistError as error:
        _complain([str(error)])
        raise typer.Exit(EXIT_UNUSABLE) from None
    except OSError as error:
        _complain([": ".join(str(part) for part in (error.filename, error.strerror or error) if part)])
        raise typer.Exit(EXIT_UNUSABLE) from None
    except KeyboardInterrupt:
        raise typer.Exit(EXIT_INTERRUPTED) from None


def _complain(lines: Iterable[str]) -> None:
    from consist.report.words import clean

    for line in lines:
        print(clean(line), file=sys.stderr)


def printed(text: str) -> None:
    """Write to stdout. A reader that has gone, such as `head`, is no error."""
    if sys.stdout is None:
        return
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except OSError as error:
        # what is still waiting to be written must not fail once more when the interpreter ends
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if not isinstance(error, BrokenPipeError):
            raise
