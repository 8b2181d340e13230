"""The commands at the bench and at the door. Nothing is computed here.

What is heavy is loaded inside the commands, so that `consist target` answers at once.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from consist.answering import (
    JsonKeysOption,
    JsonOption,
    PaperChoice,
    SessionArgument,
    UnitsOption,
    answering,
    argument,
    name_ending,
    option,
    printed,
    printed_json,
    printed_pages,
    refuse,
    told_in,
)
from consist.errors import InputError, Problem

if TYPE_CHECKING:
    from consist.bench import BenchList
    from consist.intake import PieceKind, Recorded

__all__ = ["add_to"]

DEFAULT_STANDARD = "nmra-rp-20.1"


ScaleOption = Annotated[str, option("The scale, such as HO or N.", metavar="SCALE")]
StandardOption = Annotated[str, typer.Option(help="The weight standard.", metavar="NAME")]


def add_to(app: typer.Typer) -> None:
    """Give the program these commands."""
    for command in (target, strip, bench, screen):
        app.command()(command)


def target(
    scale: ScaleOption,
    length: Annotated[
        str,
        option(
            "The car's length with its unit, as the standard counts it: 4in, 3 7/8 in or 102mm.", metavar="LENGTH"
        ),
    ],
    standard: StandardOption = DEFAULT_STANDARD,
    kind: Annotated[
        str,
        option("The kind of car, such as coach, for standards that part passenger cars from others.", metavar="KIND"),
    ] = "",
    json: JsonOption = False,
    json_keys: JsonKeysOption = False,
) -> None:
    """Tell what a car of a given length ought to weigh.

    And the band around it that is near enough.

    Exits with 0, or with 2 where the scale, the standard or the length cannot be used.
    """
    with answering():
        from consist.bench.lengths import parse_length
        from consist.bench.target import target as target_of
        from consist.report.words import target_text

        found = target_of(scale, standard, parse_length(length), kind)
        if json:
            printed_json("target", found)
        else:
            printed(target_text(found))


def strip(
    scale: Annotated[list[str], option("The scale, such as HO; give it again for more.", metavar="SCALE")],
    output: Annotated[Path, option("The .pdf file to write.", metavar="FILE")],
    standard: StandardOption = DEFAULT_STANDARD,
    paper: Annotated[PaperChoice, typer.Option(help="What it is printed on.")] = PaperChoice.a4,
    json: JsonOption = False,
    json_keys: JsonKeysOption = False,
) -> None:
    """Draw a strip to print: lay a car on it and read its target.

    Exits with 0, or with 2 where the scale or the standard cannot be used or the file cannot be written.
    """
    with answering():
        name_ending(output, "--output", ".pdf")
        from consist.intake import write_whole
        from consist.report.strip import strips_for
        from consist.report.strip_pdf import strip_pdf

        write_whole(output, strip_pdf(scale, standard, paper.value))
        if json:
            printed_json("strip", strips_for(scale, standard))
        else:
            printed(f"Written: {output}. Print it at 100 % and measure the bar on it first: it is 100 mm.\n")


def bench(
    session: Annotated[Path, argument("The session's folder, or a table of cars.", metavar="SESSION")],
    scale: Annotated[str | None, option("The scale of a table of cars.", metavar="SCALE")] = None,
    standard: Annotated[
        str | None, option(f"The weight standard for a table of cars; {DEFAULT_STANDARD} otherwise.", metavar="NAME")
    ] = None,
    pieces: Annotated[
        Path | None,
        option(
            "The table of pieces at hand; otherwise the pieces.csv beside the cars, else coins and stick-on "
            "quarter ounces.",
            metavar="FILE",
        ),
    ] = None,
    minutes: Annotated[float | None, option("How long there is; needs --per-car.", metavar="N", min=0)] = None,
    per_car: Annotated[
        float | None, option("How many minutes one car takes.", "--per-car", metavar="N", min=0.01)
    ] = None,
    done: Annotated[
        list[str] | None,
        option(
            "Write a car's new weight into its table first, such as 'NQH 930=4.6oz'; may be given again.",
            metavar="CAR=WEIGHT",
        ),
    ] = None,
    units: UnitsOption = None,
    json: JsonOption = False,
    json_keys: JsonKeysOption = False,
) -> None:
    """List the cars to weight, most useful first, and with what.

    Exits with 0, or with 2 where a file or an option cannot be used; every file is then as it was.
    """
    with answering():
        from consist.report.sheets.bench import bench_sheet, recorded_words
        from consist.report.sheets.parts import of_sheets
        from consist.report.terminal import plain_lines
        from consist.wording import units_for

        _time_given(minutes, per_car)
        _scale_given(session, scale, standard)
        at_hand = _pieces(session, pieces)
        told = (
            "".join(plain_lines(line, "Written:") for line in recorded_words(_record(session, done))) if done else ""
        )
        listed, unit = _listed(session, scale, standard, at_hand, (minutes, per_car))
        if json:
            print(told, end="", file=sys.stderr)
            printed_json("bench", listed)
        else:
            printed(told + "\n" if told else "")
            show = units_for(unit, units.value if units else None)
            printed_pages(of_sheets("At the bench", bench_sheet(listed, {}, show)))


def screen(
    session: SessionArgument,
    slips: Annotated[
        Path | None, option("Write a slip for each car to this .pdf file as well.", metavar="FILE")
    ] = None,
    paper: Annotated[PaperChoice, typer.Option(help="What the slips are printed on.")] = PaperChoice.a4,
    units: UnitsOption = None,
    json: JsonOption = False,
    json_keys: JsonKeysOption = False,
) -> None:
    """Look over guests' cars at the door, and say where they may ride.

    Exits with 0, or with 2 where the session cannot be used or the slips cannot be written.
    """
    with answering():
        if slips is not None:
            name_ending(slips, "--slips", ".pdf")
        import consist
        from consist.checking.doorkeeping import screen_guests
        from consist.intake import write_whole
        from consist.report.sheets.door import door_sheet
        from consist.report.sheets.parts import of_sheets
        from consist.report.terminal.progress import shown_progress

        loaded, show = told_in(consist.load(session), None if json and slips is None else units)
        with shown_progress("Screening") as progress:
            door = screen_guests(loaded, progress)
        if slips is not None:
            from consist.report.slips import slips_pdf

            write_whole(slips, slips_pdf(door, show, paper.value))
        if json:
            printed_json("screen", door)
        else:
            printed_pages(of_sheets(door.session, door_sheet(door, show)))


def _time_given(minutes: float | None, per_car: float | None) -> None:
    if (minutes is None) != (per_car is None):
        given, missing = ("--minutes", "--per-car") if per_car is None else ("--per-car", "--minutes")
        raise refuse(given, f"found no {missing} beside it; give both, such as --minutes 20 --per-car 4")


def _scale_given(session: Path, scale: str | None, standard: str | None) -> None:
    """A session has its own scale and standard; a table of cars has none."""
    if not session.exists():
        raise refuse(
            str(session), "found nothing of this name, expected a session's folder or a table of cars; mend it"
        )
    if session.is_dir():
        for option, given, key in (("--scale", scale, "the layout"), ("--standard", standard, "[house]")):
            if given is not None:
                raise refuse(
                    option, f"a session goes by what {key} says; leave the option out or name a table of cars"
                )
    elif scale is None:
        raise refuse("--scale", "found none for a table of cars; give it, such as --scale HO")


def _pieces(session: Path, pieces: Path | None) -> tuple[PieceKind, ...]:
    from consist.intake import pieces_at_hand, read_pieces

    return pieces_at_hand(session if session.is_dir() else session.parent) if pieces is None else read_pieces(pieces)


def _record(session: Path, done: list[str]) -> Sequence[Recorded]:
    from consist.bench.lengths import parse_done
    from consist.intake import record_weights

    problems: list[Problem] = []
    weights: dict[str, float] = {}
    for said in done:
        try:
            car, grams = parse_done(said)
            if car in weights:
                raise refuse("--done", f"found {car!r} twice; give each car once")
            weights[car] = grams
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(problems)
    return record_weights(session, weights)


def _listed(
    session: Path,
    scale: str | None,
    standard: str | None,
    pieces: tuple[PieceKind, ...],
    time: tuple[float | None, float | None],
) -> tuple[BenchList, str]:
    """The bench's list, and the unit it is shown in unless another is wanted."""
    from consist.checking.benching import bench as bench_of
    from consist.checking.benching import bench_table
    from consist.report.terminal.progress import shown_progress

    minutes, per_car = time
    if not session.is_dir():
        named = standard or DEFAULT_STANDARD
        return bench_table(
            session, scale or "", named, pieces, minutes, per_car
        ), "in" if named == DEFAULT_STANDARD else "mm"
    import consist

    loaded = consist.load(session)
    with shown_progress("Working out") as progress:
        return bench_of(loaded, pieces, minutes, per_car, progress), loaded.layout.unit
