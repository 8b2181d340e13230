"""What to do before the first train leaves, and who must do it."""

from __future__ import annotations

from consist.cautions import WEIGHTS
from consist.checking.overview import Overview
from consist.power.words import clock
from consist.report.document import Block, Caution, Item, Items, Para, Section
from consist.report.sheets.anchors import by_departure, switch_list_anchors, train_anchors
from consist.report.sheets.bench_tasks import bench_tasks, that_can_wait
from consist.report.sheets.door_tasks import door_tasks
from consist.report.sheets.power_tasks import power_tasks
from consist.report.sheets.task import DESKS, Desk, Task
from consist.report.sheets.yard_tasks import yard_tasks
from consist.report.units import Units
from consist.report.words import clean, counted, unbroken

__all__ = ["ADDING", "task_sections", "tasks_of"]

ADDING = "Adding weight"
NOTHING = "Nothing to do."
ONE_PLAN = "What the power desk changes is one plan, which the power sheet has: make all of its changes or none."
LEAST_CHANGE = (
    "All other trains keep the engines given: make all of these changes or none. The power sheet has the plan of the "
    "fewest engines, which changes more."
)
GIVEN_DO = "Every train can move with the engines given, too."


def tasks_of(overview: Overview, units: Units) -> tuple[Task, ...]:
    """Every task, by desk, and for each desk in the order in which the trains leave.

    Every finding of care and hold is answered by exactly one of them.
    """
    bench = bench_tasks(overview, units)
    at_bench = frozenset(car for task in bench for car in task.cars)
    return (*yard_tasks(overview, at_bench), *power_tasks(overview), *bench, *door_tasks(overview, at_bench))


def task_sections(overview: Overview, tasks: tuple[Task, ...]) -> tuple[Section, ...]:
    """The tasks as sections: what leaves first, then a section a desk."""
    warned = [task.desk for task in tasks if task.adds_weight][-1:]
    first = Section("Before the first train leaves", (Para(_first(overview)),))
    return (first, *(Section(desk, _desk(overview, desk, tasks, desk in warned)) for desk in DESKS))


def _first(overview: Overview) -> str:
    told = "Tick off what is done; a train's own sheet tells why."
    timed = [one.train for one in by_departure(overview.trains) if one.train.depart is not None]
    if not timed:
        return told
    train = timed[0]
    return f"{unbroken(train.name)} leaves first, at {clock(train.depart or 0)} by the fast clock. {told}"


def _desk(overview: Overview, desk: Desk, tasks: tuple[Task, ...], warned: bool) -> tuple[Block, ...]:
    mine = [task for task in tasks if task.desk == desk]
    if not mine:
        blocks: list[Block] = [Para(NOTHING)]
    else:
        blocks = [Items(tuple(_item(overview, task) for task in mine), boxes=True)]
    if desk == "Power desk" and mine and overview.power is not None and not overview.power.short:
        blocks.append(Para(_of_one_plan(overview, mine), legend=True))
    waiting = that_can_wait(overview, tasks) if desk == "Bench" else 0
    if waiting:
        has = f"the bench sheet has {'it' if waiting == 1 else 'them'}"
        told = f"{counted(waiting, 'more car')} of tonight's trains can wait; {has}."
        blocks.append(Para(told, legend=True))
    if warned:
        blocks.append(Caution(ADDING, WEIGHTS))
    return tuple(blocks)


def _of_one_plan(overview: Overview, mine: list[Task]) -> str:
    """Why the power desk's changes go together."""
    least, power = overview.least_change, overview.power
    if least is not None and power is not None and least.engines != power.engines:
        return LEAST_CHANGE
    return ONE_PLAN if any(task.level for task in mine) else f"{ONE_PLAN} {GIVEN_DO}"


def _item(overview: Overview, task: Task) -> Item:
    anchors = switch_list_anchors(overview) if task.moves else train_anchors(overview)
    train = next((one.train for one in overview.trains if one.train.name == task.train), None)
    if train is None:
        return Item(task.say, level=task.level, more=task.more)
    label = unbroken(train.name) if train.depart is None else f"{clock(train.depart)} {unbroken(train.name)}"
    return Item(clean(task.say), label=label, level=task.level, link=anchors[train.name], more=task.more)
