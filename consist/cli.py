"""The commands: what is asked for is read, worked out and shown. Nothing is computed here.

NumPy, pandas and the rest are loaded inside the commands, so that `consist --help` answers at once.
"""

from __future__ import annotations

import shlex
import sys
from math import isfinite
from pathlib import Path
from typing import Annotated

import typer

from consist import cli_bench, cli_report
from consist.answering import (
    EXIT_INTERRUPTED,
    JsonOption,
    SessionArgument,
    UnitsOption,
    answering,
    known_train,
    name_ending,
    printed,
    told_in,
)
from consist.errors import InputError, Problem

__all__ = ["app", "main"]

EXIT_HOLD = 1
EXIT_SHORT = 1

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


def _version(wanted: bool) -> None:
    if wanted:
        from consist import __version__

        printed(f"consist {__version__}\n")
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
    session: SessionArgument,
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
    with answering():
        import consist
        from consist.report import as_json, session_text, shown_progress, this_terminal

        loaded, show = told_in(consist.load(session), None if json else units)
        if train is not None:
            known_train(loaded, train)
        with shown_progress() as progress:
            result = consist.check(loaded, train, progress)
        if json:
            printed(as_json(result))
        else:
            to = this_terminal()
            printed(session_text(loaded, result, show, width=to.width, colour=to.colour, train_pages=not no_pages))
        raise typer.Exit(EXIT_HOLD if result.on_hold else 0)


def _finite(seconds: float) -> float:
    if not isfinite(seconds):
        raise typer.BadParameter("type a number of seconds, such as 10")
    return seconds


@app.command()
def order(
    session: SessionArgument,
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
    with answering():
        import consist
        from consist.checking import plan_session
        from consist.intake import check_table_name, write_reordered
        from consist.report import (
            orders_as_json,
            orders_text,
            shown_progress,
            this_terminal,
            written_words,
        )

        if write is not None:
            check_table_name(write)
        loaded, show = told_in(consist.load(session), None if json else units)
        if train is not None:
            known_train(loaded, train)
        with shown_progress("Planning") as progress:
            orders = plan_session(
                loaded, train, free_blocks=free_blocks, seconds=seconds, seed=seed, progress=progress
            )
        if json:
            printed(orders_as_json(orders))
        else:
            to = this_terminal()
            printed(orders_text(loaded, orders, show, width=to.width, colour=to.colour))
        if write is not None:
            new_orders = {planned.plan.train: planned.choice.figures.order for planned in orders.to_make}
            write_reordered(session, new_orders, write)
            if json:
                print(written_words(orders, str(write)), end="", file=sys.stderr)
            else:
                printed("\n" + written_words(orders, str(write), this_terminal().width))
        raise typer.Exit(EXIT_HOLD if orders.on_hold else 0)


@app.command()
def power(
    session: SessionArgument,
    keep_given: Annotated[
        bool,
        typer.Option("--keep-given", help="Keep the engines that the session gives to trains; plan only the others."),
    ] = False,
    units: UnitsOption = None,
    json: JsonOption = False,
) -> None:
    """Plan which engines go on which train all evening.

    Uses as few engines as will do. Shows every engine along the fast clock and, for a train short of power, what
    would move it. Exits with 0; 1 where a train is left short of power; 2 where the session cannot be used.
    """
    with answering():
        import consist
        from consist.power import plan_power
        from consist.report import power_as_json, power_text, shown_waiting, this_terminal

        loaded, show = told_in(consist.load(session), None if json else units)
        with shown_waiting("Planning the engines"):
            plan = plan_power(loaded, keep_given=keep_given)
        if json:
            printed(power_as_json(plan))
        else:
            to = this_terminal()
            printed(power_text(loaded, plan, show, width=to.width, colour=to.colour))
        raise typer.Exit(EXIT_SHORT if plan.short else 0)


@app.command()
def rating(
    layout: Annotated[Path, typer.Argument(help="The layout's file.", metavar="LAYOUT", show_default=False)],
    engines: Annotated[Path, typer.Argument(help="The table of engines.", metavar="ENGINES", show_default=False)],
    standard: Annotated[
        str | None,
        typer.Option(
            help="The weight standard that cars are counted by; nmra-rp-20.1 otherwise.",
            metavar="NAME",
            show_default=False,
        ),
    ] = None,
    csv: Annotated[
        Path | None,
        typer.Option("--csv", help="Write the ratings to this .csv file too.", metavar="FILE", show_default=False),
    ] = None,
    units: UnitsOption = None,
) -> None:
    """Rate each line: the weight and cars that engines take over it.

    Tells it for 1, 2 and 3 engines of each class, by the hardest piece of the line.

    Exits with 0, or with 2 where a file cannot be used or written.
    """
    with answering():
        from consist.checking.layout_ratings import rate_layout
        from consist.intake import write_whole
        from consist.report import rating_text, ratings_as_csv, this_terminal, units_for
        from consist.report.words import clean

        if csv is not None:
            _new_csv(csv, engines)
        rated = rate_layout(layout, engines, standard)
        show, to = units_for(rated.layout.unit, units.value if units else None), this_terminal()
        if csv is not None:
            write_whole(csv, ratings_as_csv(rated, show))
        printed(rating_text(rated, show, width=to.width, colour=to.colour))
        if csv is not None:
            printed(f"\nWritten to {clean(str(csv))}.\n")


@app.command()
def layout(
    layout: Annotated[Path, typer.Argument(help="The layout's file.", metavar="LAYOUT", show_default=False)],
    units: UnitsOption = None,
    json: JsonOption = False,
) -> None:
    """Show a layout: lines, grades, curves, places and rough joints.

    Exits with 0, or with 2 where the file cannot be used.
    """
    with answering():
        from consist.intake import read_layout
        from consist.report import as_text, layout_as_json, layout_text, this_terminal, units_for

        built = read_layout(layout)
        if json:
            printed(layout_as_json(built, built.notes))
        else:
            show, to = units_for(built.unit, units.value if units else None), this_terminal()
            printed(as_text(layout_text(built, built.notes, show, to.width), to.width, to.colour))


@app.command()
def new(
    folder: Annotated[Path, typer.Argument(help="The folder to make.", metavar="FOLDER", show_default=False)],
    scale: Annotated[str, typer.Option(help="The scale it is for, such as HO or N.", metavar="SCALE")] = "HO",
) -> None:
    """Write a session and a layout to fill in, each column explained.

    Exits with 0, or with 2 where the files cannot be written; nothing is written then.
    """
    with answering():
        from consist.intake import new_session

        written = new_session(folder, scale)
        lines = ["Written:", *(f"  {path}" for path in written)]
        lines.append("Put your own track, cars, engines and trains into these files, then run")
        lines.append(f"  consist check {shlex.quote(str(folder))}")
        printed("\n".join(lines) + "\n")


cli_bench.add_to(app)
cli_report.add_to(app)


def main() -> None:
    """The entry point of `consist`; ends by `SystemExit` with the exit status."""
    for stream in (sys.stdout, sys.stderr):
        if stream is not None and hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    try:
        app(prog_name="consist")
    except KeyboardInterrupt:
        sys.exit(EXIT_INTERRUPTED)


def _new_csv(target: Path, engines: Path) -> None:
    """Raise `InputError` where a name is not that of a .csv file, or is that of the table of engines."""
    name_ending(target, "--csv", ".csv")
    if target.exists() and engines.exists() and target.samefile(engines):
        raise InputError([Problem("--csv", "", "found the table of engines itself; name another file")])
