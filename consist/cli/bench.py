"""The commands at the bench: what a car ought to weigh, a strip that tells it, and what to add to which car."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from consist.cli.answering import may_write, printed, printed_json, printed_pages
from consist.cli.completion import new_weights, scales, standards
from consist.cli.next_command import after_bench, tell_next
from consist.cli.options import (
    JsonKeysOption,
    JsonOption,
    PaperName,
    UnitsOption,
    argument,
    flag,
    on_paper,
    option,
    written,
)
from consist.errors import InputError, Problem, refuse
from consist.house import PUBLISHED

if TYPE_CHECKING:
    from consist.intake import Recorded

__all__ = ["bench", "strip", "target"]

ScaleOption = Annotated[str, option("SCALE", "The scale, such as HO or N.", autocompletion=scales)]
BY_DEFAULT = f"otherwise {PUBLISHED}, or one that has figures for the scale"
STANDARD_HELP = (
    f"The weight standard, by its name or as one of your own, such as 'base_oz = 1, per_in_oz = 0.5'; {BY_DEFAULT}."
)
StandardOption = Annotated[str | None, typer.Option(help=STANDARD_HELP, metavar="NAME", autocompletion=standards)]


def target(
    scale: ScaleOption,
    length: Annotated[
        str,
        option("LENGTH", "The car's length with its unit, as the standard counts it: 4in, 3 7/8 in or 102mm."),
    ],
    standard: StandardOption = None,
    kind: Annotated[
        str,
        option("KIND", "The kind of car, such as coach, for standards that part passenger cars from others."),
    ] = "",
    json: JsonOption = False,
    json_keys: JsonKeysOption = False,
) -> None:
    """Tell what a car of a given length ought to weigh.

    \b
    consist target --scale N --length 4in
    consist target --scale HO --length 102mm --standard nem-302

    And the band around it that is near enough.

    Exits with 0, or with 2 where the scale, the standard or the length cannot be used.
    """
    from consist.bench.lengths import parse_length
    from consist.bench.target import target as target_of
    from consist.report.words import target_text

    found = target_of(scale, standard, parse_length(length), kind)
    if json:
        printed_json("target", found)
    else:
        printed(target_text(found))
        by = () if standard is None else ("--standard", standard)
        tell_next("strip", "--scale", scale, *by, "--output", "strip.pdf")


def strip(
    scale: Annotated[list[str], option("SCALE", "The scale, such as HO; give it again for more.")],
    output: Annotated[Path, written("The .pdf file to write.")],
    standard: StandardOption = None,
    paper: Annotated[PaperName, on_paper("What it is printed on.")] = "a4",
    json: JsonOption = False,
    json_keys: JsonKeysOption = False,
) -> None:
    """Draw a strip to print: lay a car on it and read its target.

    \b
    consist strip --scale HO --output strip.pdf
    consist strip --scale N --scale HO --output strips.pdf --paper letter

    Exits with 0, or with 2 where the scale or the standard cannot be used or the file cannot be written.
    """
    from consist.intake import write_whole
    from consist.report.strip import strip_pdf, strips_for

    may_write(output, "--output", ".pdf")
    write_whole(output, strip_pdf(scale, standard, paper))
    strips = strips_for(scale, standard)
    if json:
        printed_json("strip", strips)
    else:
        printed(f"Written: {output}. Print it at 100 % and measure the bar on it first: it is 100 mm.\n")
        printed("".join(f"{note}\n" for note in dict.fromkeys(strip.note for strip in strips if strip.note)))


def bench(
    session: Annotated[Path, argument("SESSION", "The session's folder, or a table of cars.")],
    scale: Annotated[str | None, option("SCALE", "The scale of a table of cars.")] = None,
    standard: Annotated[str | None, option("NAME", f"The weight standard for a table of cars; {BY_DEFAULT}.")] = None,
    pieces: Annotated[
        Path | None,
        option(
            "FILE",
            "The table of pieces at hand; otherwise the pieces.csv beside the cars, else coins and stick-on "
            "quarter ounces.",
        ),
    ] = None,
    minutes: Annotated[float | None, option("N", "How long there is; needs --per-car.", min=0)] = None,
    per_car: Annotated[float | None, option("N", "How many minutes one car takes.", "--per-car", min=0.01)] = None,
    done: Annotated[
        list[str] | None,
        option(
            "CAR=WEIGHT",
            "Write a car's new weight into its table first, such as 'NQH 930=4.6oz'; may be given again.",
            autocompletion=new_weights,
        ),
    ] = None,
    sure: Annotated[
        bool, flag("--sure", "Write it though it is far from the old one, as a slip of the pen would be.")
    ] = False,
    units: UnitsOption = None,
    json: JsonOption = False,
    json_keys: JsonKeysOption = False,
) -> None:
    """List the cars to weight, most useful first, and with what.

    \b
    consist bench sample_sessions/club_night
    consist bench sample_sessions/club_night --minutes 20 --per-car 4

    Exits with 0, or with 2 where a file or an option cannot be used; every file is then as it was.
    """
    import consist
    from consist.bench.target import asked_rightly
    from consist.intake import pieces_at_hand, read_pieces
    from consist.report.sheets.bench import bench_sheet, recorded_words
    from consist.report.terminal import plain_lines
    from consist.report.terminal.progress import shown_progress
    from consist.wording import units_for

    if (minutes is None) != (per_car is None):
        given, missing = ("--minutes", "--per-car") if per_car is None else ("--per-car", "--minutes")
        raise refuse(given, f"found no {missing} beside it; give both, such as --minutes 20 --per-car 4")
    if sure and not done:
        raise refuse("--sure", "found no --done beside it; give both, such as --done 'NQH 930=4.6oz' --sure")
    if not session.exists():
        found = "found nothing of this name, expected a session's folder or a table of cars; mend it"
        raise refuse(str(session), found)
    asked_rightly(scale, standard, of_session=session.is_dir())
    folder = session if session.is_dir() else session.parent
    at_hand = pieces_at_hand(folder) if pieces is None else read_pieces(pieces)
    recorded = recorded_words(_record(session, done, sure)) if done else ()
    told = "".join(plain_lines(line, "Written:") for line in recorded)
    # at once: what is wrong with the rest of the session, told next, takes nothing of it back
    if json:
        print(told, end="", file=sys.stderr)
    elif told:
        printed(told + "\n")
    of = consist.load(session) if session.is_dir() else session
    with shown_progress("Working out") as progress:
        listed = consist.plan_bench(of, at_hand, minutes, per_car, scale=scale, standard=standard, progress=progress)
    if json:
        printed_json("bench", listed)
    else:
        by_standard = "in" if listed.standard == PUBLISHED else "mm"
        unit = of.layout.unit if isinstance(of, consist.Session) else by_standard
        show = units_for(unit, units)
        printed_pages("At the bench", bench_sheet(listed, {}, show, next_first=bool(told)))
        asked = {"--scale": scale, "--standard": standard, "--pieces": pieces}
        again = [str(word) for name, value in asked.items() if value is not None for word in (name, value)]
        after_bench(session, listed, show, again)


def _record(session: Path, done: list[str], sure: bool) -> Sequence[Recorded]:
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
    return record_weights(session, weights, sure)
