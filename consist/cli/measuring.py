"""The command that measures: how to, and what the tries come to."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Annotated

import typer

from consist.cli.answering import opened, printed, printed_json
from consist.cli.completion import cars, engines
from consist.cli.next_command import tell_next
from consist.cli.options import JsonKeysOption, JsonOption, SessionArgument, UnitsOption, flag, option
from consist.errors import refuse

if TYPE_CHECKING:
    from consist.bench.measuring import Figure, Measured
    from consist.session import Session
    from consist.wording import Units

__all__ = ["measure"]

ROLLS, PULLS, LONG = "How a car rolls", "What an engine pulls", "How long a car is"


def measure(
    session: SessionArgument,
    car: Annotated[str | None, option("CAR", "The car measured.", autocompletion=cars)] = None,
    engine: Annotated[str | None, option("ENGINE", "The engine measured.", autocompletion=engines)] = None,
    board: Annotated[
        str | None, option("LENGTH", "How long the board is, such as 48in.", rich_help_panel=ROLLS)
    ] = None,
    lifted: Annotated[
        str | None,
        option(
            "LENGTHS", "How high its end was when the car just kept rolling: '0.9in, 1.0in'.", rich_help_panel=ROLLS
        ),
    ] = None,
    pulled: Annotated[
        str | None,
        option("WEIGHTS", "What a scale showed just before it slipped: '2.1oz, 2.2oz'.", rich_help_panel=PULLS),
    ] = None,
    moved: Annotated[
        str | None, option("WEIGHT", "The heaviest cars that it moved up a grade.", rich_help_panel=PULLS)
    ] = None,
    slipped: Annotated[
        str | None, option("WEIGHT", "The lightest cars under which it slipped there.", rich_help_panel=PULLS)
    ] = None,
    grade: Annotated[
        float | None, typer.Option(help="That grade, in per cent.", show_default=False, rich_help_panel=PULLS)
    ] = None,
    rolls_at: Annotated[
        float | None,
        typer.Option(
            help="The grade on which those cars just keep rolling, in per cent, where it was measured.",
            show_default=False,
            rich_help_panel=PULLS,
        ),
    ] = None,
    length: Annotated[
        str | None,
        option("LENGTHS", "Over the couplers, drawn out: '26 1/8in, 26.1in'.", rich_help_panel=LONG),
    ] = None,
    coupled: Annotated[
        int, typer.Option(help="How many cars alike were coupled.", min=1, max=100, rich_help_panel=LONG)
    ] = 1,
    write: Annotated[bool, flag("--write", "Write the figure into the table, its old form kept beside it.")] = False,
    sure: Annotated[bool, flag("--sure", "Write it though it is far from the one in the table.")] = False,
    units: UnitsOption = None,
    json: JsonOption = False,
    json_keys: JsonKeysOption = False,
) -> None:
    """Measure how a car rolls, what an engine pulls, how long a car is.

    \b
    consist measure sample_sessions/sunday_shelf --car 'PQF 201' \\
      --board 900mm --lifted '13mm, 14mm, 14mm'
    consist measure sample_sessions/sunday_shelf --engine 21

    Without figures it tells how to measure. Several tries, with commas between, are averaged, and the range that
    holds ninety per cent is told.

    Exits with 0, or with 2 where something cannot be used or written.
    """
    import consist
    from consist.bench.lengths import parse_length, parse_weight
    from consist.bench.measuring import grades_of_lifts, pull_of_slipping, tries_of

    if (car is None) == (engine is None):
        raise refuse("consist measure", "found not one of --car and --engine; name one car or one engine")
    of, show = opened(session, units)
    name = car or engine or ""
    given = {"--lifted": lifted, "--pulled": pulled, "--moved": moved, "--length": length}
    asked = [name for name, text in given.items() if text is not None]
    if not asked:
        if json or write:
            raise refuse(
                "--json" if json else "--write", "found no figure beside it; without it the way to measure is told"
            )
        _tell_how(of, name, car is not None, show)
        return
    if len(asked) > 1:
        raise refuse(asked[1], f"found it beside {asked[0]}; measure one thing at a time")
    needs_car = asked[0] in ("--lifted", "--length")
    if needs_car != (car is not None):
        raise refuse(asked[0], f"found it for {'an engine' if needs_car else 'a car'}; name {_needed(needs_car)}")
    figure: Figure
    bracket = None
    if lifted is not None:
        if board is None:
            raise refuse("--board", "found none beside --lifted; say how long the board is, such as --board 48in")
        board_mm, (lifts, step) = parse_length(board, "--board"), tries_of(lifted, "--lifted", "length")
        figure, tries, step = "rolling", grades_of_lifts(board_mm, lifts), 100.0 * step / board_mm
    elif pulled is not None:
        figure, (tries_g, step) = "pull", tries_of(pulled, "--pulled", "weight")
        tries = [*tries_g]
    elif length is not None:
        figure, (lengths, step) = "length", tries_of(length, "--length", "length")
        tries, step = [each / coupled for each in lengths], step / coupled
    else:
        if slipped is None or grade is None:
            raise refuse("--moved", "found it alone; give --slipped WEIGHT and --grade PERCENT beside it")
        if not 0.0 <= grade <= 15.0:
            raise refuse("--grade", f"found {grade:g}, expected per cent from 0 to 15; correct it")
        low_g, high_g = parse_weight(moved or "", "--moved"), parse_weight(slipped, "--slipped")
        if low_g >= high_g:
            raise refuse("--slipped", "found no more than it moved; give the lightest cars under which it slipped")
        if rolls_at is not None and not 0.001 <= rolls_at <= 15.0:
            raise refuse("--rolls-at", f"found {rolls_at:g}, expected per cent from 0.001 to 15; correct it")
        middle_g, bracket = pull_of_slipping(of, name, low_g, high_g, grade, rolls_at)
        figure, tries, step = "pull", [middle_g], 0.0
    told = consist.measure(of, figure, name, tries, step, bracket=bracket, write=write, sure=sure)
    if json:
        printed_json("measure", told)
        return
    printed(_page(told, show))
    if told.recorded is None:
        printed("Nothing is written; --write puts it into the table.\n")
    else:
        (change,) = told.recorded.changes
        old = f" instead of {change.old}" if change.old else ""
        printed(f"Written: {change.column} {change.new} of {change.car}{old}, in {told.recorded.file.name}.\n")
        tell_next("check", session)


def _needed(car: bool) -> str:
    return "the car by --car" if car else "the engine by --engine"


def _page(told: Measured, units: Units) -> str:
    """Each try, what they come to and how surely, and what was taken until now."""
    from consist.report.words import clean, counted, in_words

    shown = partial(_shown, told.figure, units)
    what = {
        "rolling": "just keeps rolling on a grade of",
        "pull": "pulls on the level",
        "length": "measures over its couplers",
    }[told.figure]
    sure = f"ninety per cent sure that it is {shown(told.low)} to {shown(told.high)}"
    lines = [f"{told.name} {what} {shown(told.value)}, {sure}."]
    if len(told.tries) > 1:
        lines.append(f"{counted(len(told.tries), 'try', 'tries')}: {', '.join(map(shown, told.tries))}.")
    elif told.figure != "pull":
        lines.append("One try alone tells how finely it was read, and not how it varies: three or four tell more.")
    if told.far_out:
        numbers = in_words([str(number) for number in told.far_out])
        lines.append(f"Far from the others: try {numbers}; measure again, and leave it out if it was a slip.")
    by = "assumed by rule" if told.assumed else "in the table"
    lines.append(f"Until now it was {shown(told.before)}, {by}.")
    return "".join(f"{clean(line)}\n" for line in lines)


def _shown(figure: Figure, units: Units, value: float) -> str:
    if figure == "rolling":
        return f"{value:.2f} %"
    return units.length(value) if figure == "length" else units.weight(value)


def _tell_how(of: Session, name: str, is_car: bool, units: Units) -> None:
    """How to measure it with what there is at home, and what is taken of it now."""
    from consist.bench.measuring import taken
    from consist.report.words import clean

    figures: list[Figure] = ["rolling", "length"] if is_car else ["pull"]
    for figure in figures:
        now = taken(of, figure, name)
        how = "assumed by rule" if now.assumed else "from its table"
        printed(HOW[figure].format(name=clean(now.stock.name), now=_shown(figure, units, now.value), how=how))


HOW = {
    "rolling": """How {name} rolls (now {now}, {how}):
1. Put it, as it runs, on straight track on a board of some 4 ft. Clamp the track so that nothing slides off.
2. Lift one end slowly, tapping the board lightly, till the car keeps rolling once it has been started with a touch.
   What it takes to start it is more, and is not asked for.
3. Read how high the end is over where it lay level. Turn the car about and do it again: four tries are good.
   consist measure SESSION --car CAR --board 48in --lifted '0.9in, 1.0in, 0.95in, 1.0in'

""",
    "length": """How long {name} is (now {now}, {how}):
1. Couple four or more cars alike on straight track and draw them out till no coupler has play.
2. Measure from the pulling face of the first coupler to that of the last.
   consist measure SESSION --car CAR --length 26.1in --coupled 4

""",
    "pull": """What {name} pulls on the level (now {now}, {how}). Either way keep fingers and hair out of its gears:
With a scale: tie it to a spring scale, or by a thread over the board's edge to a weight that stands on a kitchen
scale, and turn up the throttle till its wheels slip. Read what the scale shows, or what the weight became less.
   consist measure SESSION --engine ENGINE --pulled '2.1oz, 2.2oz, 2.1oz'
With cars: on a grade that you know add cars till it slips; weigh those that it moved, and those with one more.
   consist measure SESSION --engine ENGINE --moved 14oz --slipped 16oz --grade 2
Its wheels wear where they slip: half a second is enough.

""",
}
