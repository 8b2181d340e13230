"""The sheet of the whole session, verdicts at a glance and what to do first; and all of an evening's sheets."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence

import numpy as np

from consist.evening.along import UseAlong
from consist.evening.overview import Overview, TrainOverview
from consist.evening.results import SessionCheck, TrainCheck
from consist.report.document import Cell, Column, Document, Item, Para, Section, Sheet, Table
from consist.report.sheets.bench import bench_sheet
from consist.report.sheets.cells import figure, figures, table, verdict_cell, words
from consist.report.sheets.door import door_sheet
from consist.report.sheets.parts import ADDING_WEIGHT, cautions_last, items, legend, notes, of_sheets, section, sheet
from consist.report.sheets.power import power_sheet
from consist.report.sheets.ranges import ranges_told
from consist.report.sheets.tasks import DESKS, Task, tasks_of
from consist.report.sheets.train import basis_words, switch_list, train_sheet
from consist.report.words import NO_TRAIN, counted, margin, score, unbroken
from consist.session import Session
from consist.wording import NONE, Units, clock

__all__ = ["check_sheets", "checked", "document_of", "task_sections"]

LEGEND = "Engines are those assigned / those needed; order is 100 where no allowed order does better."
ONE_PLAN = "What the power desk changes is one plan, which the power sheet has: make all of its changes or none."
LEAST_CHANGE = (
    "All other trains keep the engines given: make all of these changes or none. The power sheet has the plan of the "
    "fewest engines, which changes more."
)
GIVEN_DO = "Every train can move with the engines given, too."


def _session_sheet(overview: Overview, tasks: Sequence[Task], anchors: Mapping[str, str], units: Units) -> Sheet:
    """The sheet; `anchors` are those of the trains' sheets. Without a train it says so, and no more."""
    session, check = overview.session, overview.check
    # every verdict stands on the layout's figures
    asked = (one.say for one in session.layout.findings if one.line is None)
    basis = Para(" ".join((basis_words(session), *asked)))
    first = section("", Para(NO_TRAIN), basis)
    if overview.trains:
        glance = _at_a_glance(overview, anchors, units)
        first = section("", basis, glance, Para(_totals(check, units)), legend(LEGEND))
    why = items(
        Item(causes, label=one.train, level=one.verdict, link=anchors.get(one.train))
        for one in check.trains
        if (causes := _causes(one))
    )
    to_do = task_sections(overview, tasks, linked=bool(anchors))
    sure = section("How sure", *ranges_told(check.trains, session.house, anchors))
    return sheet("session", session.title, first, section("Why not go", why), *to_do, sure, notes(session.notes))


def _train_anchors(overview: Overview, kind: str = "train") -> dict[str, str]:
    """The anchor of each train's sheet, or of another `kind` of sheet that it has, by train."""
    return {one.train.name: f"{kind}-{number}" for number, one in enumerate(overview.trains, start=1)}


def _at_a_glance(overview: Overview, anchors: Mapping[str, str], units: Units) -> Table:
    def engines(check: TrainCheck) -> Cell:
        assigned, needed = len(check.power.assigned), check.power.needed
        return figure(f"{assigned}/{NONE if needed is None else needed}", needed)

    heavy = f"weight, {units.name}"
    return table(
        "Every train and its verdict",
        overview.trains,
        (Column("departs", figures=True, lesser=True), lambda one: Cell(clock(one.train.depart))),
        words("train", lambda one: one.train.name, wide=True, strong=True, links=anchors),
        (Column("verdict", narrow=""), lambda one: verdict_cell(one.check.verdict)),
        figures("margin", lambda one: one.check.margin, margin),
        words("worst car", lambda one: NONE if one.check.worst is None else one.check.worst.car),
        figures("cars", lambda one: len(one.check.cars), lesser=True),
        figures(heavy, lambda one: one.check.weight_g, units.train_weight_figure, lesser=True, narrow=units.name),
        figures("length", lambda one: one.check.length_mm, units.distance, lesser=True),
        (Column("engines", figures=True), lambda one: engines(one.check)),
        figures("order", lambda one: one.check.order_score, score, lesser=True),
        findable=True,
    )


def _totals(check: SessionCheck, units: Units) -> str:
    trains, verdicts = check.trains, Counter(train.verdict for train in check.trains)
    counts = [f"{verdicts[verdict]} {verdict.upper()}" for verdict in ("go", "care", "hold") if verdicts[verdict]]
    cars = counted(sum(len(train.cars) for train in trains), "car")
    weight = units.train_weight(sum(train.weight_g for train in trains))
    engines = counted(sum(len(train.power.assigned) for train in trains), "engine")
    return f"{counted(len(trains), 'train')}: {', '.join(counts)}. {cars}, {weight}, {engines} assigned."


def _causes(train: TrainCheck) -> str:
    """The codes of the findings for which a train may not simply go; empty where it may."""
    codes = Counter(finding.code for finding in train.findings if finding.level == train.verdict != "go")
    told = (code if count == 1 else f"{code} ({count})" for code, count in codes.items())
    return f"{', '.join(told)}." if codes else ""


def task_sections(overview: Overview, tasks: Sequence[Task], *, linked: bool = True) -> Iterator[Section]:
    """The tasks as sections: what leaves first, then a section for each who has something to do.

    Where `linked` each leads to the sheet of its train, or to the switch list that has its moves.
    """
    told = "Tick off what is done; a train's own sheet tells why."
    timed = [(train.depart, train.name) for train in overview.session.trains if train.depart is not None]
    if timed:
        departs, first_train = min(timed, key=lambda train: train[0])
        told = f"{unbroken(first_train)} leaves first, at {clock(departs)} by the fast clock. {told}"
    busy = {who: mine for who in DESKS if (mine := [task for task in tasks if task.who == who])}
    # a check alone does not look over the guests
    unseen = {"door"} if overview.door is None and any(car.guest for car in overview.session.cars.values()) else set()
    idle = ", ".join(desk for who, desk in DESKS.items() if who not in busy and who not in unseen)
    yield section("Before the first train leaves", Para(told), legend(f"{idle}: nothing to do." if idle else ""))
    sheets, lists = (_train_anchors(overview, kind) if linked else {} for kind in ("train", "switch-list"))
    for who, mine in busy.items():
        listed = items((task.item(lists if task.moves else sheets) for task in mine), boxes=True)
        more = _of_one_plan(overview, mine) if who == "power" else ""
        more = _that_can_wait(overview, tasks) if who == "bench" else more
        yield section(DESKS[who], listed, legend(more))
    if any(task.adds_weight for task in tasks):
        yield section("", ADDING_WEIGHT)


def _of_one_plan(overview: Overview, mine: Sequence[Task]) -> str:
    """Why the power desk's changes go together; empty where no plan gives every train its power."""
    least, power = overview.least_change, overview.power
    if power is None or power.short:
        return ""
    if least is not None and least.engines != power.engines:
        return LEAST_CHANGE
    return ONE_PLAN if any(task.level for task in mine) else f"{ONE_PLAN} {GIVEN_DO}"


def _that_can_wait(overview: Overview, tasks: Iterable[Task]) -> str:
    """How many cars of tonight's trains the bench's list has besides those that somebody is told to weight."""
    told = {car for task in tasks if task.who == "bench" or task.adds_weight for car in task.cars}
    listed = () if overview.bench is None else overview.bench.cars
    waiting = sum(bool(car.trains) and car.car not in told for car in listed)
    has = f"the bench sheet has {'it' if waiting == 1 else 'them'}"
    return f"{counted(waiting, 'more car')} of tonight's trains can wait; {has}." if waiting else ""


def document_of(overview: Overview, units: Units) -> Document:
    """The session's sheet, a sheet and a switch list a train, then those of the power, the bench and the door.

    Every text is on one line and free of control characters. `Cell.value` has figures as the JSON has them.
    """
    session, power, tasks = overview.session, overview.power, tasks_of(overview, units)
    anchors, lists = _train_anchors(overview), _train_anchors(overview, "switch-list")
    return of_sheets(
        session.title,
        _session_sheet(overview, tasks, anchors, units),
        *(train_sheet(session, one, anchors[one.train.name], units) for one in overview.trains),
        *(switch_list(overview, one, lists[one.train.name], tasks, units) for one in overview.trains),
        None if power is None else power_sheet(session, power, anchors, units),
        None if overview.bench is None else bench_sheet(overview.bench, anchors, units),
        None if overview.door is None else door_sheet(overview.door, units),
    )


def checked(session: Session, check: SessionCheck) -> Overview:
    """An evening of which only the check is known: nothing to draw but routes, no power, bench and door."""
    nothing = UseAlong(np.zeros(2), np.zeros((0, 1)))
    trains = {train.name: train for train in session.trains}
    seen = tuple(TrainOverview(trains[one.train], one, (), nothing, None, None) for one in check.trains)
    return Overview(session, check, seen, None, None, None)


def check_sheets(
    overview: Overview, units: Units, *, train_pages: bool = True, only_one: bool = False
) -> tuple[Sheet, ...]:
    """What `consist check` tells: the session's sheet and, unless they are not wanted, one a train.

    Where one train was asked for (`only_one`) its sheet alone, with what the session's would add.
    """
    session, tasks = overview.session, tasks_of(overview, units)
    pages = [
        train_sheet(session, one, "train", units, drawn=False, alone=tasks if only_one else None)
        for one in (overview.trains if train_pages else ())
    ]
    first = [] if only_one and pages else [_session_sheet(overview, tasks, {}, units)]
    return cautions_last(*first, *pages)
