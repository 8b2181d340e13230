"""What every command shares: how it opens a session, prints, and ends where the input cannot be used."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn, TextIO

import typer

from consist.errors import ConsistError, InputError, Problem, UnknownNameError

if TYPE_CHECKING:
    from consist.report.document import Sheet
    from consist.report.terminal import TextOf
    from consist.session import Session
    from consist.wording import Units, UnitsName

__all__ = [
    "EXIT_FAULT", "EXIT_UNUSABLE", "answering", "complain", "may_write", "opened", "printed", "printed_json",
    "printed_pages", "settled",
]  # fmt: skip

EXIT_FAULT = 1
"""A train is on hold, or short of power."""
EXIT_UNUSABLE = 2
EXIT_INTERRUPTED = 130


@contextmanager
def answering() -> Iterator[None]:
    """Whatever is wrong with the input or the disk ends in one line a problem and exit 2, never in a traceback."""
    try:
        yield
    except KeyboardInterrupt:
        print("Stopped by Ctrl-C before its end.", file=sys.stderr)
        raise typer.Exit(EXIT_INTERRUPTED) from None
    except UnknownNameError as error:
        complain(f"--{error.what}: {error}")
    except InputError as error:
        complain(*map(str, error.problems))
    except ConsistError as error:
        complain(str(error))
    except OSError as error:
        complain(_told(error))


def complain(*lines: str) -> NoReturn:
    """Write a line a problem to stderr and end with exit 2."""
    from consist.report.words import clean

    with suppress(OSError):  # whoever fills or closes stderr learns it from the exit status
        for line in lines:
            print(clean(line), file=sys.stderr)
    raise typer.Exit(EXIT_UNUSABLE) from None


def _told(error: OSError) -> str:
    """What the system refuses, on one line."""
    what = error.strerror or str(error)
    if error.filename:
        return str(Problem(str(error.filename), "", what))
    return f"the answer cannot be written ({what.lower()}); make room, or send it elsewhere"


def settled(stream: TextIO) -> None:
    """Write what still waits in a stream, or drop it: it must not fail once more when the interpreter ends."""
    try:
        stream.flush()
    except OSError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def may_write(path: Path | None, option: str, ending: str, *read: Path) -> None:
    """Raise `InputError` where a file is asked for whose name does not end so, or that may not be written over what
    is `read`."""
    if path is not None:
        from consist.intake import check_output
        from consist.report.files import name_ending

        name_ending(path, option, ending)
        check_output(path, *read)


def printed(text: str) -> None:
    """Write to stdout. A reader that has gone, such as `head`, is no error."""
    with suppress(BrokenPipeError):
        sys.stdout.write(text)
        sys.stdout.flush()


def printed_json(command: str, result: object, **more: object) -> None:
    """Write the JSON object of a command; `more` are values of keys that are not the result's own."""
    from consist.report.json import as_json

    printed(as_json(command, result, **more))


def printed_pages(title: str, *sheets: Sheet, text_of: TextOf | None = None) -> None:
    """Write sheets as pages, as wide as stdout is, in colour where it shows any; `text_of` draws their pictures."""
    from consist.report.sheets.parts import of_sheets
    from consist.report.terminal import as_pages, this_terminal

    printed(as_pages(of_sheets(title, *sheets), text_of, this_terminal()))


def opened(folder: Path, wanted: UnitsName | None = None) -> tuple[Session, Units]:
    """A session with its sentences in the units wanted, and those units; the layout's own where none are."""
    import consist
    from consist.wording import units_for

    session = consist.load(folder)
    units = units_for(session.layout.unit, wanted)
    return session.told_in("in" if units.inches else "mm"), units
