"""The sheet of the whole session: verdicts at a glance, and what to do before the first train leaves."""

from __future__ import annotations

from collections import Counter

from consist.checking.overview import Overview
from consist.checking.results import SessionCheck, TrainCheck
from consist.report.document import Cell, Column, Item, Items, Para, Section, Sheet, Table
from consist.report.sheets.cells import count, figure, length, margin_cell, name, table, train_weight, verdict_cell
from consist.report.sheets.figures import time
from consist.report.sheets.tasks import Task, task_sections
from consist.report.words import counted, score
from consist.wording import NONE, Units

__all__ = ["NO_TRAIN", "notes_section", "session_sheet"]

NO_TRAIN = "No train is in this session yet; add a [[train]] to session.toml."
LEGEND = "Engines are those assigned / those needed; order is 100 where no allowed order does better."


def session_sheet(overview: Overview, tasks: tuple[Task, ...], anchors: dict[str, str], units: Units) -> Sheet:
    """The sheet; `anchors` are those of the trains' sheets. Without a train it says so, and no more."""
    session, check = overview.session, overview.check
    standard = session.standard
    basis = (
        f"Layout {check.layout}, {session.layout.scale.name} scale. Car weights by {standard.title}, which counts "
        f"{standard.length_words}."
    )
    sections = [Section("", (Para(NO_TRAIN), Para(basis)))]
    if overview.trains:
        glance = _at_a_glance(overview, anchors, units)
        sections = [Section("", (Para(basis), glance, Para(_totals(check, units)), Para(LEGEND, legend=True)))]
        told = [(one.check, _causes(one.check)) for one in overview.trains]
        why = tuple(
            Item(causes, label=one.train, level=one.verdict, link=anchors.get(one.train))
            for one, causes in told
            if causes
        )
        sections += [Section("Why not go", (Items(why),))] if why else []
    sections += task_sections(overview, tasks, linked=bool(anchors))
    sections += notes_section(session.notes)
    return Sheet("session", "session", session.title, tuple(sections))


def notes_section(notes: tuple[str, ...]) -> list[Section]:
    """What is to be noted, where there is anything."""
    return [Section("Notes", (Items(tuple(Item(note) for note in notes)),))] if notes else []


def _at_a_glance(overview: Overview, anchors: dict[str, str], units: Units) -> Table:
    def engines(check: TrainCheck) -> Cell:
        needed = check.power.needed
        return figure(f"{len(check.power.assigned)}/{NONE if needed is None else needed}", needed)

    def order(value: float | None) -> Cell:
        return figure(score(value), value)

    return table(
        "Every train and its verdict",
        overview.trains,
        (Column("departs", figures=True, lesser=True), lambda one: Cell(time(one.train.depart))),
        (Column("train", wide=True), lambda one: name(one.train.name, strong=True, link=anchors.get(one.train.name))),
        (Column("verdict", narrow=""), lambda one: verdict_cell(one.check.verdict)),
        (Column("margin", figures=True), lambda one: margin_cell(one.check.margin)),
        (Column("worst car"), lambda one: name(NONE if one.check.worst is None else one.check.worst.car)),
        (Column("cars", figures=True, lesser=True), lambda one: count(len(one.check.cars))),
        (_heavy(units), lambda one: train_weight(one.check.weight_g, units)),
        (Column("length", figures=True, lesser=True), lambda one: length(one.check.length_mm, units)),
        (Column("engines", figures=True), lambda one: engines(one.check)),
        (
            Column("order", figures=True, lesser=True),
            lambda one: figure(score(one.check.order_score), one.check.order_score),
        ),
        findable=True,
    )


def _heavy(units: Units) -> Column:
    return Column(f"weight, {units.name}", figures=True, lesser=True, narrow=units.name)


def _totals(check: SessionCheck, units: Units) -> str:
    """All trains together."""
    verdicts = Counter(train.verdict for train in check.trains)
    counts = [f"{verdicts[verdict]} {verdict.upper()}" for verdict in ("go", "care", "hold") if verdicts[verdict]]
    cars = sum(len(train.cars) for train in check.trains)
    grams = sum(train.weight_g for train in check.trains)
    assigned = sum(len(train.power.assigned) for train in check.trains)
    return (
        f"{counted(len(check.trains), 'train')}: {', '.join(counts)}. {counted(cars, 'car')}, "
        f"{units.train_weight(grams)}, {counted(assigned, 'engine')} assigned."
    )


def _causes(train: TrainCheck) -> str:
    """The codes of the findings for which a train may not simply go; empty where it may."""
    codes = Counter(finding.code for finding in train.findings if finding.level == train.verdict)
    if train.verdict == "go" or not codes:
        return ""
    return f"{', '.join(code if count == 1 else f'{code} ({count})' for code, count in codes.items())}."
