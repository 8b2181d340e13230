"""A better order: the moves that make it, what they gain, and both orders; and planned orders as sheets."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import partial
from math import ceil, floor

from consist.evening import PlannedTrain, SessionOrders, TrainCheck
from consist.evening.orders import moved_train
from consist.evening.overview import Reordered
from consist.evening.results import Move, Suggestion
from consist.order import FrontierStep, OrderFigures, OrderPlan
from consist.report.document import Block, Cell, Column, Item, Para, Picture, Row, Sheet, Table
from consist.report.sheets.cells import figures, table, use_cell, use_words, verdict_cell, words
from consist.report.sheets.parts import ADDING_WEIGHT, cautions_last, items, legend, section, sheet
from consist.report.sheets.standing import spots_of, standing_table
from consist.report.words import counted, in_words, margin, named, unbroken
from consist.session import Session, Train
from consist.wording import NONE, Units

__all__ = [
    "ADD_WEIGHT", "MENDED_BY_ORDER", "NONE_GOES", "better_order", "cars_moved", "gained_words", "moves_to_make",
    "order_sheets", "work_words", "written_words",
]  # fmt: skip

Spots = Mapping[str, int]
"""The spot of each car, by car."""
MENDED_BY_ORDER = ("side-pull", "buff-push", "light-ahead")
"""Codes of findings that a better order is made for."""
SPOTS = "Spots are those as it stands, and those once every move is made."
NONE_GOES = "No order found lets it go by its side pull"
ADD_WEIGHT = "add weight to its worst car or take cars off"
STEPS = (
    "Moved is cars moved in all and moves is the cuts they are moved in, from the train as it stands; gained is "
    "margin over the row above; use is the worst car's; proven says that no order with as few cars moved is better."
)


def work_words(moves: Sequence[Move]) -> str:
    """How much work the moves are.

    >>> work_words([Move(("A", "B"), None), Move(("C",), "A")])
    '3 cars in 2 moves'
    """
    return f"{counted(sum(len(move.cars) for move in moves), 'car')} in {counted(len(moves), 'move')}"


def gained_words(now: float | None, then: float | None) -> str:
    """What moves do for the margin, as the end of a sentence."""
    if then is None:
        return "no car then feels any side pull"
    return f"the margin goes from {margin(now)} to {margin(then)}"


def moves_to_make(
    moves: Sequence[Move], train: Train, after: Train, *, boxes: bool = False
) -> tuple[Block | None, Block | None]:
    """The moves from a train to the same in another order, and what their spots are."""
    now, then = spots_of(train), spots_of(after)
    told = (Item(_move_words(move, now, then)) for move in moves)
    return items(told, numbered=len(moves) > 1, boxes=boxes), legend(SPOTS)


def _move_words(move: Move, now: Spots, then: Spots) -> str:
    taken, set_in = _spots(move.cars, now, " from"), _spots(move.cars, then, ", in")
    cars, them = ("car", "it") if len(move.cars) == 1 else ("cars", "them")
    where = "at the head end, next to the engines" if move.after is None else f"behind {unbroken(move.after)}"
    return f"Take {cars} {named(move.cars)}{taken} and set {them} in {where}{set_in}."


def _spots(cars: Iterable[str], spots: Spots, word: str) -> str:
    told = [str(spots[car]) for car in cars if car in spots]
    return f"{word} {'spot' if len(told) == 1 else 'spots'} {in_words(told)}" if told else ""


def cars_moved(suggestion: Suggestion | None) -> tuple[str, ...]:
    """The cars that the moves take."""
    return () if suggestion is None else tuple(car for move in suggestion.moves for car in move.cars)


def better_order(session: Session, train: Train, check: TrainCheck, after: Reordered | None) -> list[Block | None]:
    """The moves of the check's suggestion and their gain, and the order then; `after` is the train run in it."""
    suggestion = check.suggestion
    if suggestion is None:
        return []
    then = moved_train(train, suggestion.order)
    gain = gained_words(check.margin, suggestion.margin)
    told = [*moves_to_make(suggestion.moves, train, then), Para(f"{gain[0].upper()}{gain[1:]}.")]
    if after is None:
        return [*told, Para(f"Standing order then: {', '.join(map(unbroken, suggestion.order))}.")]
    moved, uses = cars_moved(suggestion), {car.car: car.side_use for car in check.cars}

    def car(name: str) -> Cell:
        return Cell(name, strong=name in moved)

    told_use = partial(use_words, session.house)
    both = table(
        "Cars and their side use now and in the order suggested",
        ((now.spot, now.car.name, then.car.name) for now, then in zip(train.cars, after.train.cars, strict=True)),
        figures("spot", lambda pair: pair[0]),
        (Column("car now"), lambda pair: car(pair[1])),
        (Column("car then"), lambda pair: car(pair[2])),
        figures("use now", lambda pair: uses[pair[1]], told_use),
        figures("use then", lambda pair: after.uses.get(pair[2]), told_use, none=""),
        row=lambda pair, cells: Row(cells, moved=pair[2] in moved),
    )
    return [*told, Picture("then", train.name, "The train in the order suggested, head end first"), both]


def order_sheets(session: Session, orders: SessionOrders, units: Units) -> tuple[Sheet, ...]:
    """A sheet a train planned; before them, unless one train was asked for, which were planned and which not."""
    trains = {train.name: train for train in session.trains}
    sheets = tuple(_order_sheet(session, trains[one.plan.train], one, units) for one in orders.trains)
    if orders.only_one:
        return sheets
    blocks = [Para(_gains(session, one), label=one.plan.train) for one in orders.trains]
    blocks = blocks or [Para("No train is on hold or care, so there is no car to move.")]
    if orders.passed_over:
        blocks.append(Para(f"Passed over, since the check says GO: {in_words(orders.passed_over)}."))
    return cautions_last(sheet("session", session.title, section("", *blocks)), *sheets)


def _gains(session: Session, planned: PlannedTrain) -> str:
    """What is moved for what, in a few words; the train's own sheet tells the rest."""
    choice, now = planned.choice, planned.plan.now.margin
    if not choice.moves:
        return "nothing to move."
    then = session.house.level_of(choice.figures.side_use)
    need = "" if choice.needed or choice.enough else ", which need not be"
    ends = "" if then == "go" else f", which is still {then.upper()}"
    return f"{work_words(choice.moves)}{need}; {gained_words(now, choice.figures.margin)}{ends}."


def _order_sheet(session: Session, train: Train, planned: PlannedTrain, units: Units) -> Sheet:
    """A train's order as it stands and as it could be, the moves from one to the other, and what each gains."""
    plan, choice = planned.plan, planned.choice
    level = session.house.level_of(plan.now.side_use) if planned.check is None else planned.check.verdict
    in_short = _in_short(session, planned)
    sections = [section("", Para(in_short), _other_causes(planned.check), *map(Para, plan.notes))]
    standing = _standing(session, train, plan.now, units)
    if not choice.moves:
        sections.append(section("As it stands, head end first", *standing, _proof(plan)))
    else:
        after, was = moved_train(train, choice.figures.order), spots_of(train)
        moved = {car: was[car] for move in choice.moves for car in move.cars}
        sections += [
            section("As it stands, head end first", standing[0]),
            section("Moves", *moves_to_make(choice.moves, train, after)),
            section("Then, head end first", *_standing(session, after, choice.figures, units, moved)),
            section("What each further move gains", _steps(session, plan), legend(STEPS), _proof(plan)),
        ]
    sections.append(section("", ADDING_WEIGHT if ADD_WEIGHT in in_short else None))
    return sheet("order", train.name, *sections, verdict=level, train=train.name)


def _standing(
    session: Session, train: Train, order: OrderFigures, units: Units, was: Spots | None = None
) -> tuple[Block | None, ...]:
    uses = dict(zip(order.order, order.uses, strict=True))
    worst = max(uses, key=uses.__getitem__) if order.side_use > 0.0 else None
    return standing_table(session, train, uses, worst, units, was, "are told by 'consist check'")


def _in_short(session: Session, planned: PlannedTrain) -> str:
    choice, now = planned.choice, planned.plan.now
    if len(now.order) < 2:
        return f"It has {counted(len(now.order), 'car')}, so there is nothing to put in another order."
    if not choice.moves:
        return f"No order found gains on the one it stands in, at a margin of {margin(now.margin)}."
    work, gain = work_words(choice.moves), gained_words(now.margin, choice.figures.margin)
    if choice.enough:
        return f"Move {work} and the train goes by its side pull: {gain}."
    if not choice.needed:
        return f"Its side pull lets it go as it stands, so no car need be moved; moving {work}, {gain}."
    level_of, steps = session.house.level_of, planned.plan.frontier
    reached = level_of(choice.figures.side_use)
    if reached == "go":
        return f"Its holds ask for {work}: {gain}, with which it goes by its side pull."
    told = f"{NONE_GOES}; move {work} for {reached.upper()}, {gain}, or {ADD_WEIGHT}."
    off_hold = next((step for step in steps if level_of(step.figures.side_use) != "hold"), steps[-1])
    if reached == "hold" or off_hold.cars_moved >= choice.cars_moved or level_of(now.side_use) != "hold":
        return told
    return f"{told} {counted(off_hold.cars_moved, 'car')} moved is enough to take it off hold."


def _other_causes(check: TrainCheck | None) -> Para | None:
    """Findings as grave as the verdict that no order mends."""
    if check is None:
        return None
    at_level = dict.fromkeys(one.code for one in check.findings if one.level == check.verdict != "go")
    codes = in_words([code for code in at_level if code not in MENDED_BY_ORDER])
    told = f"Besides its order it is on {check.verdict.upper()} for {codes}, which 'consist check' explains."
    return Para(told) if codes else None


def _steps(session: Session, plan: OrderPlan) -> Table:
    """A row a step from the train as it stands to the best order found, the first that lets it go named as such."""
    steps = [FrontierStep(0, (), plan.now, False), *plan.frontier]
    levels = [session.house.level_of(step.figures.side_use) for step in steps]
    off_hold = next((number for number, level in enumerate(levels) if level != "hold"), None)

    def remark(number: int) -> str:
        if number == 0:
            return "as it stands"
        enough = steps[number].cars_moved == plan.enough
        return "first to go" if enough else "first off hold" if number == off_hold else ""

    def gained(number: int) -> str:
        before, then = steps[max(number - 1, 0)].figures.margin, steps[number].figures.margin
        return "" if number == 0 else NONE if before is None or then is None else f"{then - before:+.2f}"

    return table(
        "Steps to the best order",
        range(len(steps)),
        figures("moved", lambda k: steps[k].cars_moved),
        figures("moves", lambda k: len(steps[k].moves)),
        figures("margin", lambda k: steps[k].figures.margin, margin),
        (Column("gained", figures=True), lambda k: Cell(gained(k))),
        (Column("use", figures=True), lambda k: use_cell(session.house, steps[k].figures.side_use)),
        (Column("verdict", narrow=""), lambda k: verdict_cell(levels[k])),
        words("proven", lambda k: ("yes" if steps[k].proven else "no") if k else ""),
        words("remark", remark, narrow=""),
    )


def _proof(plan: OrderPlan) -> Para:
    """How sure the best is; a bound is told no higher than it is, and what could be gained no less."""
    said = "The best is proven the best to within half a per cent."
    if not plan.proven:
        said = "The best is the best found, not proven; more seconds (--seconds) may find a better one."
        least, gain = floor(100.0 * plan.bound), ceil(100.0 * plan.gap)
        said += (
            f" No order can bring the worst use below {least} %, so none betters it by more than {gain} %."
            if least > 0
            else " How much better one could be is not known: no order is ruled out."
        )
    if plan.interrupted:
        said += " The search was stopped before its end, by Ctrl-C or since its time was up."
    return Para(said)


def written_words(orders: SessionOrders, path: str) -> str:
    """Where the table went, and which order of which train it holds."""
    held = []
    for enough, which in ((True, "first order to go"), (False, "best order found")):
        trains = [train.plan.train for train in orders.to_make if train.choice.enough == enough]
        held += [f"the {which} of {in_words(trains)}"] if trains else []
    what = f"with {' and '.join(held)}" if held else "with every train as it stands"
    return f"Written to {path}, {what}."
