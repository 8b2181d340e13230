"""The sheet of the whole session: verdicts at a glance, and what to do before the first train leaves."""

from __future__ import annotations

from consist.checking.overview import Overview, TrainOverview
from consist.report.document import Block, Cell, Column, Item, Items, Para, Row, Section, Sheet, Table
from consist.report.power_words import time
from consist.report.session_words import LEGEND, NO_TRAIN, basis_words, causes_words, engines_words, totals_words
from consist.report.sheets.anchors import SESSION, train_anchors
from consist.report.sheets.cells import figure, name, verdict_cell
from consist.report.sheets.task import Task
from consist.report.sheets.tasks import task_sections
from consist.report.units import Units
from consist.report.words import NONE, margin, score

__all__ = ["session_sheet"]


def session_sheet(overview: Overview, tasks: tuple[Task, ...], units: Units) -> Sheet:
    """The sheet; without a train it says so, and has nothing to do on it."""
    sections: list[Section] = []
    if overview.trains:
        sections.append(Section("", _at_a_glance(overview, units)))
        sections += _why_not(overview)
    else:
        sections.append(Section("", (Para(NO_TRAIN),)))
    sections += task_sections(overview, tasks)
    if overview.session.notes:
        sections.append(Section("Notes", (Items(tuple(Item(note) for note in overview.session.notes)),)))
    sections.append(Section("What this rests on", (Para(basis_words(overview.session, overview.check)),)))
    return Sheet("session", SESSION, overview.session.title, tuple(sections))


def _at_a_glance(overview: Overview, units: Units) -> tuple[Block, ...]:
    anchors = train_anchors(overview)
    columns = (
        Column("departs", figures=True),
        Column("train", wide=True),
        Column("verdict"),
        Column("margin", figures=True),
        Column("worst car"),
        Column("cars", figures=True, lesser=True),
        Column(f"weight, {units.name}", figures=True, lesser=True),
        Column("length", figures=True, lesser=True),
        Column("engines", figures=True),
        Column("order", figures=True, lesser=True),
    )
    rows = tuple(_row(one, anchors[one.train.name], units) for one in overview.trains)
    return (
        Table("Every train and its verdict", columns, rows, findable=True),
        Para(totals_words(overview.check, units)),
        Para(LEGEND, legend=True),
    )


def _row(one: TrainOverview, anchor: str, units: Units) -> Row:
    check = one.check
    return Row(
        (
            Cell(time(one.train.depart)),
            name(one.train.name, strong=True, link=anchor),
            verdict_cell(check.verdict),
            figure(margin(check.margin), check.margin),
            Cell(NONE) if check.worst is None else name(check.worst.car),
            figure(str(len(check.cars)), len(check.cars)),
            figure(units.train_weight_figure(check.weight_g), check.weight_g),
            figure(units.distance(check.length_mm), check.length_mm),
            figure(engines_words(check), check.power.needed),
            figure(score(check.order_score), check.order_score),
        )
    )


def _why_not(overview: Overview) -> list[Section]:
    anchors = train_anchors(overview)
    items = tuple(
        Item(causes_words(one.check), label=one.train.name, level=one.check.verdict, link=anchors[one.train.name])
        for one in overview.trains
        if causes_words(one.check)
    )
    return [Section("Why not go", (Items(items),))] if items else []
