"""A train's sheet: why it may go or not, its figures and pictures, its standing order, what was found, and a cure."""

from __future__ import annotations

from consist.cautions import WEIGHTS
from consist.checking.overview import TrainOverview
from consist.report.document import Block, Caution, ChartKind, Facts, Items, Para, Picture, Section, Sheet
from consist.report.sheets.figures import advises_weight, facts_of, reason, told_findings
from consist.report.sheets.moves import ADDING, better_order
from consist.report.sheets.standing import legs_table, standing_table
from consist.session import Session
from consist.wording import Units

__all__ = ["kinds_of", "train_sheet"]

PICTURES: tuple[tuple[str, tuple[tuple[ChartKind, str], ...]], ...] = (
    ("The train", (("train", "The train to scale, head end first"),)),
    ("The route", (("plan", "The route from above"), ("profile", "The route from the side"))),
    ("Which car is in danger where", (("side-use", "Side use by car and by place"),)),
    ("Drawbar", (("drawbar", "Drawbar along the train at the worst moment"),)),
)


def train_sheet(session: Session, one: TrainOverview, anchor: str, units: Units, *, drawn: bool = True) -> Sheet:
    """One train's sheet; unless it is `drawn` it has no picture but that of its route from the side."""
    train, check = one.train, one.check
    uses = {car.car: car.side_use for car in check.cars}
    worst = None if check.worst is None else check.worst.car
    first = (Para(reason(check, session.house), level=check.verdict), Facts(tuple(facts_of(train, check, units))))
    standing = Section("Standing order, head end first", standing_table(session, train, uses, worst, units))
    sections = [Section("", first), *_pictures(one, drawn), standing]
    if len(check.legs) > 1:
        sections.append(Section("Legs of the trip", (legs_table(check, units),)))
    if check.findings:
        found: list[Block] = [Items(tuple(told_findings(check.findings)))]
        found += [Caution(ADDING, WEIGHTS)] if advises_weight(check.findings) else []
        sections.append(Section("Findings", tuple(found)))
    if check.suggestion is not None:
        sections.append(Section("A better order", better_order(session, train, check, one.after)))
    return Sheet("train", anchor, train.name, tuple(sections), verdict=check.verdict, train=train.name)


def kinds_of(one: TrainOverview) -> tuple[ChartKind, ...]:
    """The pictures that there are of a train, in the order a report has them."""
    train = one.train
    there: dict[ChartKind, bool] = {
        "train": bool(train.cars or one.engines or train.helpers),
        "then": one.after is not None,
        "plan": True,
        "profile": True,
        "side-use": bool(train.cars),
        "drawbar": one.moment is not None,
    }
    return tuple(kind for kind, is_there in there.items() if is_there)


def _pictures(one: TrainOverview, drawn: bool) -> list[Section]:
    """What there is to draw, each under its own heading."""
    kinds: tuple[ChartKind, ...] = kinds_of(one) if drawn else ("profile",)
    sections = []
    for title, pictures in PICTURES:
        blocks = tuple(Picture(kind, one.train.name, caption) for kind, caption in pictures if kind in kinds)
        sections += [Section(title, blocks)] if blocks else []
    return sections
