"""The power sheet: engines for every train, trains left short, and what is behind the plan."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from string import ascii_lowercase, ascii_uppercase

from consist.power import Combo, PowerPlan, TrainPower, Turn
from consist.report.document import Block, Cell, Column, Item, Para, Picture, Row, Sheet, Table
from consist.report.sheets.cells import figure, table, words
from consist.report.sheets.parts import items, legend, notes, section, sheet
from consist.report.words import NO_TRAIN, counted, in_words, leading_words, lettered, named, unbroken
from consist.session import Session, Train
from consist.wording import NONE, Units, at, clock, percent

__all__ = [
    "HOUR", "HOURS_APART", "NO_OPTION", "has_words", "letters", "power_order", "power_sheet", "swap_words",
    "whole_hours",
]  # fmt: skip

HOUR = 60
HOURS_APART = (1, 2, 3, 4, 6, 12, 24)
"""How far apart hours may be told along a clock."""
SHORT = "SHORT"
NO_OPTION = "Nothing that was looked at mends it."
HOW_TO_MEASURE = (
    "Set the engine on level, clean track and tie a thread to its coupler. Lead the thread level to a pulley that "
    "turns freely at the end of the track, and down to a weight that stands on a scale and is heavier than the pull. "
    "Open the throttle until the drivers slip, and note by how much the scale shows less than before: that is the "
    "pull. Do it three times and enter the middle reading in engines.csv, as pull_g in grams or pull_oz in ounces."
)
LEGEND = (
    "Use is the greatest part of what the engines can pull, or hold back down grade, that the train asks for; the "
    "house's reserve is kept back."
)
LETTERS = ascii_uppercase + ascii_lowercase
MOST_COMBOS = 6
"""As many combinations are told for one train; the JSON has them all."""


def power_sheet(session: Session, plan: PowerPlan, anchors: Mapping[str, str], units: Units) -> Sheet:
    """The sheet; `anchors` are those of the trains' sheets, by train. Without a train it only says so."""
    title, in_short = f"Engines for {plan.session}", section("", Para(_in_short(session, plan)))
    if not plan.trains:
        return sheet("power", title, in_short, section("", Para(NO_TRAIN)))
    would_do = (
        Item(_needs_words(session.train(one.train), one, units), label=one.train) for one in power_order(plan)
    )
    turns = Picture("engines", None, "Every engine by the fast clock, with the trains it runs in")
    how = Para(HOW_TO_MEASURE, label="To measure") if plan.worth_measuring else None
    return sheet(
        "power",
        title,
        in_short,
        section("Engines for every train", _planned(plan, anchors), legend(LEGEND)),
        section("Short of power", *_short(plan)),
        section("Every engine through the evening", turns),
        section("What would do", items(would_do)),
        section("As given in the session and as planned", *_given(plan)),
        section("Worth measuring", Para(_measuring_words(session, plan)), how),
        notes((*plan.notes, *session.notes)),
    )


def _planned(plan: PowerPlan, anchors: Mapping[str, str]) -> Table:
    keys = letters(plan)
    return table(
        "Engines planned for every train",
        power_order(plan),
        words("in the picture", lambda one: keys[one.train], lesser=True, narrow=""),
        (Column("departs", figures=True), lambda one: Cell(clock(one.depart))),
        (Column("arrives", figures=True, lesser=True), lambda one: Cell(clock(one.arrive))),
        words("train", lambda one: one.train, wide=True, strong=True, links=anchors),
        words("from", lambda one: one.start, lesser=True),
        words("to", lambda one: one.finish, lesser=True),
        (Column("engines", whole=True), _engines),
        (Column("use", figures=True), lambda one: _use(one.use, one.assigned)),
        row=lambda one, cells: Row(cells, marked=one.short),
    )


def _engines(train: TrainPower) -> Cell:
    told = _engines_words(train.assigned)
    if train.short:
        return Cell(f"{SHORT}: {told}" if told else SHORT, level="hold", strong=True)
    return Cell(told or NONE)


def _use(use: float | None, engines: Sequence[str]) -> Cell:
    return figure(percent(use), use) if engines else Cell(NONE)


def _short(plan: PowerPlan) -> Iterator[Block | None]:
    """A paragraph a train that is short, then what would mend it, cheapest first."""
    for train in power_order(plan):
        if train.short:
            told = f"{has_words(train)} It takes {_combos_words(train.combos)}."
            yield Para(told, label=f"{SHORT} {train.train}", level="hold")
            options = (Item(option.say) for option in train.options)
            yield items(options, numbered=len(train.options) > 1) or Para(NO_OPTION)


def _given(plan: PowerPlan) -> tuple[Block, ...]:
    """The trains whose engines are not those that the session gives, and how many run in all."""
    given = {engine for train in plan.trains for engine in train.given}
    if not given:
        return (Para(f"The session gives no engine to any train; the plan runs {plan.engines_used}."),)
    differ = [train for train in power_order(plan) if set(train.given) != set(train.assigned)]
    if not differ:
        return (Para("The session gives every train the engines planned here."),)
    told = f"The session gives {counted(len(given), 'engine')} in all, the plan {plan.engines_used}."
    if any(train.given_use is not None and train.given_use > 1.0 for train in differ):
        told += " A use over 100 % is too little power."
    same = sum(bool(train.given) and train not in differ for train in plan.trains)
    if same:
        told += f" {counted(same, 'other train')} {'has' if same == 1 else 'have'} the same engines in both."
    both = table(
        "Engines given and engines planned, where they differ",
        differ,
        words("train", lambda one: one.train, wide=True, strong=True),
        words("given", lambda one: _engines_words(one.given) or "none", whole=True),
        (Column("use", figures=True), lambda one: _use(one.given_use, one.given)),
        words("planned", lambda one: _engines_words(one.assigned) or (SHORT if one.short else "none"), whole=True),
        (Column("use", figures=True), lambda one: _use(one.use, one.assigned)),
    )
    return both, Para(told)


def _in_short(session: Session, plan: PowerPlan) -> str:
    run = f"{plan.engines_used} of {counted(len(session.engines), 'engine')} run"
    assigned = f"{plan.engines_assigned} assigned, an engine counting once for each of its trains"
    said = f"Layout {plan.layout}. {counted(len(plan.trains), 'train')}: {run}; {assigned}."
    short = in_words(plan.short)
    said += f" SHORT of power: {short}." if short else " Every train has power."
    kept = " that keeps the engines given" if plan.keeps_given else ""
    if plan.proven:
        less = "leaves fewer of them short, or as many with fewer engines" if short else "does with fewer engines"
        return f"{said} Proven: no plan of the trains with times{kept} {less}."
    less = "fewer trains short, or as many with fewer engines," if short else "fewer engines"
    return f"{said} Not proven: a plan{kept} with {less} may exist."


def _needs_words(train: Train, power: TrainPower, units: Units) -> str:
    """The combinations that would do, and where the engines the train has are nearest to their limit."""
    said, tightest = f"{_combos_words(power.combos)}.", power.tightest
    if power.assigned and not power.combos:
        said = f"{in_words(power.assigned)}, as planned."
    if not power.assigned or tightest is None:
        return said
    head = leading_words(train, tightest.head_mm, units)
    return f"{said} Tightest {at(tightest.place)}{'' if ' end at ' in head else f', {head}'}."


def has_words(train: TrainPower) -> str:
    """The engines that a train left short has, or that stand at its first place."""
    engines = train.assigned or train.at_hand
    if not engines:
        return f"No engine at {train.start} is free for it."
    are, have, they = ("is", "has", "it") if len(engines) == 1 else ("are", "have", "they")
    told = f"{'It has' if train.assigned else f'At {train.start} there {are}'} only {in_words(engines)}"
    if train.use is None:
        return f"{told}, which {have} nothing left to pull or hold with at the hardest place."
    where = "" if train.tightest is None else f" {at(train.tightest.place)}"
    return f"{told}, asked for {percent(train.use)} of what {they} can pull or hold back{where}."


def swap_words(power: TrainPower) -> str:
    """Which engines of the plan to put on a train in place of those given; empty where they are the same.

    >>> swap_words(TrainPower("T", "Low", "High", 0, 9, (), ("41", "42"), 0.5, None, False, given=("43",)))
    'Put 41 and 42 on it at Low in place of 43; they use 50 % of what they can pull or hold back.'
    """
    given, planned = set(power.given), set(power.assigned)
    if not planned or given == planned:
        return ""
    it, uses = ("it", "uses") if len(planned) == 1 else ("they", "use")
    ending = "." if power.use is None else f"; {it} {uses} {percent(power.use)} of what {it} can pull or hold back."
    if planned < given:
        spare = named(engine for engine in power.given if engine not in planned)
        return f"Leave {spare} off it and run it with {named(power.assigned)} alone{ending}"
    added = given < planned
    put = named(engine for engine in power.assigned if not added or engine not in given)
    others = f" {'beside' if added else 'in place of'} {named(power.given)}" if given else ""
    return f"Put {put} on it at {unbroken(power.start)}{others}{ending}"


def _measuring_words(session: Session, plan: PowerPlan) -> str:
    """Of the trains that the plan moves, with the engines that it gives them."""
    names = plan.worth_measuring
    if not names:
        moved = [train for train in plan.trains if train.assigned and not train.short]
        if not moved:
            return "None: no train has engines that move it."
        if all(session.engines[name].measured for train in moved for name in train.assigned):
            return "None: every engine planned has a measured pull."
        those = "every train that is not short" if plan.short else "every train"
        return f"None: {those} moves with the engines planned for it, even if those not measured pull a fifth less."
    have, pull = ("has", "it pulls") if len(names) == 1 else ("have", "they pull")
    short = f"a train is short of power if {pull} a fifth less than reckoned"
    return f"Engine{'s' if len(names) > 1 else ''} {in_words(names)} {have} no measured pull, and {short}."


def power_order(plan: PowerPlan) -> list[TrainPower]:
    """The trains as they depart, those without a time last, else in the session's order."""
    return sorted(plan.trains, key=lambda train: (train.depart is None, train.depart or 0))


def letters(plan: PowerPlan) -> dict[str, str]:
    """What each train is called in a drawing: A to Z, then a to z, then numbers."""
    return {train.train: lettered(number, LETTERS) for number, train in enumerate(power_order(plan))}


def _combos_words(combos: Sequence[Combo]) -> str:
    """The combinations that would do, those of the fewest engines first.

    >>> from consist.power import Tightest
    >>> there = Tightest("Highkiln", 0.0)
    >>> _combos_words([Combo({"Heavy": 1}, 0.5, 9.0, there), Combo({"Branch": 1, "Pug": 2}, 0.5, 9.0, there)])
    '1\\xa0Heavy or 1\\xa0Branch + 2\\xa0Pug'
    """
    if not combos:
        return "more than the engines owned can do, up to six together and each class by its weakest"
    classes = (combo.classes.items() for combo in combos[:MOST_COMBOS])
    told = [" + ".join(unbroken(f"{number} {name}") for name, number in each) for each in classes]
    more = len(combos) - MOST_COMBOS
    return " or ".join([*told, f"{more} more combinations"] if more > 0 else told)


def _engines_words(names: Iterable[str]) -> str:
    return ", ".join(unbroken(name) for name in names)


def whole_hours(turns: Sequence[Turn]) -> tuple[int, int] | None:
    """The whole hours that all trips with times lie within, in minutes; None where no trip has times."""
    timed = [(turn.depart, turn.arrive) for turn in turns if turn.depart is not None and turn.arrive is not None]
    if not timed:
        return None
    departs, arrives = zip(*timed, strict=True)
    start = min(departs) // HOUR * HOUR
    return start, max(-(-max(arrives) // HOUR) * HOUR, start + HOUR)
