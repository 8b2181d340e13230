"""The commands that write a session's report and its pictures. Nothing is computed here.

What is heavy is loaded inside the commands.
"""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from consist.answering import (
    PaperChoice,
    SessionArgument,
    UnitsOption,
    answering,
    known_train,
    name_ending,
    option,
    printed,
    refuse,
    told_in,
)

if TYPE_CHECKING:
    from consist.report.charts import Chart
    from consist.session import Session
    from consist.wording import Units

__all__ = ["add_to"]

EXIT_HOLD = 1


class ChartChoice(StrEnum):
    """Which picture."""

    train = "train"
    then = "then"
    plan = "plan"
    profile = "profile"
    side_use = "side-use"
    drawbar = "drawbar"
    engines = "engines"


def add_to(app: typer.Typer) -> None:
    """Give the program these commands."""
    for command in (report, picture):
        app.command()(command)


def report(
    session: SessionArgument,
    output: Annotated[
        Path | None, option("The page to write, a .html file that needs no other.", metavar="FILE")
    ] = None,
    pdf: Annotated[Path | None, option("The .pdf file to write, for paper.", metavar="FILE")] = None,
    paper: Annotated[PaperChoice, typer.Option(help="What the .pdf file is printed on.")] = PaperChoice.a4,
    units: UnitsOption = None,
) -> None:
    """Write the session's report, to pass round and to print.

    One page for a phone, a desk and paper, with every train's verdict, pictures and switch list, the engines, the
    bench and the door. Name --output, --pdf or both.

    Exits as 'consist check' does: 1 where a train is on hold, though the report is written.
    """
    with answering():
        from consist.intake import check_target, write_whole
        from consist.report.words import clean

        if output is None and pdf is None:
            text = "found neither it nor --pdf; name the file to write, such as --output session.html"
            raise refuse("--output", text)
        for target, option, endings in ((output, "--output", (".html", ".htm")), (pdf, "--pdf", (".pdf",))):
            if target is not None:
                name_ending(target, option, *endings)
                check_target(target)
        import consist
        from consist.checking.overview import overview
        from consist.intake import pieces_at_hand
        from consist.report.terminal.progress import shown_progress, shown_waiting
        from consist.report.whole_report import WholeReport

        loaded, show = told_in(consist.load(session), units)
        pieces = pieces_at_hand(session if session.is_dir() else session.parent)
        with shown_progress("Working out") as progress:
            gathered = overview(loaded, pieces, progress)
        whole = WholeReport(gathered, show)
        written: dict[Path, bytes | str] = {}
        with shown_waiting("Drawing"):
            if output is not None:
                written[output] = whole.as_html()
            if pdf is not None:
                written[pdf] = whole.as_pdf(paper.value)
        for path, content in written.items():
            write_whole(path, content)
            printed(f"Written: {clean(str(path))}\n")
        raise typer.Exit(EXIT_HOLD if gathered.check.on_hold else 0)


def picture(
    session: SessionArgument,
    output: Annotated[Path, option("The .svg, .png or .pdf file to write.", metavar="FILE")],
    train: Annotated[
        str | None, option("The train; every chart but that of the engines asks for it.", metavar="NAME")
    ] = None,
    chart: Annotated[
        ChartChoice,
        typer.Option(
            help="What to draw: the train to scale, the same in the order suggested (then), the route in plan or in "
            "profile, side use by place in the train and place on the route, the drawbar along the train at the "
            "worst moment, or the engines through the evening."
        ),
    ] = ChartChoice.side_use,
    units: UnitsOption = None,
) -> None:
    """Write one picture of a train, or of the evening's engines.

    Exits with 0, or with 2 where the session cannot be used, there is nothing to draw, or the file cannot be written.
    """
    with answering():
        from consist.intake import check_target, write_whole
        from consist.report.words import clean

        ending = name_ending(output, "--output", ".svg", ".png", ".pdf")
        check_target(output)
        if train is None and chart is not ChartChoice.engines:
            text = "found none; name the train to draw, such as --train 'Local 5', or ask for --chart engines"
            raise refuse("--train", text)
        import consist

        loaded, show = told_in(consist.load(session), units)
        if train is not None:
            known_train(loaded, train)
        if chart is ChartChoice.engines:
            train = None
        drawn = _drawn(loaded, train, chart, show)
        from consist.report.charts import headed, pdf_file, png_file, svg_file

        writers = {".svg": svg_file, ".png": png_file, ".pdf": pdf_file}
        write_whole(output, writers[ending](headed(drawn, train or loaded.title)))
        printed(f"Written: {clean(str(output))}\n")


def _drawn(session: Session, train: str | None, chart: ChartChoice, units: Units) -> Chart:
    from consist.report.terminal.progress import shown_waiting

    if chart is ChartChoice.engines:
        from consist.power import plan_power
        from consist.report.charts import engines_chart

        if not session.trains or not session.engines:
            raise refuse("--chart", "the session has no train, or no engine, to draw")
        with shown_waiting("Planning the engines"):
            return engines_chart(plan_power(session), session)
    from consist.checking.overview import train_overview
    from consist.report.charts import kinds_of, train_chart

    wanted = next(one for one in session.trains if one.name == train)
    with shown_waiting("Working out"):
        seen = train_overview(session, wanted)
    kinds = kinds_of(seen)
    if chart.value not in kinds:
        raise refuse("--chart", f"there is nothing of the kind to draw of this train; choose from {', '.join(kinds)}")
    return train_chart(chart.value, seen, session, units)
