"""A better order: the moves that make it, what they gain, and both orders; and planned orders as sheets."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from consist.cautions import WEIGHTS
from consist.checking import PlannedTrain, SessionOrders, TrainCheck
from consist.checking.order_choice import moved_train, side_level
from consist.checking.overview import Reordered
from consist.checking.results import Move, Suggestion
from consist.order import FrontierStep, OrderFigures, OrderPlan
from consist.report.document import (
    Block,
    Caution,
    Cell,
    Column,
    Item,
    Items,
    Para,
    Picture,
    Row,
    Section,
    Sheet,
    Table,
)
from consist.report.sheets.cells import EMPTY, Limits, count, margin_cell, name, table, verdict_cell
from consist.report.sheets.standing import spots_of, standing_table
from consist.report.words import counted, listing, margin, unbroken
from consist.session import CarInTrain, Session, Train
from consist.wording import NONE, Units, percent

__all__ = [
    "ADDING",
    "ADD_WEIGHT",
    "MENDED_BY_ORDER",
    "NONE_GOES",
    "SPOTS",
    "better_order",
    "cars_moved",
    "gain_words",
    "move_items",
    "order_sheets",
    "work_words",
    "written_words",
]

Spots = Mapping[str, int]
"""The spot of each car, by car."""
ADDING = "Adding weight"
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


def gain_words(now: float | None, then: float | None) -> str:
    """What moves do for the margin, as the end of a sentence."""
    if then is None:
        return "no car then feels any side pull"
    return f"the margin goes from {margin(now)} to {margin(then)}"


def move_items(moves: Sequence[Move], now: Spots, then: Spots, *, boxes: bool = False) -> Items:
    """The moves, with the spots from which and into which cars go."""
    told = tuple(Item(_move_words(move, now, then)) for move in moves)
    return Items(told, numbered=len(told) > 1, boxes=boxes)


def _move_words(move: Move, now: Spots, then: Spots) -> str:
    cars = [unbroken(car) for car in move.cars]
    taken, set_in = _spots(move.cars, now, " from"), _spots(move.cars, then, ", in")
    one = len(cars) == 1
    which = f"car {cars[0]}{taken} and set it" if one else f"cars {listing(cars)}{taken} and set them"
    where = "at the head end, next to the engines" if move.after is None else f"behind {unbroken(move.after)}"
    return f"Take {which} in {where}{set_in}."


def _spots(cars: Sequence[str], spots: Spots, word: str) -> str:
    named = [str(spots[car]) for car in cars if car in spots]
    return f"{word} {'spot' if len(named) == 1 else 'spots'} {listing(named)}" if named else ""


def cars_moved(suggestion: Suggestion) -> frozenset[str]:
    """The cars that the moves take."""
    return frozenset(car for move in suggestion.moves for car in move.cars)


def better_order(session: Session, train: Train, check: TrainCheck, after: Reordered | None) -> tuple[Block, ...]:
    """The moves of the check's suggestion and their gain, and the order then; `after` is the train run in it."""
    suggestion = check.suggestion
    assert suggestion is not None
    now = spots_of(train)
    then = dict(zip(suggestion.order, sorted(now.values()), strict=True))
    gain = gain_words(check.margin, suggestion.margin)
    blocks: list[Block] = [
        move_items(suggestion.moves, now, then),
        Para(SPOTS, legend=True),
        Para(f"{gain[0].upper()}{gain[1:]}."),
    ]
    if after is None:
        return *blocks, Para(f"Standing order then: {', '.join(map(unbroken, suggestion.order))}.")
    limits, moved = Limits.of(session.house), cars_moved(suggestion)
    uses, uses_then = {car.car: car.side_use for car in check.cars}, after.uses

    def car(one: CarInTrain) -> Cell:
        return name(one.car.name, strong=one.car.name in moved)

    def use_then(one: CarInTrain) -> Cell:
        use = uses_then.get(one.car.name)
        return EMPTY if use is None else limits.cell(use, bar=False)

    both = table(
        "Cars and their side use now and in the order suggested",
        zip(train.cars, after.train.cars, strict=True),
        (Column("spot", figures=True), lambda pair: count(pair[0].spot)),
        (Column("car now"), lambda pair: car(pair[0])),
        (Column("car then"), lambda pair: car(pair[1])),
        (Column("use now", figures=True), lambda pair: limits.cell(uses[pair[0].car.name], bar=False)),
        (Column("use then", figures=True), lambda pair: use_then(pair[1])),
        row=lambda pair, cells: Row(cells, moved=pair[1].car.name in moved),
    )
    blocks.append(Picture("then", train.name, "The train in the order suggested, head end first"))
    return *blocks, both


def order_sheets(session: Session, orders: SessionOrders, units: Units) -> tuple[Sheet, ...]:
    """A sheet a train planned; before them, unless one train was asked for, which were planned and which not."""
    trains = {train.name: train for train in session.trains}
    sheets = [_order_sheet(session, trains[one.plan.train], one, units) for one in orders.trains]
    if orders.only_one:
        return tuple(sheets)
    blocks: list[Block] = [Para(_in_short(session, one), label=one.plan.train) for one in orders.trains]
    if not orders.trains:
        blocks.append(Para("No train is on hold or care, so there is no car to move."))
    if orders.passed_over:
        blocks.append(Para(f"Passed over, since the check says GO: {listing(orders.passed_over)}."))
    return Sheet("session", "session", session.title, (Section("", tuple(blocks)),)), *sheets


def _order_sheet(session: Session, train: Train, planned: PlannedTrain, units: Units) -> Sheet:
    """A train's order as it stands and as it could be, the moves from one to the other, and what each gains."""
    plan, choice = planned.plan, planned.choice
    level = side_level(session, plan.now.side_use) if planned.check is None else planned.check.verdict
    in_short = _in_short(session, planned)
    first: list[Block] = [Para(in_short)]
    first += [Caution(ADDING, WEIGHTS)] if ADD_WEIGHT in in_short else []
    first += _other_causes(planned.check)
    sections = [Section("", tuple(first))]
    standing = _standing(session, train, plan.now, units)
    if not choice.moves:
        sections.append(Section("As it stands, head end first", (*standing, _proof(plan))))
        return Sheet("order", "order", train.name, tuple(sections), verdict=level, train=train.name)
    after = moved_train(train, choice.figures.order)
    was, then = spots_of(train), spots_of(after)
    moved = {car: was[car] for move in choice.moves for car in move.cars}
    moves = (move_items(choice.moves, was, then), Para(SPOTS, legend=True))
    sections.append(Section("As it stands, head end first", standing[:1]))
    sections.append(Section("Moves", moves))
    sections.append(Section("Then, head end first", _standing(session, after, choice.figures, units, moved)))
    steps = (_steps(session, plan), Para(STEPS, legend=True), _proof(plan))
    sections.append(Section("What each further move gains", steps))
    return Sheet("order", "order", train.name, tuple(sections), verdict=level, train=train.name)


def _standing(
    session: Session, train: Train, figures: OrderFigures, units: Units, was: Spots | None = None
) -> tuple[Block, ...]:
    uses = dict(zip(figures.order, figures.uses, strict=True))
    worst = max(uses, key=uses.__getitem__) if figures.side_use > 0.0 else None
    return standing_table(session, train, uses, worst, units, was, "are told by 'consist check'")


def _in_short(session: Session, planned: PlannedTrain) -> str:
    choice, now = planned.choice, planned.plan.now
    if len(now.order) < 2:
        return f"It has {counted(len(now.order), 'car')}, so there is nothing to put in another order."
    if not choice.moves:
        return f"No order found gains on the one it stands in, at a margin of {margin(now.margin)}."
    work, gain = work_words(choice.moves), gain_words(now.margin, choice.figures.margin)
    if choice.enough:
        return f"Move {work} and the train goes by its side pull: {gain}."
    if not choice.needed:
        return f"Its side pull lets it go as it stands, so no car need be moved; moving {work}, {gain}."
    reached = side_level(session, choice.figures.side_use)
    if reached == "go":
        return f"Its holds ask for {work}: {gain}, with which it goes by its side pull."
    told = f"{NONE_GOES}; move {work} for {reached.upper()}, {gain}, or {ADD_WEIGHT}."
    steps = planned.plan.frontier
    off_hold = next((step for step in steps if side_level(session, step.figures.side_use) != "hold"), steps[-1])
    if reached == "hold" or off_hold.cars_moved >= choice.cars_moved or side_level(session, now.side_use) != "hold":
        return told
    return f"{told} {counted(off_hold.cars_moved, 'car')} moved is enough to take it off hold."


def _other_causes(check: TrainCheck | None) -> list[Para]:
    """Findings as grave as the verdict that no order mends."""
    at_level = () if check is None else (one.code for one in check.findings if one.level == check.verdict != "go")
    codes = [code for code in dict.fromkeys(at_level) if code not in MENDED_BY_ORDER]
    if check is None or not codes:
        return []
    told = f"Besides its order it is on {check.verdict.upper()} for {listing(codes)}, which 'consist check' explains."
    return [Para(told)]


def _steps(session: Session, plan: OrderPlan) -> Table:
    """A row a step from the train as it stands to the best order found, the first that lets it go named as such."""
    limits = Limits.of(session.house)
    figures = [plan.now, *(step.figures for step in plan.frontier)]
    levels = [side_level(session, one.side_use) for one in figures]
    off_hold = next((number for number, level in enumerate(levels) if level != "hold"), None)

    def remark(number: int) -> str:
        if number == 0:
            return "as it stands"
        enough = plan.frontier[number - 1].cars_moved == plan.enough
        return "first to go" if enough else "first off hold" if number == off_hold else ""

    def gained(number: int) -> str:
        before, then = figures[max(number - 1, 0)].margin, figures[number].margin
        return "" if number == 0 else NONE if before is None or then is None else f"{then - before:+.2f}"

    def step(number: int) -> FrontierStep | None:
        return plan.frontier[number - 1] if number else None

    return table(
        "Steps to the best order",
        range(len(figures)),
        (Column("moved", figures=True), lambda k: count(one.cars_moved if (one := step(k)) else 0)),
        (Column("moves", figures=True), lambda k: count(len(one.moves) if (one := step(k)) else 0)),
        (Column("margin", figures=True), lambda k: margin_cell(figures[k].margin)),
        (Column("gained", figures=True), lambda k: Cell(gained(k))),
        (Column("use", figures=True), lambda k: limits.cell(figures[k].side_use)),
        (Column("verdict", narrow=""), lambda k: verdict_cell(levels[k])),
        (Column("proven"), lambda k: Cell(("yes" if one.proven else "no") if (one := step(k)) else "")),
        (Column("remark", narrow=""), lambda k: Cell(remark(k))),
    )


def _proof(plan: OrderPlan) -> Para:
    said = "The best is proven the best to within one per cent."
    if not plan.proven:
        said = "The best is the best found, not proven; more seconds (--seconds) may find a better one."
        if plan.bound is not None:
            said += f" No order can bring the worst use below {percent(plan.bound)}."
    if plan.interrupted:
        said += " The search was stopped before its end, by Ctrl-C or since its time was up."
    return Para(said)


def written_words(orders: SessionOrders, path: str) -> str:
    """Where the table went, and which order of which train it holds."""
    made = orders.to_make
    enough = [train.plan.train for train in made if train.choice.enough]
    best = [train.plan.train for train in made if not train.choice.enough]
    held = [f"the first order to go of {listing(enough)}"] if enough else []
    held += [f"the best order found of {listing(best)}"] if best else []
    what = f"with {' and '.join(held)}" if held else "with every train as it stands"
    return f"Written to {path}, {what}."
