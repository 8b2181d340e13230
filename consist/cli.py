"""The commands: what is asked for is read, worked out and shown. Nothing is computed here.

NumPy and the rest are loaded inside the commands, so that `consist --help` answers at once.
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
    JsonKeysOption,
    JsonOption,
    SessionArgument,
    UnitsOption,
    answering,
    argument,
    known_train,
    name_ending,
    option,
    printed,
    printed_json,
    printed_pages,
    refuse,
    told_in,
)

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
    train: Annotated[str | None, option("Check only the train of this name.", metavar="NAME")] = None,
    units: UnitsOption = None,
    json: JsonOption = False,
    json_keys: JsonKeysOption = False,
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
        from consist.report.sheets.session import check_document, checked
        from consist.report.sheets.tasks import tasks_of
        from consist.report.terminal.drawings import routes_in_text
        from consist.report.terminal.progress import shown_progress

        loaded, show = told_in(consist.load(session), None if json else units)
        if train is not None:
            known_train(loaded, train)
        with shown_progress() as progress:
            result = consist.check(loaded, train, progress)
        seen = checked(loaded, result)
        if json:
            printed_json("check", {**vars(result), "tasks": tasks_of(seen, show)})
        else:
            document = check_document(seen, show, train_pages=not no_pages)
            printed_pages(document, routes_in_text(loaded, result, show))
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
        option("Plan only the train of this name; otherwise every train on hold or care is planned.", metavar="NAME"),
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
        option(
            "Write the trains table with the new order to this .csv or .xlsx file; all else in it is kept.",
            metavar="FILE",
        ),
    ] = None,
    units: UnitsOption = None,
    json: JsonOption = False,
    json_keys: JsonKeysOption = False,
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
        from consist.report.sheets.moves import order_sheets, written_words
        from consist.report.sheets.parts import of_sheets
        from consist.report.terminal import plain_lines, this_terminal
        from consist.report.terminal.progress import shown_progress
        from consist.report.words import clean

        if write is not None:
            check_table_name(write)
        loaded, show = told_in(consist.load(session), None if json else units)
        if train is not None:
            known_train(loaded, train)
        with shown_progress("Planning") as progress:
            orders = plan_session(
                loaded, train, free_blocks=free_blocks, seconds=seconds, seed=seed, progress=progress
            )
        if json and orders.only_one:
            printed_json("order --train", orders.trains[0].plan)
        elif json:
            printed_json("order", {"trains": [one.plan for one in orders.trains]})
        else:
            printed_pages(of_sheets(loaded.title, *order_sheets(loaded, orders, show)))
        if write is not None:
            new_orders = {planned.plan.train: planned.choice.figures.order for planned in orders.to_make}
            write_reordered(session, new_orders, write)
            told = clean(written_words(orders, str(write)))
            if json:
                print(told, file=sys.stderr)
            else:
                printed("\n" + plain_lines(told, width=this_terminal().width))
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
    json_keys: JsonKeysOption = False,
) -> None:
    """Plan which engines go on which train all evening.

    Uses as few engines as will do. Shows every engine along the fast clock and, for a train short of power, what
    would move it. Exits with 0; 1 where a train is left short of power; 2 where the session cannot be used.
    """
    with answering():
        import consist
        from consist.power import plan_power
        from consist.report.sheets.parts import of_sheets
        from consist.report.sheets.power import power_sheet
        from consist.report.terminal.drawings import engines_in_text
        from consist.report.terminal.progress import shown_waiting

        loaded, show = told_in(consist.load(session), None if json else units)
        with shown_waiting("Planning the engines"):
            plan = plan_power(loaded, keep_given=keep_given)
        if json:
            printed_json("power", plan)
        else:
            document = of_sheets(loaded.title, power_sheet(loaded, plan, {}, show))
            printed_pages(document, engines_in_text(loaded, plan))
        raise typer.Exit(EXIT_SHORT if plan.short else 0)


@app.command()
def rating(
    layout: Annotated[Path, argument("The layout's file.", metavar="LAYOUT")],
    engines: Annotated[Path, argument("The table of engines.", metavar="ENGINES")],
    standard: Annotated[
        str | None, option("The weight standard that cars are counted by; nmra-rp-20.1 otherwise.", metavar="NAME")
    ] = None,
    csv: Annotated[Path | None, option("Write the ratings to this .csv file too.", "--csv", metavar="FILE")] = None,
    units: UnitsOption = None,
    json: JsonOption = False,
    json_keys: JsonKeysOption = False,
) -> None:
    """Rate each line: the weight and cars that engines take over it.

    Tells it for 1, 2 and 3 engines of each class, by the hardest piece of the line.

    Exits with 0, or with 2 where a file cannot be used or written.
    """
    with answering():
        from consist.checking.layout_ratings import rate_layout
        from consist.intake import write_whole
        from consist.report.sheets.parts import of_sheets
        from consist.report.sheets.rating import rating_sheet, ratings_as_csv
        from consist.report.words import clean
        from consist.wording import units_for

        if csv is not None:
            _new_csv(csv, engines)
        rated = rate_layout(layout, engines, standard)
        show = units_for(rated.layout.unit, units.value if units else None)
        if csv is not None:
            write_whole(csv, ratings_as_csv(rated, show))
        if json:
            printed_json("rating", rated)
        else:
            printed_pages(of_sheets(rated.layout.name, rating_sheet(rated, show)))
        if csv is not None:
            told = f"Written to {clean(str(csv))}.\n"
            print(told, end="", file=sys.stderr) if json else printed(f"\n{told}")


@app.command()
def layout(
    layout: Annotated[Path, argument("The layout's file.", metavar="LAYOUT")],
    units: UnitsOption = None,
    json: JsonOption = False,
    json_keys: JsonKeysOption = False,
) -> None:
    """Show a layout: lines, grades, curves, places and rough joints.

    Exits with 0, or with 2 where the file cannot be used.
    """
    with answering():
        from consist.intake import read_layout
        from consist.report.sheets.layout import layout_figures, layout_sheet
        from consist.report.sheets.parts import of_sheets
        from consist.report.terminal.drawings import lines_in_text
        from consist.wording import units_for

        built = read_layout(layout)
        if json:
            printed_json("layout", layout_figures(built))
        else:
            show = units_for(built.unit, units.value if units else None)
            printed_pages(of_sheets(built.name, layout_sheet(built, show)), lines_in_text(built, show))


@app.command()
def new(
    folder: Annotated[Path, argument("The folder to make.", metavar="FOLDER")],
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
        raise refuse("--csv", "found the table of engines itself; name another file")
