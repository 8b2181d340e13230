"""What to do before the first train leaves, and who must do it: one list, what matters most first.

Every finding of care and hold is answered by exactly one task. What bench, door and power desk have found out refines
the list; where an evening has only its check, the findings and suggestions of that make it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from consist.cautions import WEIGHTS
from consist.checking.overview import Overview, TrainOverview
from consist.power.words import clock
from consist.report.document import Block, Caution, Item, Items, Para, Section
from consist.report.sheets.moves import ADDING
from consist.report.words import counted, unbroken
from consist.rules.finding import LEVELS, Finding, Level

__all__ = [
    "DESKS",
    "Answered",
    "Task",
    "Who",
    "by_departure",
    "gravest",
    "in_order",
    "pressing",
    "task_sections",
    "train_anchors",
]

Who = Literal["yard", "power", "bench", "door"]
DESKS: dict[Who, str] = {"yard": "Yard", "power": "Power desk", "bench": "Bench", "door": "Door"}
"""Who does things, and how they are called, in the order of the sheet."""
Answered = tuple[str, Finding]
"""A finding with the train it was found in."""
ONE_PLAN = "What the power desk changes is one plan, which the power sheet has: make all of its changes or none."
LEAST_CHANGE = (
    "All other trains keep the engines given: make all of these changes or none. The power sheet has the plan of the "
    "fewest engines, which changes more."
)
GIVEN_DO = "Every train can move with the engines given, too."


@dataclass(frozen=True)
class Task:
    """What somebody must do, in a short sentence, and for which train (None: none of tonight's).

    `answers` are the findings that it is done for. `more` is told below. `cars` are those that it is done to. `gain`
    is what it adds to the train's margin, None where that is not known. `moves` is whether the train's switch list
    has the rest, `leaves_out` whether the cars stay out of the train, and `adds_weight` whether weight goes into one.
    """

    who: Who
    train: str | None
    what: str
    level: Level | None = None
    more: tuple[str, ...] = ()
    answers: tuple[Answered, ...] = ()
    cars: tuple[str, ...] = ()
    gain: float | None = None
    by: str | None = None
    moves: bool = False
    leaves_out: bool = False
    adds_weight: bool = False

    def also(self, *answers: Answered) -> Task:
        """The same, done for those findings too."""
        level = gravest([self.level, *(finding.level for _, finding in answers)])
        return replace(self, answers=(*self.answers, *answers), level=level)


def pressing(findings: Iterable[Finding]) -> list[Finding]:
    """The findings that keep a train from simply going."""
    return [finding for finding in findings if finding.level in ("care", "hold")]


def gravest(levels: list[Level | None]) -> Level | None:
    """The gravest of levels, None where there is none."""
    return next((level for level in LEVELS if level in levels), None)


def by_departure(trains: Iterable[TrainOverview]) -> list[TrainOverview]:
    """Trains as they leave, those without a time last, else in the session's order."""
    return sorted(trains, key=lambda one: (one.train.depart is None, one.train.depart or 0))


def train_anchors(overview: Overview, kind: str = "train") -> dict[str, str]:
    """The anchor of each train's sheet, or of another `kind` of sheet that it has, by train."""
    return {one.train.name: f"{kind}-{number}" for number, one in enumerate(overview.trains, start=1)}


def in_order(overview: Overview, tasks: Iterable[Task]) -> tuple[Task, ...]:
    """The tasks, the gravest first, of equals that of the train which leaves first, each with its time."""
    trains = by_departure(overview.trains)
    leaving = {one.train.name: number for number, one in enumerate(trains)}
    departs = {one.train.name: one.train.depart for one in trains}

    def matters(task: Task) -> tuple[int, int]:
        level = len(LEVELS) if task.level is None else LEVELS.index(task.level)
        return level, leaving.get(task.train or "", len(leaving))

    def timed(task: Task) -> Task:
        departure = departs.get(task.train or "")
        return replace(task, by=None if departure is None else clock(departure))

    return tuple(map(timed, sorted(tasks, key=matters)))


def task_sections(overview: Overview, tasks: tuple[Task, ...], *, linked: bool = True) -> tuple[Section, ...]:
    """The tasks as sections: what leaves first, then a section for each who has something to do.

    Where `linked` each leads to the sheet of its train, or to the switch list that has its moves.
    """
    anchors = train_anchors(overview) if linked else {}
    told = "Tick off what is done; a train's own sheet tells why."
    timed = [(train.depart, train.name) for train in overview.session.trains if train.depart is not None]
    if timed:
        departs, first_train = min(timed, key=lambda train: train[0])
        told = f"{unbroken(first_train)} leaves first, at {clock(departs)} by the fast clock. {told}"
    idle = [desk for who, desk in DESKS.items() if not any(task.who == who for task in tasks)]
    first = [Para(told)]
    if idle:
        first.append(Para(f"{', '.join(idle)}: nothing to do.", legend=True))
    sections = [Section("Before the first train leaves", tuple(first))]
    warned = next((who for who in reversed(DESKS) if any(t.who == who and t.adds_weight for t in tasks)), None)
    for who, desk in DESKS.items():
        mine = [task for task in tasks if task.who == who]
        if not mine:
            continue
        blocks: list[Block] = [Items(tuple(_item(task, anchors) for task in mine), boxes=True)]
        if who == "power" and overview.power is not None and not overview.power.short:
            blocks.append(Para(_of_one_plan(overview, mine), legend=True))
        waiting = _that_can_wait(overview, tasks) if who == "bench" else 0
        if waiting:
            has = f"the bench sheet has {'it' if waiting == 1 else 'them'}"
            blocks.append(Para(f"{counted(waiting, 'more car')} of tonight's trains can wait; {has}.", legend=True))
        if who == warned:
            blocks.append(Caution(ADDING, WEIGHTS))
        sections.append(Section(desk, tuple(blocks)))
    return tuple(sections)


def _item(task: Task, anchors: dict[str, str]) -> Item:
    if task.train is None:
        return Item(task.what, level=task.level, more=task.more)
    link = anchors.get(task.train)
    if link is not None and task.moves:
        link = link.replace("train-", "switch-list-")
    label = f"{task.by} {unbroken(task.train)}" if task.by else unbroken(task.train)
    return Item(task.what, label=label, level=task.level, link=link, more=task.more)


def _of_one_plan(overview: Overview, mine: list[Task]) -> str:
    """Why the power desk's changes go together."""
    least, power = overview.least_change, overview.power
    if least is not None and power is not None and least.engines != power.engines:
        return LEAST_CHANGE
    return ONE_PLAN if any(task.level for task in mine) else f"{ONE_PLAN} {GIVEN_DO}"


def _that_can_wait(overview: Overview, tasks: Iterable[Task]) -> int:
    """How many cars of tonight's trains the bench's list has besides those that somebody is told to weight."""
    if overview.bench is None:
        return 0
    told = {car for task in tasks if task.who == "bench" or task.adds_weight for car in task.cars}
    return sum(bool(car.trains) and car.car not in told for car in overview.bench.cars)
