"""The commands: what is asked for is read, worked out and shown. Nothing is computed here.

NumPy, pandas and the rest are loaded inside the commands, so that `consist --help` answers at once.
"""

from __future__ import annotations

import os
import shlex
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from enum import StrEnum
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from consist.errors import ConsistError, InputError, Problem

if TYPE_CHECKING:
    from consist.session import Session

__all__ = ["app", "main"]

EXIT_HOLD = 1
EXIT_UNUSABLE = 2
EXIT_INTERRUPTED = 130

app = typer.Typer(
    name="consist",
    help=(
        "Check before an operating session whether model trains stay on the track and have the power they need, "
        "and which cars to move where they do not. For model trains only."
    ),
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


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


def _version(wanted: bool) -> None:
    if wanted:
        from consist import __version__

        _print(f"consist {__version__}\n")
        raise typer.Exit


@app.callback()
def _consist(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and stop.")
    ] = False,
) -> None:
    """Options that stand before the command."""


@app.command()
def check(
    session: Annotated[Path, typer.Argument(help="The session's folder.", metavar="SESSION", show_default=False)],
    train: Annotated[
        str | None, typer.Option(help="Check only the train of this name.", metavar="NAME", show_default=False)
    ] = None,
    units: UnitsOption = None,
    json: JsonOption = False,
    no_pages: Annotated[
        bool, typer.Option("--no-pages", help="Print the session's page alone, without a page for each train.")
    ] = False,
) -> None:
    """Check a session's trains: side pull, power, weights and order.

    Exits with 0 where every train checked may go, with care or without; 1 where one is on hold; 2 where the
    session cannot be used.
    """
    with _answering():
        import consist
        from consist.report import as_json, session_text, shown_progress, this_terminal, units_for

        loaded = consist.load(session)
        if train is not None:
            _known_train(loaded, train)
        with shown_progress() as progress:
            result = consist.check(loaded, train, progress)
        if json:
            _print(as_json(result))
        else:
            show, to = units_for(loaded.layout.unit, units.value if units else None), this_terminal()
            _print(session_text(loaded, result, show, width=to.width, colour=to.colour, train_pages=not no_pages))
        raise typer.Exit(EXIT_HOLD if result.on_hold else 0)


def _finite(seconds: float) -> float:
    if not isfinite(seconds):
        raise typer.BadParameter("type a number of seconds, such as 10")
    return seconds


@app.command()
def order(
    session: Annotated[Path, typer.Argument(help="The session's folder.", metavar="SESSION", show_default=False)],
    train: Annotated[
        str | None,
        typer.Option(
            help="Plan only the train of this name; otherwise every train on hold or care is planned.",
            metavar="NAME",
            show_default=False,
        ),
    ] = None,
    free_blocks: Annotated[
        bool, typer.Option("--free-blocks", help="Let whole blocks change places, not only cars within a block.")
    ] = False,
    seconds: Annotated[
        float, typer.Option(help="About how long to search, for each train.", metavar="N", min=0.1, callback=_finite)
    ] = 10.0,
    seed: Annotated[int, typer.Option(help="The same seed finds the same order again.", metavar="N", min=0)] = 1,
    write: Annotated[
        Path | None,
        typer.Option(
            help="Write the trains table with the new order to this .csv or .xlsx file; all else in it is kept.",
            metavar="FILE",
            show_default=False,
        ),
    ] = None,
    units: UnitsOption = None,
    json: JsonOption = False,
) -> None:
    """Find which cars to move, in the fewest moves, for a train to go.

    Shows what each further move gains and the best order found. Ctrl-C ends a train's search with the best found
    so far. Exits with 0; 1 where the best order of a train planned still leaves it on hold by its side pull; 2 where
    the session cannot be used.
    """
    with _answering():
        import consist
        from consist.checking import plan_session
        from consist.intake import check_table_name, write_reordered
        from consist.report import (
            orders_as_json,
            orders_text,
            shown_progress,
            this_terminal,
            units_for,
            written_words,
        )

        if write is not None:
            check_table_name(write)
        loaded = consist.load(session)
        if train is not None:
            _known_train(loaded, train)
        with shown_progress("Planning") as progress:
            orders = plan_session(
                loaded, train, free_blocks=free_blocks, seconds=seconds, seed=seed, progress=progress
            )
        if json:
            _print(orders_as_json(orders))
        else:
            show, to = units_for(loaded.layout.unit, units.value if units else None), this_terminal()
            _print(orders_text(loaded, orders, show, width=to.width, colour=to.colour))
        if write is not None:
            new_orders = {planned.plan.train: planned.choice.figures.order for planned in orders.to_make}
            write_reordered(session, new_orders, write)
            if json:
                print(written_words(orders, str(write)), end="", file=sys.stderr)
            else:
                _print("\n" + written_words(orders, str(write), this_terminal().width))
        raise typer.Exit(EXIT_HOLD if orders.on_hold else 0)


@app.command()
def layout(
    layout: Annotated[Path, typer.Argument(help="The layout's file.", metavar="LAYOUT", show_default=False)],
    units: UnitsOption = None,
    json: JsonOption = False,
) -> None:
    """Show a layout: its lines, grades, curves, places and rough joints.

    Exits with 0, or with 2 where the file cannot be used.
    """
    with _answering():
        from consist.intake import read_layout
        from consist.report import as_text, layout_as_json, layout_page, this_terminal, units_for
        from consist.track import layout_from_record

        record = read_layout(layout)
        built = layout_from_record(record)
        if json:
            _print(layout_as_json(built, record.notes))
        else:
            show, to = units_for(built.unit, units.value if units else None), this_terminal()
            _print(as_text(layout_page(built, record.notes, show, to.width), to.width, to.colour))


@app.command()
def new(
    folder: Annotated[Path, typer.Argument(help="The folder to make.", metavar="FOLDER", show_default=False)],
    scale: Annotated[str, typer.Option(help="The scale it is for, such as HO or N.", metavar="SCALE")] = "HO",
) -> None:
    """Write a session and a layout to fill in, each column explained.

    Exits with 0, or with 2 where the files cannot be written; nothing is written then.
    """
    with _answering():
        from consist.intake import new_session

        written = new_session(folder, scale)
        lines = ["Written:", *(f"  {path}" for path in written)]
        lines.append("Put your own track, cars, engines and trains into these files, then run")
        lines.append(f"  consist check {shlex.quote(str(folder))}")
        _print("\n".join(lines) + "\n")


def main() -> None:
    """The entry point of `consist`; ends by `SystemExit` with the exit status."""
    for stream in (sys.stdout, sys.stderr):
        if stream is not None and hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    try:
        app(prog_name="consist")
    except KeyboardInterrupt:
        sys.exit(EXIT_INTERRUPTED)


def _known_train(session: Session, wanted: str) -> None:
    """Raise `InputError` where the session has no train of that name."""
    from consist.intake.names import did_you_mean, quoted

    names = [train.name for train in session.trains]
    if wanted not in names:
        text = f"found {quoted(wanted)}, expected a train of the session; {did_you_mean(wanted, names, 'trains')}"
        raise InputError([Problem("--train", "", text)])


@contextmanager
def _answering() -> Iterator[None]:
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


def _print(text: str) -> None:
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
