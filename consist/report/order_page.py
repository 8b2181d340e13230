"""A train's order as it stands and as it could be, the moves from one to the other, and what each gains."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from consist.cautions import WEIGHTS
from consist.checking import PlannedTrain, SessionOrders, TrainCheck
from consist.checking.order_choice import moved_train, side_level
from consist.order import OrderFigures, OrderPlan
from consist.report.headings import banner, heading
from consist.report.move_list import move_steps
from consist.report.move_words import ADD_WEIGHT, MENDED_BY_ORDER, NONE_GOES, SPOTS, gain_words, work_words
from consist.report.order_steps import order_steps
from consist.report.page import PIPED_WIDTH, as_text
from consist.report.session_page import CLOSING
from consist.report.standing_order import drawn_order, order_legend
from consist.report.units import Units
from consist.report.words import clean, counted, listing, margin, paragraph, percent
from consist.session import Session, Train

__all__ = ["order_page", "orders_text"]


def orders_text(
    session: Session,
    orders: SessionOrders,
    units: Units,
    *,
    width: int = PIPED_WIDTH,
    colour: bool = False,
) -> str:
    """A page a train planned; before them, unless one train was asked for, which were planned and which not."""
    trains = {train.name: train for train in session.trains}
    lines = [] if orders.only_one else _summary(session, orders, width)
    for planned in orders.trains:
        lines += [Text(), Text()] if lines else []
        lines += order_page(session, trains[planned.plan.train], planned, units, width)
    return as_text([*lines, Text(), *paragraph(CLOSING, width, indent=0)], width, colour)


def _summary(session: Session, orders: SessionOrders, width: int) -> list[Text]:
    lines = [banner(clean(session.title), None, width)]
    passed = listing([clean(name) for name in orders.passed_over])
    if not orders.trains:
        lines += paragraph("No train is on hold or care, so there is no car to move.", width, indent=0)
    for planned in orders.trains:
        told = _in_short(session, planned)
        lines += paragraph(told, width, label=f"{clean(planned.plan.train)}:", style="bold")
    if passed:
        lines += paragraph(f"Passed over, since the check says GO: {passed}.", width)
    return lines


def order_page(session: Session, train: Train, planned: PlannedTrain, units: Units, width: int) -> list[Text]:
    """The page as lines of `width` columns at most."""
    plan, choice = planned.plan, planned.choice
    level = side_level(session, plan.now.side_use) if planned.check is None else planned.check.verdict
    lines = [banner(clean(train.name), level, width)]
    in_short = _in_short(session, planned)
    lines += paragraph(in_short, width, indent=0)
    if ADD_WEIGHT in in_short:
        lines += paragraph(WEIGHTS, width, label="Adding weight:")
    lines += _other_causes(planned.check, width)
    lines += [*heading("As it stands, head end first"), *_drawn(session, train, plan.now, units, width)]
    if not choice.moves:
        return [*lines, *order_legend(session, train, width, legs_below=False), Text(), *_proof(plan, width)]
    after = moved_train(train, choice.figures.order)
    was = {car.car.name: car.spot for car in train.cars}
    then = {car.car.name: car.spot for car in after.cars}
    moved = {car: was[car] for move in choice.moves for car in move.cars}
    lines += [*heading("Moves"), *move_steps(choice.moves, width, was, then)]
    lines += paragraph(SPOTS, width)
    lines += [*heading("Then, head end first"), *_drawn(session, after, choice.figures, units, width, moved)]
    lines += order_legend(session, train, width, legs_below=False, moved=True)
    lines += [*heading("What each further move gains"), *order_steps(session, plan, width)]
    return [*lines, *_proof(plan, width)]


def _drawn(
    session: Session,
    train: Train,
    figures: OrderFigures,
    units: Units,
    width: int,
    was: dict[str, int] | None = None,
) -> list[Text]:
    uses = dict(zip(figures.order, figures.uses, strict=True))
    worst = max(uses, key=uses.__getitem__) if figures.side_use > 0.0 else None
    return drawn_order(session, train, uses, worst, units, width, was)


def _in_short(session: Session, planned: PlannedTrain) -> str:
    choice, now = planned.choice, planned.plan.now
    if len(now.order) < 2:
        return f"It has {counted(len(now.order), 'car')}, so there is nothing to put in another order."
    if not choice.moves:
        return f"No order found gains on the one it stands in, at a margin of {margin(now.margin)}."
    work = work_words(choice.moves)
    gain = gain_words(now.margin, choice.figures.margin)
    if choice.enough:
        return f"Move {work} and the train goes by its side pull: {gain}."
    if not choice.needed:
        return f"Its side pull lets it go as it stands, so no car need be moved; moving {work}, {gain}."
    return _short_of_go(session, planned, work, gain)


def _short_of_go(session: Session, planned: PlannedTrain, work: str, gain: str) -> str:
    reached = side_level(session, planned.choice.figures.side_use)
    if reached == "go":
        return f"Its holds ask for {work}: {gain}, with which it goes by its side pull."
    told = f"{NONE_GOES}; move {work} for {reached.upper()}, {gain}, or {ADD_WEIGHT}."
    steps = planned.plan.frontier
    off_hold = next((step for step in steps if side_level(session, step.figures.side_use) != "hold"), steps[-1])
    if reached == "hold" or off_hold.cars_moved >= planned.choice.cars_moved:
        return told
    if side_level(session, planned.plan.now.side_use) != "hold":
        return told
    return f"{told} {counted(off_hold.cars_moved, 'car')} moved is enough to take it off hold."


def _other_causes(check: TrainCheck | None, width: int) -> list[Text]:
    """Findings as grave as the verdict that no order mends."""
    if check is None:
        return []
    at_level = (finding.code for finding in check.findings if finding.level == check.verdict != "go")
    codes = [code for code in dict.fromkeys(at_level) if code not in MENDED_BY_ORDER]
    if not codes:
        return []
    told = f"Besides its order it is on {check.verdict.upper()} for {listing(codes)}, which 'consist check' explains."
    return paragraph(told, width, indent=0)


def _proof(plan: OrderPlan, width: int) -> list[Text]:
    said: Sequence[str]
    if plan.proven:
        said = ["The best is proven the best to within one per cent."]
    else:
        said = ["The best is the best found, not proven; more seconds (--seconds) may find a better one."]
        if plan.bound is not None:
            said = [*said, f"No order can bring the worst use below {percent(plan.bound)}."]
    if plan.interrupted:
        said = [*said, "The search was stopped before its end, by Ctrl-C or since its time was up."]
    return paragraph(" ".join(said), width)
