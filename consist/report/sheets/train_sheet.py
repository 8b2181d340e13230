"""A train's sheet: why it may go or not, its figures and pictures, its standing order, what was found, and a cure."""

from __future__ import annotations

from consist.cautions import WEIGHTS
from consist.checking.overview import Overview, TrainOverview
from consist.checking.results import LegResult
from consist.report.document import (
    Block,
    Caution,
    Cell,
    ChartKind,
    Column,
    Facts,
    Item,
    Items,
    Para,
    Picture,
    Row,
    Section,
    Sheet,
    Table,
)
from consist.report.figure_words import Figure, figure_words
from consist.report.finding_words import advises_weight, told_findings
from consist.report.legs import leg_name
from consist.report.reason import reason
from consist.report.sheets.better_order import better_order
from consist.report.sheets.cells import figure, name
from consist.report.sheets.standing_table import standing_table
from consist.report.sheets.tasks import ADDING
from consist.report.units import Units
from consist.report.words import NONE, margin, percent

__all__ = ["train_sheet"]


def train_sheet(overview: Overview, one: TrainOverview, anchor: str, units: Units) -> Sheet:
    """One train's sheet."""
    session, check = overview.session, one.check
    sections = [
        Section("", (Para(reason(check, session.house), level=check.verdict), _facts(one, units))),
        *_pictures(one),
        Section("Standing order, head end first", standing_table(session, one, units)),
    ]
    if len(check.legs) > 1:
        rows = tuple(_leg(number, leg, units) for number, leg in enumerate(check.legs))
        sections.append(Section("Legs of the trip", (Table("Legs of the trip", _leg_columns(units), rows),)))
    if check.findings:
        sections.append(Section("Findings", _findings(one)))
    if check.suggestion is not None:
        sections.append(Section("A better order", better_order(session, one)))
    return Sheet("train", anchor, one.train.name, tuple(sections), verdict=check.verdict, train=one.train.name)


def _facts(one: TrainOverview, units: Units) -> Facts:
    facts: list[tuple[str, Cell]] = []
    for each in figure_words(one.train, one.check, units):
        told: Figure | None = each
        while told is not None:
            facts.append((told.name, figure(f"{told.words}.", told.value)))
            told = told.more
    return Facts(tuple(facts))


def _pictures(one: TrainOverview) -> list[Section]:
    """What there is to draw, each under its own heading."""
    train = one.train
    drawn: list[tuple[str, tuple[tuple[ChartKind, str], ...]]] = []
    if train.cars or one.engines or train.helpers:
        drawn.append(("The train", (("train", "The train to scale, head end first"),)))
    drawn.append(("The route", (("plan", "The route from above"), ("profile", "The route from the side"))))
    if train.cars:
        drawn.append(("Which car is in danger where", (("side-use", "Side use by car and by place"),)))
    if one.moment is not None:
        drawn.append(("Drawbar", (("drawbar", "Drawbar along the train at the worst moment"),)))
    return [
        Section(title, tuple(Picture(kind, train.name, caption) for kind, caption in pictures))
        for title, pictures in drawn
    ]


def _leg_columns(units: Units) -> tuple[Column, ...]:
    return (
        Column("leg"),
        Column("from"),
        Column("to"),
        Column("cars", figures=True),
        Column(f"weight, {units.name}", figures=True, lesser=True),
        Column("margin", figures=True),
        Column(f"drawbar, {units.name}", figures=True, lesser=True),
        Column("power use", figures=True),
    )


def _leg(number: int, leg: LegResult, units: Units) -> Row:
    pull = leg.peak_drawbar_g
    return Row(
        (
            Cell(leg_name(number), strong=True),
            name(leg.start),
            name(leg.finish),
            figure(str(len(leg.cars)), len(leg.cars)),
            figure(units.train_weight_figure(leg.weight_g), leg.weight_g),
            figure(margin(leg.margin), leg.margin),
            figure(NONE if pull is None else units.weight_figure(pull), pull),
            figure(percent(leg.power_use), leg.power_use),
        )
    )


def _findings(one: TrainOverview) -> tuple[Block, ...]:
    findings = one.check.findings
    items = Items(tuple(Item(told.say, label=told.code, level=told.level) for told in told_findings(findings)))
    return (items, Caution(ADDING, WEIGHTS)) if advises_weight(findings) else (items,)
