"""The commands of a layout: what it is, what engines take over it, and a new one to fill in."""

from __future__ import annotations

import datetime
import shlex
import sys
from pathlib import Path
from typing import Annotated, Literal

import typer

from consist.cli.answering import may_write, printed, printed_json, printed_pages
from consist.cli.options import (
    JsonKeysOption,
    JsonOption,
    LayoutArgument,
    PaperName,
    UnitsOption,
    argument,
    on_paper,
    option,
    written,
)

__all__ = ["layout", "new", "rating"]


def rating(
    layout: LayoutArgument,
    engines: Annotated[Path, argument("ENGINES", "The table of engines.")],
    standard: Annotated[
        str | None,
        option(
            "NAME",
            "The weight standard that cars are counted by, by its name or as one of your own, such as 'base_oz = 1, "
            "per_in_oz = 0.5'; otherwise nmra-rp-20.1, or one that has figures for the scale.",
        ),
    ] = None,
    csv: Annotated[Path | None, written("Write the ratings to this .csv file too.", "--csv")] = None,
    pdf: Annotated[Path | None, written("Write a card for the wall to this .pdf file too.")] = None,
    paper: Annotated[PaperName, on_paper("What the card is printed on.")] = "a4",
    date: Annotated[str | None, option("DATE", "The date on the card; today's otherwise.")] = None,
    units: UnitsOption = None,
    json: JsonOption = False,
    json_keys: JsonKeysOption = False,
) -> None:
    """Rate each line: the weight and cars that engines take over it.

    \b
    consist rating layouts/puddlefold.toml \\
      sample_sessions/sunday_shelf/engines.csv
    consist rating layouts/nettlefoot_hill.toml \\
      sample_sessions/club_night/engines.csv --csv ratings.csv

    Tells it for 1, 2 and 3 engines of each class, by the hardest piece of the line.

    Exits with 0, or with 2 where a file cannot be used or written.
    """
    import consist
    from consist.intake import write_whole
    from consist.report.sheets.rating import rating_sheet, ratings_as_csv
    from consist.report.words import clean
    from consist.wording import units_for

    for path, name, ending in ((csv, "--csv", ".csv"), (pdf, "--pdf", ".pdf")):
        may_write(path, name, ending, layout, engines, engines.parent)
    rated = consist.rate_lines(layout, engines, standard)
    show = units_for(rated.layout.unit, units)
    if csv is not None:
        write_whole(csv, ratings_as_csv(rated, show))
    if pdf is not None:
        from consist.report.paper import card_pdf

        write_whole(pdf, card_pdf(rating_sheet(rated, show, date or f"{datetime.date.today():%Y-%m-%d}"), paper))
    if json:
        printed_json("rating", rated)
    else:
        printed_pages(rated.layout.name, rating_sheet(rated, show))
    for path in filter(None, (csv, pdf)):
        told = f"Written to {clean(str(path))}.\n"
        print(told, end="", file=sys.stderr) if json else printed(f"\n{told}")


def layout(
    layout: LayoutArgument,
    output: Annotated[
        Path | None, written("Draw it, in plan and each line in profile, to this .svg, .pdf or .png file too.")
    ] = None,
    units: UnitsOption = None,
    json: JsonOption = False,
    json_keys: JsonKeysOption = False,
) -> None:
    """Show a layout: lines, grades, curves, places and rough joints.

    \b
    consist layout layouts/puddlefold.toml
    consist layout layouts/nettlefoot_hill.toml --output plan.pdf

    Exits with 0, or with 2 where the file cannot be used.
    """
    from consist.intake import check_output, read_layout, write_whole
    from consist.report.files import name_ending
    from consist.report.sheets.layout import layout_figures, layout_sheet
    from consist.report.terminal.drawings import lines_in_text
    from consist.report.words import clean
    from consist.wording import units_for

    if output is not None:
        ending = name_ending(output, "--output", ".svg", ".png", ".pdf")
        check_output(output, layout)
    built = read_layout(layout)
    show = units_for(built.unit, units)
    if output is not None:
        from consist.report.charts import layout_chart, picture_file

        write_whole(output, picture_file(layout_chart(built, show), built.name, ending))
    if json:
        printed_json("layout", layout_figures(built))
    else:
        printed_pages(built.name, layout_sheet(built, show), text_of=lines_in_text(built, show))
    if output is not None:
        told = f"Written to {clean(str(output))}.\n"
        print(told, end="", file=sys.stderr) if json else printed(f"\n{told}")


def new(
    folder: Annotated[Path, argument("FOLDER", "The folder to make.")],
    scale: Annotated[str, typer.Option(help="The scale it is for, such as HO or N.", metavar="SCALE")] = "HO",
    units: Annotated[Literal["in", "mm"], typer.Option(help="Inches and ounces, or millimetres and grams.")] = "mm",
    standard: Annotated[
        str | None, option("NAME", "The weight standard; the one that has figures for the scale otherwise.")
    ] = None,
    train: Annotated[str, typer.Option(help="What its train is called.", metavar="NAME")] = "Sample freight",
) -> None:
    """Write a session and a layout to fill in, each column explained.

    \b
    consist new my_session
    consist new my_session --scale N --units in --train "Milk 5"

    In a terminal it asks for all four where none of them is given.

    Exits with 0, or with 2 where the files cannot be written; nothing is written then.
    """
    from consist.intake import new_session
    from consist.scales import scale_named
    from consist.stock import weight_standard

    if (scale, units, standard, train) == ("HO", "mm", None, "Sample freight") and sys.stdin.isatty():
        scale, units, standard, train = _asked(scale, train)
    written = new_session(folder, scale, units, standard, train)
    lines = ["Written:", *(f"  {path}" for path in written)]
    if note := weight_standard(None, scale_named(scale)).note:
        lines.append(note)
    lines.append("Put your own track, cars, engines and trains into these files, then run")
    lines.append(f"  consist check {shlex.quote(str(folder))}")
    printed("\n".join(lines) + "\n")


def _asked(scale: str, train: str) -> tuple[str, Literal["in", "mm"], str | None, str]:
    """What a new session is for, each with what Enter takes."""
    from consist.scales import scale_named
    from consist.stock import weight_standard

    scale = typer.prompt("Scale", default=scale)
    usual = weight_standard(None, scale_named(scale)).name
    inches = typer.prompt("Units, in or mm", default="mm").strip().lower().startswith("i")
    standard = typer.prompt("Weight standard", default=usual)
    return scale, "in" if inches else "mm", standard, typer.prompt("Name of a train", default=train)
