"""The commands that write a session's report and its pictures."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from consist.cli.answering import EXIT_FAULT, opened, printed
from consist.cli.completion import trains
from consist.cli.next_command import after_check
from consist.cli.options import (
    NoRangesOption,
    PaperName,
    SessionArgument,
    UnitsOption,
    on_paper,
    option,
    written,
)
from consist.cli.what_if import (
    AddOption,
    CarsOption,
    EnginesOption,
    WeighOption,
    WithoutOption,
    told_before,
    what_if,
)
from consist.errors import refuse

if TYPE_CHECKING:
    from consist.report.charts import Chart
    from consist.session import Session
    from consist.wording import Units

__all__ = ["picture", "report"]


ChartName = Literal["train", "then", "plan", "profile", "side-use", "drawbar", "engines"]


def report(
    session: SessionArgument,
    output: Annotated[Path | None, written("The page to write, a .html file that needs no other.")] = None,
    pdf: Annotated[Path | None, written("The .pdf file to write, for paper.")] = None,
    paper: Annotated[PaperName, on_paper("What the .pdf file is printed on.")] = "a4",
    units: UnitsOption = None,
    no_ranges: NoRangesOption = False,
) -> None:
    """Write the session's report, to pass round and to print.

    \b
    consist report sample_sessions/sunday_shelf --output session.html
    consist report sample_sessions/sunday_shelf --pdf night.pdf --paper letter

    One page for a phone, a desk and paper, with every train's verdict, pictures and switch list, the engines, the
    bench and the door. Name --output, --pdf or both.

    Exits as 'consist check' does: 1 where a train is on hold, though the report is written.
    """
    import consist
    from consist.report.terminal.progress import shown_progress
    from consist.report.words import clean

    with shown_progress("Working out") as progress:
        made = consist.write_report(
            session, output, pdf=pdf, paper=paper, units=units, progress=progress, ranges=not no_ranges
        )
    for path in made.files:
        printed(f"Written: {clean(str(path))}\n")
    if made.evening.check.on_hold:
        after_check(session, made.evening.check)
    raise typer.Exit(EXIT_FAULT if made.evening.check.on_hold else 0)


def picture(
    session: SessionArgument,
    output: Annotated[Path, written("The .svg, .png or .pdf file to write.")],
    train: Annotated[
        str | None,
        option("NAME", "The train; every chart but that of the engines asks for it.", autocompletion=trains),
    ] = None,
    chart: Annotated[
        ChartName,
        typer.Option(
            help="What to draw: the train to scale, the same in the order suggested (then), the route in plan or in "
            "profile, side use by place in the train and place on the route, the drawbar along the train at the "
            "worst moment, or the engines through the evening."
        ),
    ] = "side-use",
    without: WithoutOption = None,
    add: AddOption = None,
    cars: CarsOption = None,
    engines: EnginesOption = None,
    weigh: WeighOption = None,
    units: UnitsOption = None,
) -> None:
    """Write one picture of a train, or of the evening's engines.

    \b
    consist picture sample_sessions/club_night --chart engines --output power.svg
    consist picture sample_sessions/sunday_shelf --train 'Creamery 5' \\
      --chart drawbar --output drawbar.png

    Exits with 0, or with 2 where the session cannot be used, there is nothing to draw, or the file cannot be written.
    """
    from consist.intake import check_output, write_whole
    from consist.report.files import name_ending
    from consist.report.words import clean

    ending = name_ending(output, "--output", ".svg", ".png", ".pdf")
    check_output(output, session)
    if train is None and chart != "engines":
        text = "found none; name the train to draw, such as --train 'Local 5', or ask for --chart engines"
        raise refuse("--train", text)
    given, show = opened(session, units)
    loaded, before = what_if(given, train, without, add, cars, engines, weigh)
    told_before(before, loaded, show)
    if train is not None:
        loaded.train(train)
    if chart == "engines":
        train = None
    drawn = _drawn(loaded, train, chart, show)
    from consist.report.charts import picture_file

    write_whole(output, picture_file(drawn, train or loaded.title, ending))
    printed(f"Written: {clean(str(output))}\n")


def _drawn(session: Session, train: str | None, chart: ChartName, units: Units) -> Chart:
    from consist.report.terminal.progress import shown_waiting

    if chart == "engines":
        import consist
        from consist.report.charts import engines_chart

        if not session.trains or not session.engines:
            raise refuse("--chart", "the session has no train, or no engine, to draw")
        with shown_waiting("Planning the engines"):
            return engines_chart(consist.plan_power(session), session)
    from consist.evening import train_overview
    from consist.report.charts import kinds_of, train_chart

    with shown_waiting("Working out"):
        seen = train_overview(session, session.train(train or ""))
    kinds = kinds_of(seen)
    if chart not in kinds:
        raise refuse("--chart", f"there is nothing of the kind to draw of this train; choose from {', '.join(kinds)}")
    return train_chart(chart, seen, session, units)
