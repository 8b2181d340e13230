"""What every command shares: its options, how it prints, and how it ends where the input cannot be used."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn

import typer

from consist.errors import ConsistError, InputError, UnknownNameError

if TYPE_CHECKING:
    from consist.report.document import Document
    from consist.report.terminal import TextOf
    from consist.session import Session
    from consist.wording import Units

__all__ = [
    "EXIT_FAULT",
    "EXIT_INTERRUPTED",
    "EXIT_UNUSABLE",
    "JsonKeysOption",
    "JsonOption",
    "PaperChoice",
    "SessionArgument",
    "UnitsChoice",
    "UnitsOption",
    "answering",
    "argument",
    "opened",
    "option",
    "printed",
    "printed_json",
    "printed_pages",
]

EXIT_FAULT = 1
"""A train is on hold, or short of power."""
EXIT_UNUSABLE = 2
EXIT_INTERRUPTED = 130


class UnitsChoice(StrEnum):
    """What figures are shown in."""

    oz = "oz"
    g = "g"


class PaperChoice(StrEnum):
    """What is printed on."""

    a4 = "a4"
    letter = "letter"


def option(help: str, *names: str, **more: Any) -> Any:
    """An option without a default to show."""
    return typer.Option(*names, help=help, show_default=False, **more)


def argument(help: str, **more: Any) -> Any:
    """An argument that must be there."""
    return typer.Argument(help=help, show_default=False, **more)


SessionArgument = Annotated[Path, argument("The session's folder.", metavar="SESSION")]
UnitsOption = Annotated[
    UnitsChoice | None,
    typer.Option(
        help="Show ounces and inches (oz) or grams and millimetres (g); the layout's own unit decides otherwise.",
        show_default=False,
    ),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print one JSON object instead of pages.")]


def _json_keys(context: typer.Context, wanted: bool) -> None:
    if wanted:
        from consist.report.json import json_reference

        printed(json_reference(context.info_name or ""))
        raise typer.Exit


JsonKeysOption = Annotated[
    bool, typer.Option("--json-keys", callback=_json_keys, is_eager=True, help="Say what --json prints, and stop.")
]


@contextmanager
def answering() -> Iterator[None]:
    """Whatever is wrong with the input or the disk ends in one line a problem and exit 2, never in a traceback."""
    try:
        yield
    except KeyboardInterrupt:
        raise typer.Exit(EXIT_INTERRUPTED) from None
    except UnknownNameError as error:
        _complain(f"--{error.what}: {error}")
    except InputError as error:
        _complain(*map(str, error.problems))
    except ConsistError as error:
        _complain(str(error))
    except OSError as error:
        _complain(": ".join(str(part) for part in (error.filename, error.strerror or error) if part))


def _complain(*lines: str) -> NoReturn:
    from consist.report.words import clean

    for line in lines:
        print(clean(line), file=sys.stderr)
    raise typer.Exit(EXIT_UNUSABLE) from None


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


def printed_json(command: str, result: object) -> None:
    """Write the JSON object of a command."""
    from consist.report.json import as_json

    printed(as_json(command, result))


def printed_pages(document: Document, text_of: TextOf | None = None) -> None:
    """Write a document as pages, as wide as stdout is and in colour where it shows any."""
    from consist.report.terminal import as_pages, this_terminal

    printed(as_pages(document, text_of, this_terminal()))


def opened(folder: Path, choice: UnitsChoice | None = None) -> tuple[Session, Units]:
    """A session with its sentences in the units wanted, and those units; the layout's own where none are."""
    import consist
    from consist.wording import units_for

    session = consist.load(folder)
    units = units_for(session.layout.unit, choice.value if choice else None)
    return session.told_in("in" if units.inches else "mm"), units
