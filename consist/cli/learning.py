"""The commands of the log: what happened to a train, and what all that happened teaches."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated, Literal

import typer

from consist.cli.answering import printed, printed_json, printed_pages
from consist.cli.completion import cars, trains
from consist.cli.next_command import tell_next
from consist.cli.options import JsonKeysOption, JsonOption, SessionArgument, UnitsOption, flag, option, written
from consist.errors import refuse

__all__ = ["learn", "log"]

HAPPENED = "What happened"
DoingName = Literal["starting", "stopping", "pulling", "pushing", "backing"]


def log(
    session: SessionArgument,
    train: Annotated[str | None, option("NAME", "The train that ran.", autocompletion=trains)] = None,
    clean: Annotated[bool, flag("--clean", "Nothing came off, stalled or parted.", rich_help_panel=HAPPENED)] = False,
    off: Annotated[
        str | None, option("CAR", "This car came off.", autocompletion=cars, rich_help_panel=HAPPENED)
    ] = None,
    stalled: Annotated[bool, flag("--stalled", "The engines could not go on.", rich_help_panel=HAPPENED)] = False,
    parted: Annotated[bool, flag("--parted", "A coupling opened.", rich_help_panel=HAPPENED)] = False,
    at: Annotated[
        str | None,
        option("PLACE[, PLACE]", "At this place of its route, or between these two.", rich_help_panel=HAPPENED),
    ] = None,
    past: Annotated[
        str | None, option("LENGTH", "How far past it, such as 30in or 800mm.", rich_help_panel=HAPPENED)
    ] = None,
    doing: Annotated[
        DoingName | None,
        typer.Option("--while", help="What it was doing.", show_default=False, rich_help_panel=HAPPENED),
    ] = None,
    note: Annotated[str, option("TEXT", "Whatever else is worth keeping.", rich_help_panel=HAPPENED)] = "",
    undo: Annotated[bool, flag("--undo", "Take back the run logged last.")] = False,
) -> None:
    """Note how a train ran, for 'consist learn' to learn from.

    \b
    consist log sample_sessions/sunday_shelf --train 'Creamery 5' --clean
    consist log sample_sessions/sunday_shelf --train 'Creamery 5' \\
      --off 'PQF 201' --at 'Puddlefold, Upper Fold' --past 600mm

    Adds a row to runs.csv in the session's folder, with what was predicted of each car then; later weighings do not
    change it. Note clean runs too: they teach as much as the others.

    Exits with 0, or with 2 where something cannot be used or written.
    """
    import consist
    from consist.bench.lengths import parse_length

    told = {"--clean": clean, "--off": off is not None, "--stalled": stalled, "--parted": parted}
    happened = [name for name, given in told.items() if given]
    if undo:
        if train is not None or happened:
            raise refuse("--undo", "found another option beside it; give it alone")
        run = consist.undo_run(session)
        printed(f"Taken back: {_words(run.train, run.what, run.car, run.at)}.\n")
        return
    if train is None:
        raise refuse("--train", "found none; name the train that ran")
    if len(happened) != 1:
        found = f"found {' and '.join(happened)}" if happened else "found nothing that happened"
        raise refuse("consist log", f"{found}; give one of --clean, --off CAR, --stalled and --parted")
    past_mm = None if past is None else parse_length(past, "--past")
    run = consist.log_run(
        consist.load(session), train, happened[0].removeprefix("--"),  # type: ignore[arg-type]
        car=off, at=at, past_mm=past_mm, doing=doing, note=note,
    )  # fmt: skip
    printed(f"Logged: {_words(run.train, run.what, run.car, run.at)}.\n")
    tell_next("learn", session)


def _words(train: str, what: str, car: str, at: tuple[str, ...]) -> str:
    """What happened to a train, as a sentence without its full stop."""
    from consist.report.words import clean

    where = "" if not at else f" at {at[0]}" if len(at) == 1 else f" between {at[0]} and {at[1]}"
    does = {
        "clean": "ran clean",
        "off": f"lost {car} off the track",
        "stalled": "stalled",
        "parted": "parted",
    }[what]
    return clean(f"{train} {does}{where}")


def learn(
    sessions: Annotated[
        list[Path],
        typer.Argument(help="The folders of sessions with a log.", metavar="SESSION...", show_default=False),
    ],
    output: Annotated[
        Path | None,
        written("Draw it too, over the plan of the first session's layout, to this .svg, .pdf or .png file."),
    ] = None,
    units: UnitsOption = None,
    json: JsonOption = False,
    json_keys: JsonKeysOption = False,
) -> None:
    """Learn this railroad's own limits from the runs noted.

    \b
    consist learn sample_sessions/steps_day
    consist learn sample_sessions/steps_day --output learned.svg

    Tells the margins at which cars stay on here, how surely that is known, track and cars that are worse than they
    should be, and what the engines really pull. It changes no file.

    Exits with 0, or with 2 where a log cannot be used or holds no run.
    """
    import consist
    from consist.report.sheets.learning import learned_sheet
    from consist.report.words import clean

    ending = ""
    if output is not None:
        from consist.intake import check_output, write_whole
        from consist.report.files import name_ending

        ending = name_ending(output, "--output", ".svg", ".png", ".pdf")
        for session in sessions:
            check_output(output, session)
    loaded = [consist.load(session) for session in sessions]
    told = consist.learn(*loaded)
    if output is not None:
        from consist.report.charts import learned_chart, picture_file
        from consist.wording import units_for

        layout = loaded[0].layout
        chart = learned_chart(layout, told, units_for(layout.unit, units))
        write_whole(output, picture_file(chart, layout.name, ending))
    if json:
        printed_json("learn", told)
    else:
        printed_pages("What the log teaches", learned_sheet(told))
    if output is not None:
        done = f"Written: {clean(str(output))}\n"
        print(done, end="", file=sys.stderr) if json else printed(f"\n{done}")
