"""The commands of a session: its check, better orders, engines for all trains, guests at the door."""

from __future__ import annotations

import sys
from math import isfinite
from pathlib import Path
from typing import Annotated

import typer

from consist.cli.answering import EXIT_FAULT, may_write, opened, printed, printed_json, printed_pages
from consist.cli.completion import scales, standards, trains
from consist.cli.next_command import after_check, after_order, after_power, tell_next
from consist.cli.options import (
    SHEET,
    SHOWN,
    JsonKeysOption,
    JsonOption,
    NoRangesOption,
    PaperName,
    SessionArgument,
    UnitsOption,
    flag,
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

__all__ = ["check", "order", "power", "screen", "trailing"]


def _finite(seconds: float) -> float:
    if not isfinite(seconds):
        raise typer.BadParameter("type a number of seconds, such as 10")
    return seconds


def check(
    session: SessionArgument,
    train: Annotated[str | None, option("NAME", "Check only the train of this name.", autocompletion=trains)] = None,
    without: WithoutOption = None,
    add: AddOption = None,
    cars: CarsOption = None,
    engines: EnginesOption = None,
    weigh: WeighOption = None,
    scale: Annotated[
        str | None, option("SCALE", "The scale, such as HO.", autocompletion=scales, rich_help_panel=SHEET)
    ] = None,
    curve: Annotated[
        str | None, option("RADIUS", "The sharpest curve that they run over, such as 24in.", rich_help_panel=SHEET)
    ] = None,
    grade: Annotated[
        float | None, option("PERCENT", "The grade that the curve is on.", rich_help_panel=SHEET)
    ] = None,
    turn: Annotated[
        float | None, option("DEGREES", "How far the curve turns; 180 otherwise.", rich_help_panel=SHEET)
    ] = None,
    pull: Annotated[
        str | None,
        option(
            "WEIGHTS", "What each engine pulls, such as '4oz,4oz'; otherwise what is needed.", rich_help_panel=SHEET
        ),
    ] = None,
    standard: Annotated[
        str | None,
        option("NAME", "The weight standard.", autocompletion=standards, rich_help_panel=SHEET),
    ] = None,
    maps: Annotated[
        list[str] | None,
        option("COLUMN=HEADING", "Take a column from that heading of the table.", "--map", rich_help_panel=SHEET),
    ] = None,
    units: UnitsOption = None,
    json: JsonOption = False,
    json_keys: JsonKeysOption = False,
    no_pages: Annotated[
        bool,
        flag("--no-pages", "Print the session's page alone, without one for each train.", rich_help_panel=SHOWN),
    ] = False,
    no_ranges: NoRangesOption = False,
) -> None:
    """Check trains: side pull, power, weights and order.

    \b
    consist check sample_sessions/sunday_shelf
    consist check sample_sessions/visiting_cars.csv \\
      --scale HO --curve 24in --grade 2

    Of a session's folder every train. Of a table of cars, one a row in standing order, head end first, the train that
    they make, over the hardest place of a railroad that needs no other description.

    Exits with 0 where every train checked may go, with care or without; 1 where one is on hold; 2 where the
    session cannot be used.
    """
    import consist
    from consist.report.sheets.session import check_sheets, checked
    from consist.report.terminal.drawings import routes_in_text
    from consist.report.terminal.progress import shown_progress

    places = {"--scale": scale, "--curve": curve, "--grade": grade, "--turn": turn, "--pull": pull}
    given, show = opened(session, None if json else units, {**places, "--standard": standard, "--map": maps})
    loaded, before = what_if(given, train, without, add, cars, engines, weigh)
    one = train is not None or session.is_file()
    with shown_progress() as progress:
        # a what-if compares two figures, which all that is not known moves alike
        result = consist.check(loaded, train, progress, ranges=not no_ranges and before is None)
    if json:
        tasks = consist.list_tasks(loaded, result).tasks
        printed_json("check", result, tasks=tasks, before=before)
    else:
        told_before(before, loaded, show, result)
        sheets = check_sheets(checked(loaded, result), show, train_pages=not no_pages, only_one=one)
        printed_pages(loaded.title, *sheets, text_of=routes_in_text(loaded, result, show))
        if before is None and session.is_dir():
            after_check(session, result, whole=train is None)
    raise typer.Exit(EXIT_FAULT if result.on_hold else 0)


def order(
    session: SessionArgument,
    train: Annotated[
        str | None,
        option(
            "NAME",
            "Plan only the train of this name; otherwise every train on hold or care is planned.",
            autocompletion=trains,
        ),
    ] = None,
    free_blocks: Annotated[
        bool, flag("--free-blocks", "Let whole blocks change places, not only cars within a block.")
    ] = False,
    seconds: Annotated[
        float, typer.Option(help="About how long to search, for each train.", metavar="N", min=0.1, callback=_finite)
    ] = 10.0,
    seed: Annotated[int, typer.Option(help="The same seed finds the same order again.", metavar="N", min=0)] = 1,
    write: Annotated[
        Path | None,
        written("Write the trains table with the new order to this .csv or .xlsx file; all else in it is kept."),
    ] = None,
    without: WithoutOption = None,
    add: AddOption = None,
    cars: CarsOption = None,
    engines: EnginesOption = None,
    weigh: WeighOption = None,
    units: UnitsOption = None,
    json: JsonOption = False,
    json_keys: JsonKeysOption = False,
) -> None:
    """Find which cars to move, in the fewest moves, for a train to go.

    \b
    consist order sample_sessions/sunday_shelf
    consist order sample_sessions/sunday_shelf --train 'Quarry Mixed 3'

    Shows what each further move gains and the best order found. Ctrl-C ends a train's search with the best found
    so far. Exits with 0; 1 where the best order of a train planned still leaves it on hold by its side pull; 2 where
    the session cannot be used.
    """
    import consist
    from consist.intake import check_output, check_table_name, trains_table, write_reordered
    from consist.report.sheets.moves import order_sheets, written_words
    from consist.report.terminal import plain_lines, this_terminal
    from consist.report.terminal.progress import shown_progress
    from consist.report.words import clean

    if write is not None:
        check_table_name(write)
        check_output(write, session, but="trains")
        as_read = trains_table(session)
    given, show = opened(session, None if json else units)
    loaded, before = what_if(given, train, without, add, cars, engines, weigh)
    if before is not None and write is not None:
        raise refuse("--write", "found it beside a what-if, which changes no file; leave one of them out")
    with shown_progress("Planning") as progress:
        orders = consist.find_order(
            loaded, train, free_blocks=free_blocks, seconds=seconds, seed=seed, progress=progress
        )
    if json and orders.only_one:
        printed_json("order --train", orders.trains[0].plan, before=before)
    elif json:
        printed_json("order", {"trains": [one.plan for one in orders.trains]}, before=before)
    else:
        told_before(before, loaded, show)
        printed_pages(loaded.title, *order_sheets(loaded, orders, show))
    if write is not None:
        new_orders = {planned.plan.train: planned.choice.figures.order for planned in orders.to_make}
        write_reordered(session, new_orders, write, as_read)
        told = clean(written_words(orders, str(write)))
        if json:
            print(told, file=sys.stderr)
        else:
            printed("\n" + plain_lines(told, width=this_terminal().width))
    if not json and before is None:
        asked = {"--train": train, "--seconds": seconds, "--seed": seed}
        usual = {"--seconds": 10.0, "--seed": 1}
        again = [str(word) for name, value in asked.items() if value != usual.get(name) for word in (name, value)]
        after_order(session, orders, write, again + ["--free-blocks"] * free_blocks)
    raise typer.Exit(EXIT_FAULT if orders.on_hold else 0)


def power(
    session: SessionArgument,
    keep_given: Annotated[
        bool,
        flag("--keep-given", "Keep the engines that the session gives to trains; plan only the others."),
    ] = False,
    without: WithoutOption = None,
    add: AddOption = None,
    cars: CarsOption = None,
    engines: EnginesOption = None,
    weigh: WeighOption = None,
    units: UnitsOption = None,
    json: JsonOption = False,
    json_keys: JsonKeysOption = False,
) -> None:
    """Plan which engines go on which train all evening.

    \b
    consist power sample_sessions/club_night
    consist power sample_sessions/sunday_shelf --keep-given

    Uses as few engines as will do. Shows every engine along the fast clock and, for a train short of power, what
    would move it. Exits with 0; 1 where a train is left short of power; 2 where the session cannot be used.
    """
    import consist
    from consist.report.sheets.power import power_sheet
    from consist.report.terminal.drawings import engines_in_text
    from consist.report.terminal.progress import shown_waiting

    given, show = opened(session, None if json else units)
    loaded, before = what_if(given, None, without, add, cars, engines, weigh)
    with shown_waiting("Planning the engines"):
        plan = consist.plan_power(loaded, keep_given=keep_given)
    if json:
        printed_json("power", plan, before=before)
    else:
        told_before(before, loaded, show)
        printed_pages(loaded.title, power_sheet(loaded, plan, {}, show), text_of=engines_in_text(loaded, plan))
        if before is None:
            after_power(session, plan)
    raise typer.Exit(EXIT_FAULT if plan.short else 0)


def screen(
    session: SessionArgument,
    slips: Annotated[Path | None, written("Write a slip for each car to this .pdf file as well.")] = None,
    paper: Annotated[PaperName, on_paper("What the slips are printed on.")] = "a4",
    units: UnitsOption = None,
    json: JsonOption = False,
    json_keys: JsonKeysOption = False,
) -> None:
    """Look over guests' cars at the door, and say where they may ride.

    \b
    consist screen sample_sessions/club_night
    consist screen sample_sessions/club_night --slips slips.pdf

    Exits with 0, or with 2 where the session cannot be used or the slips cannot be written.
    """
    may_write(slips, "--slips", ".pdf", session)
    import consist
    from consist.intake import write_whole
    from consist.report.sheets.door import door_sheet
    from consist.report.terminal.progress import shown_progress

    loaded, show = opened(session, None if json and slips is None else units)
    with shown_progress("Screening") as progress:
        door = consist.screen_guests(loaded, progress)
    if slips is not None:
        from consist.report.slips import slips_pdf

        write_whole(slips, slips_pdf(door, show, paper))
    if json:
        printed_json("screen", door)
    else:
        printed_pages(door.session, door_sheet(door, show))
        if slips is None and door.cars:
            tell_next("screen", session, "--slips", "slips.pdf")


def trailing(
    session: SessionArgument,
    pdf: Annotated[Path | None, written("Write a card for the wall to this .pdf file as well.")] = None,
    paper: Annotated[PaperName, on_paper("What the card is printed on.")] = "a4",
    units: UnitsOption = None,
    json: JsonOption = False,
    json_keys: JsonKeysOption = False,
) -> None:
    """Tell how many cars may trail behind each car, on each route.

    \b
    consist trailing sample_sessions/sunday_shelf
    consist trailing sample_sessions/sunday_shelf --pdf card.pdf

    Counts cars of middling length and standard weight behind each car of the roster, empty and loaded, up to where
    it wants care and to where it would be pulled off.

    Exits with 0, or with 2 where the session cannot be used or the card cannot be written.
    """
    may_write(pdf, "--pdf", ".pdf", session)
    import consist
    from consist.report.sheets.trailing import trailing_sheet
    from consist.report.terminal.progress import shown_progress

    loaded, show = opened(session, None if json and pdf is None else units)
    with shown_progress("Working out") as progress:
        told = consist.plan_trailing(loaded, progress)
    card = trailing_sheet(loaded, told, show)
    if pdf is not None:
        from consist.intake import write_whole
        from consist.report.paper import card_pdf

        write_whole(pdf, card_pdf(card, paper))
    if json:
        printed_json("trailing", told)
    else:
        printed_pages(loaded.title, card)
        if pdf is None:
            tell_next("trailing", session, "--pdf", "card.pdf")
