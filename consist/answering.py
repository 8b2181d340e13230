"""What every command shares: its options, how it prints, and how it ends where the input cannot be used."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from consist.errors import ConsistError, InputError, Problem

if TYPE_CHECKING:
    from consist.report.document import Document
    from consist.report.terminal import TextOf
    from consist.session import Session
    from consist.wording import Units

__all__ = [
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
    "known_train",
    "name_ending",
    "option",
    "printed",
    "printed_json",
    "printed_pages",
    "refuse",
    "told_in",
]

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


def printed_json(command: str, result: object) -> None:
    """Write the JSON object of a command."""
    from consist.report.json import as_json

    printed(as_json(command, result))


def printed_pages(document: Document, text_of: TextOf | None = None) -> None:
    """Write a document as pages, as wide as stdout is and in colour where it shows any."""
    from consist.report.terminal import as_pages, this_terminal

    printed(as_pages(document, text_of, this_terminal()))


def told_in(session: Session, choice: UnitsChoice | None) -> tuple[Session, Units]:
    """The session with its sentences in the units wanted, and those units; the layout's own where none are."""
    from consist.wording import units_for

    units = units_for(session.layout.unit, choice.value if choice else None)
    return session.told_in("in" if units.inches else "mm"), units


def known_train(session: Session, wanted: str) -> None:
    """Raise `InputError` where the session has no train of that name."""
    from consist.names import did_you_mean, quoted

    names = [train.name for train in session.trains]
    if wanted not in names:
        text = f"found {quoted(wanted)}, expected a train of the session; {did_you_mean(wanted, names, 'trains')}"
        raise refuse("--train", text)


def name_ending(path: Path, option: str, *endings: str) -> str:
    """The ending of a file's name in small letters. Raises `InputError` where it is none of `endings`."""
    ending = path.suffix.lower()
    if ending not in endings:
        expected = endings[0] if len(endings) == 1 else f"{', '.join(endings[:-1])} or {endings[-1]}"
        raise refuse(option, f"found {str(path)!r}, expected a name that ends in {expected}; mend it")
    return ending


def refuse(where: str, text: str) -> InputError:
    """The error of one thing wrong with what was asked for."""
    return InputError([Problem(where, "", text)])
