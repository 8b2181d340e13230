"""What every command shares: how it opens a session, prints, and ends where the input cannot be used."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn, TextIO

import typer

from consist.errors import ConsistError, InputError, Problem, UnknownNameError, refuse

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


def _sheet(table: Path, place: Mapping[str, Any]) -> Session:
    """A table of cars over the place that options tell."""
    from consist.bench.lengths import parse_length, parse_weight
    from consist.bench.target import standard_named
    from consist.intake import taken_of
    from consist.scales import scale_named
    from consist.sheet import TURN_DEG, load_sheet

    if place["--scale"] is None:
        raise refuse("--scale", "found none beside a table of cars; say the scale, such as --scale HO")
    scale = scale_named(place["--scale"])
    curve, grade = place["--curve"], place["--grade"]
    if curve is None and grade is None:
        told = "found neither it nor --grade beside a table of cars; say the hardest place, such as --curve 24in"
        raise refuse("--curve", f"{told} --grade 2")
    if grade is not None and not -15.0 <= grade <= 15.0:
        raise refuse("--grade", f"found {grade:g}, expected per cent from -15 to 15; correct it")
    turn = TURN_DEG if place["--turn"] is None else place["--turn"]
    if not 0.01 <= turn <= 3600.0:
        raise refuse("--turn", f"found {turn:g}, expected degrees from 0.01 to 3600; correct it")
    pulls = [parse_weight(text, "--pull") for text in (place["--pull"] or "").split(",") if text.strip()]
    radius_mm = None if curve is None else parse_length(curve, "--curve")
    unit = "mm" if curve is not None and curve.strip().lower().endswith("mm") else "in"
    return load_sheet(
        table, scale=scale, radius_mm=radius_mm, grade_percent=grade or 0.0, turn_deg=turn, pulls_g=pulls,
        standard=standard_named(place["--standard"], scale), unit=unit, taken=taken_of(place["--map"] or (), "cars"),
    )  # fmt: skip


def opened(
    folder: Path, wanted: UnitsName | None = None, place: Mapping[str, Any] | None = None
) -> tuple[Session, Units]:
    """A session with its sentences in the units wanted, and those units; the layout's own where none are.

    Where a `place` may be told by options, the path may be that of a table of cars, which run over that place.
    """
    import consist
    from consist.wording import units_for

    told = [name for name, value in (place or {}).items() if value is not None]
    if place is not None and folder.is_file() and folder.name != "session.toml":
        session = _sheet(folder, place)
    elif told:
        raise refuse(told[0], "found it with a session, which has its own; give it with a table of cars alone")
    else:
        session = consist.load(folder)
    units = units_for(session.layout.unit, wanted)
    return session.told_in("in" if units.inches else "mm"), units
