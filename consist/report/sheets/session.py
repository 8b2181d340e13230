"""The sheet of the whole session: verdicts at a glance, and what to do before the first train leaves."""

from __future__ import annotations

from collections import Counter

from consist.checking.overview import Overview, TrainOverview
from consist.checking.results import SessionCheck, TrainCheck
from consist.report.document import Cell, Column, Item, Items, Para, Row, Section, Sheet, Table
from consist.report.sheets.cells import figure, name, verdict_cell
from consist.report.sheets.figures import time
from consist.report.sheets.tasks import Task, task_sections
from consist.report.words import counted, margin, score
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
        table = _at_a_glance(overview, anchors, units)
        sections = [Section("", (Para(basis), table, Para(_totals(check, units)), Para(LEGEND, legend=True)))]
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
    columns = (
        Column("departs", figures=True, lesser=True),
        Column("train", wide=True),
        Column("verdict", narrow=""),
        Column("margin", figures=True),
        Column("worst car"),
        Column("cars", figures=True, lesser=True),
        Column(f"weight, {units.name}", figures=True, lesser=True, narrow=units.name),
        Column("length", figures=True, lesser=True),
        Column("engines", figures=True),
        Column("order", figures=True, lesser=True),
    )
    rows = tuple(Row(_cells(one, anchors.get(one.train.name), units)) for one in overview.trains)
    return Table("Every train and its verdict", columns, rows, findable=True)


def _cells(one: TrainOverview, anchor: str | None, units: Units) -> tuple[Cell, ...]:
    check = one.check
    needed = check.power.needed
    return (
        Cell(time(one.train.depart)),
        name(one.train.name, strong=True, link=anchor),
        verdict_cell(check.verdict),
        figure(margin(check.margin), check.margin),
        Cell(NONE) if check.worst is None else name(check.worst.car),
        figure(str(len(check.cars)), len(check.cars)),
        figure(units.train_weight_figure(check.weight_g), check.weight_g),
        figure(units.distance(check.length_mm), check.length_mm),
        figure(f"{len(check.power.assigned)}/{NONE if needed is None else needed}", needed),
        figure(score(check.order_score), check.order_score),
    )


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
