"""The power sheet: engines for every train, trains left short, and what is behind the plan."""

from __future__ import annotations

from collections.abc import Sequence

from consist.checking.overview import Overview
from consist.power import PowerPlan, TrainPower
from consist.report.document import Block, Cell, Column, Item, Items, Para, Picture, Row, Section, Sheet, Table
from consist.report.power_told import (
    HOW_TO_MEASURE,
    LEGEND,
    NO_OPTION,
    SHORT,
    differing,
    given_words,
    in_short,
    measuring_words,
    needs_words,
    short_words,
)
from consist.report.power_words import engines_words, in_order, letters, time
from consist.report.sheets.anchors import POWER, train_anchors
from consist.report.sheets.cells import figure, name
from consist.report.units import Units
from consist.report.words import NONE, clean, percent

__all__ = ["power_sheet"]

MANY_MORE = "more combinations"


def power_sheet(overview: Overview, plan: PowerPlan, units: Units) -> Sheet:
    """What `consist power` tells; without a train it only says so."""
    session = overview.session
    sections = [Section("", (Para(in_short(session, plan)),))]
    sections.append(Section("Engines for every train", (_plan(overview, plan), Para(LEGEND, legend=True))))
    if plan.short:
        sections.append(Section("Short of power", _short(plan)))
    drawn = Picture("engines", None, "Every engine by the fast clock, with the trains it runs in")
    sections.append(Section("Every engine through the evening", (drawn,)))
    trains = {train.name: train for train in session.trains}
    would_do = tuple(
        Item(needs_words(trains[train.train], train, units, MANY_MORE), label=train.train) for train in in_order(plan)
    )
    sections.append(Section("What would do", (Items(would_do),)))
    sections.append(Section("As given in the session and as planned", _given(plan)))
    measuring = [Para(measuring_words(plan))]
    measuring += [Para(HOW_TO_MEASURE, label="To measure")] if plan.worth_measuring else []
    sections.append(Section("Worth measuring", tuple(measuring)))
    if plan.notes:
        sections.append(Section("Notes", (Items(tuple(Item(note) for note in plan.notes)),)))
    return Sheet("power", POWER, f"Engines for {clean(plan.session)}", tuple(sections))


def _plan(overview: Overview, plan: PowerPlan) -> Table:
    columns = (
        Column("departs", figures=True),
        Column("arrives", figures=True, lesser=True),
        Column("train", wide=True),
        Column("in the picture", lesser=True),
        Column("from", lesser=True),
        Column("to", lesser=True),
        Column("engines"),
        Column("use", figures=True),
    )
    anchors, keys = train_anchors(overview), letters(plan)
    rows = tuple(
        Row(
            (
                Cell(time(train.depart)),
                Cell(time(train.arrive)),
                name(train.train, strong=True, link=anchors.get(train.train)),
                Cell(keys[train.train]),
                name(train.start),
                name(train.finish),
                _engines(train),
                _use(train.use, train.assigned),
            ),
            marked=train.short,
        )
        for train in in_order(plan)
    )
    return Table("Engines planned for every train", columns, rows)


def _engines(train: TrainPower) -> Cell:
    told = engines_words(train.assigned)
    if train.short:
        return Cell(f"{SHORT}: {told}" if told else SHORT, level="hold", strong=True)
    return Cell(told or NONE)


def _use(use: float | None, engines: Sequence[str]) -> Cell:
    """The use of the engines' pull, where there are engines."""
    return figure(percent(use), use) if engines else Cell(NONE)


def _short(plan: PowerPlan) -> tuple[Block, ...]:
    """A paragraph a train that is short, then what would mend it, cheapest first."""
    blocks: list[Block] = []
    for train in in_order(plan):
        if train.short:
            blocks.append(Para(short_words(train, MANY_MORE), label=f"{SHORT} {clean(train.train)}", level="hold"))
            options = tuple(Item(option.say) for option in train.options)
            blocks.append(Items(options, numbered=len(options) > 1) if options else Para(NO_OPTION))
    return tuple(blocks)


def _given(plan: PowerPlan) -> tuple[Block, ...]:
    differ = differing(plan)
    if not differ:
        return (Para(given_words(plan)),)
    columns = (
        Column("train", wide=True),
        Column("given"),
        Column("use", figures=True),
        Column("planned"),
        Column("use", figures=True),
    )
    rows = tuple(
        Row(
            (
                name(train.train, strong=True),
                Cell(engines_words(train.given) or "none"),
                _use(train.given_use, train.given),
                Cell(engines_words(train.assigned) or (SHORT if train.short else "none")),
                _use(train.use, train.assigned),
            )
        )
        for train in differ
    )
    return (Table("Engines given and engines planned, where they differ", columns, rows), Para(given_words(plan)))
