"""What to do before the first train leaves, and who must do it: one list, what matters most first.

Every finding of care and hold is answered by exactly one task. What bench, door and power desk have found out refines
the list; where an evening has only its check, the findings and suggestions of that make it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from consist.bench import BenchCar
from consist.evening.overview import Overview, TrainOverview
from consist.evening.results import Suggestion
from consist.power import TrainPower
from consist.report.document import Item
from consist.report.sheets.bench import LITTLE_GAIN, gain_words, over_trucks, weighs_words
from consist.report.sheets.door import LEVELS_OF, owner_of
from consist.report.sheets.moves import ADD_WEIGHT, MENDED_BY_ORDER, NONE_GOES, cars_moved, gained_words, work_words
from consist.report.sheets.parts import ADVISING_WEIGHT
from consist.report.sheets.power import NO_OPTION, has_words, swap_words
from consist.report.words import named, unbroken
from consist.rules.case import LEVELS, Finding, Level
from consist.wording import Units, clock

__all__ = ["DESKS", "Task", "Who", "tasks_of"]

Who = Literal["yard", "power", "bench", "door"]
DESKS: dict[Who, str] = {"yard": "Yard", "power": "Power desk", "bench": "Bench", "door": "Door"}
"""Who does things, and how they are called, in the order of the sheet."""
OF_A_CAR, NOT_WEIGHED, LIGHT, SHORT = ("underweight", "overweight"), "not-weighed", "slack", "power-short"
UNSURE = "unsure"
"""Codes of findings; `slack` of care speaks to the bench, since it is of light cars."""
NOT_THE_YARDS = frozenset({*OF_A_CAR, NOT_WEIGHED, LIGHT, SHORT, UNSURE})
"""Codes that somebody else sees to; a code that nobody knows is the yard's."""
TWO_TRAINS, UNLIKELY = "two-trains", "unlikely"


@dataclass(frozen=True)
class Task:
    """What somebody must do, in a short sentence, and for which train (None: none of tonight's).

    `answers` are the findings that it is done for, with their trains; it is as grave as those, and `presses` at
    least. `more` is told below. `cars` are those that it is done to. `gain` is what it adds to the train's margin,
    None where that is not known. `moves` is whether the train's switch list has the rest, `leaves_out` whether the
    cars stay out of the train, and `adds_weight` whether weight goes into one.
    """

    who: Who
    train: str | None
    what: str
    answers: tuple[tuple[str, Finding], ...] = ()
    cars: tuple[str, ...] = ()
    more: tuple[str, ...] = ()
    presses: Level | None = None
    gain: float | None = None
    by: str | None = None
    moves: bool = False
    leaves_out: bool = False
    adds_weight: bool = False

    @property
    def level(self) -> Level | None:
        """How grave it is, None where nothing presses."""
        levels = {self.presses, *(finding.level for _, finding in self.answers)}
        return next((level for level in LEVELS if level in levels), None)

    def also(self, train: str, finding: Finding) -> Task:
        """The same, done for that finding too."""
        return replace(self, answers=(*self.answers, (train, finding)))

    def item(self, anchors: Mapping[str, str] | None = None) -> Item:
        """A line to tick off; where there are `anchors`, by train, it is told for which, and leads to its sheet."""
        if self.train is None or anchors is None:
            return Item(self.what, level=self.level, more=self.more)
        label = " ".join(filter(None, (self.by, unbroken(self.train))))
        return Item(self.what, label=label, level=self.level, link=anchors.get(self.train), more=self.more)


def tasks_of(overview: Overview, units: Units) -> tuple[Task, ...]:
    """Every task of an evening, the gravest first, of equals that of the train which leaves first."""
    trains = sorted(overview.trains, key=lambda one: (one.train.depart is None, one.train.depart or 0))
    bench = _bench_tasks(overview, trains, units)
    at_bench = frozenset(car for task in bench for car in task.cars)
    power = {} if (plan := overview.power_to_make) is None else {train.train: train for train in plan.trains}
    tasks = [
        *_yard_tasks(overview, trains, at_bench),
        *(task for one in trains for task in _power_tasks(one, power.get(one.train.name))),
        *bench,
        *_door_tasks(overview, trains, at_bench),
    ]
    leaving = {one.train.name: number for number, one in enumerate(trains)}
    departs = {one.train.name: clock(one.train.depart) for one in trains if one.train.depart is not None}

    def matters(task: Task) -> tuple[int, int]:
        return (*LEVELS, None).index(task.level), leaving.get(task.train or "", len(leaving))

    return tuple(replace(task, by=departs.get(task.train or "")) for task in sorted(tasks, key=matters))


def _pressing(one: TrainOverview) -> list[Finding]:
    """The findings that keep a train from simply going."""
    return [finding for finding in one.check.findings if finding.level in ("care", "hold")]


def _task(who: Who, one: TrainOverview, what: str, found: Sequence[Finding], **more: Any) -> Task:
    """A task for a train, done for what was found in it, to the cars that is of."""
    answers = tuple((one.train.name, finding) for finding in found)
    cars = tuple(dict.fromkeys(car for finding in found for car in finding.cars or (finding.car,) if car is not None))
    return Task(who, one.train.name, what, answers, **{"cars": cars, **more})


def _yard_tasks(overview: Overview, trains: Sequence[TrainOverview], at_bench: frozenset[str]) -> Iterator[Task]:
    """The yard's tasks; `at_bench` are the cars that the bench is told of."""
    refused = frozenset(car.car for car in overview.door.of("not tonight")) if overview.door else frozenset()
    for one in trains:
        found = [finding for finding in _pressing(one) if finding.code not in NOT_THE_YARDS]
        mends = () if one.check.suggestion is None else MENDED_BY_ORDER
        others = [finding for finding in found if finding.code not in mends]
        out = [car.car.name for car in one.train.cars if car.car.name in refused]
        for car in out:
            what = f"Leave {unbroken(car)} out of it; the door keeps it for another evening."
            of_car = [finding for finding in others if finding.car == car]
            yield _task("yard", one, what, of_car, cars=(car,), leaves_out=True, presses="hold")
        if one.check.suggestion is not None:
            mended = [finding for finding in found if finding.code in mends]
            yield _switched(overview, one, one.check.suggestion, mended, at_bench)
        yield from _by_car(one, [each for each in others if each.car not in out and not _of_many(each)])
    yield from _of_many_trains(trains, refused)


def _switched(
    overview: Overview, one: TrainOverview, suggestion: Suggestion, found: list[Finding], at_bench: frozenset[str]
) -> Task:
    """The moves of a suggestion, and what is left to do where they are not enough."""
    now, then = one.check.margin, suggestion.margin
    enough = then is None or then >= overview.session.house.care_margin
    left = "" if enough else _left_to_do(overview, one, at_bench)
    return _task(
        "yard",
        one,
        f"Move {work_words(suggestion.moves)}, as its own sheet tells; {gained_words(now, then)}.",
        found,
        more=(f"{NONE_GOES}; {left}.",) if left else (),
        cars=cars_moved(suggestion),
        gain=None if now is None or then is None else then - now,
        moves=True,
        adds_weight=left == ADD_WEIGHT,
    )


def _left_to_do(overview: Overview, one: TrainOverview, at_bench: frozenset[str]) -> str:
    """What to do where no order is enough: the yard is to add weight unless the bench may see to that."""
    care = overview.session.house.care_margin
    for car in () if overview.bench is None else overview.bench.cars:
        goes = car.margin_after is not None and car.margin_after >= care
        if goes and car.worst_train == one.train.name and car.car in at_bench:
            return f"weighting {unbroken(car.car)} at the bench does, in the order it stands in"
    uses = {} if one.after is None else one.after.uses
    worst = max(uses, key=uses.__getitem__, default="")
    return f"the bench has {unbroken(worst)}, its worst car then" if worst in at_bench else ADD_WEIGHT


def _by_car(one: TrainOverview, found: list[Finding]) -> Iterator[Task]:
    """A task a car, or a finding that is of none; that it stands ahead of a heavier one goes with its side pull."""
    groups: dict[object, list[Finding]] = {}
    for number, finding in enumerate(found):
        groups.setdefault(number if finding.car is None else finding.car, []).append(finding)
    for group in groups.values():
        codes = {finding.code for finding in group}
        hidden = "light-ahead" if "side-pull" in codes else None
        first, *more = [finding.say for finding in group if finding.code != hidden]
        yield _task("yard", one, first, group, more=tuple(more), adds_weight=not codes.isdisjoint(ADVISING_WEIGHT))


def _of_many(finding: Finding) -> bool:
    """Whether it is found in each train that it is of, so that one task does for them all."""
    return finding.code == TWO_TRAINS or (finding.code == UNLIKELY and finding.car is None)


def _of_many_trains(trains: Sequence[TrainOverview], refused: frozenset[str]) -> Collection[Task]:
    """A task for each car that two trains need at once, and for each slip of the track, with the first to leave."""
    tasks: dict[object, Task] = {}
    for one in trains:
        for finding in _pressing(one):
            if _of_many(finding) and finding.car not in refused:
                meeting = finding.car, frozenset((one.train.name, finding.other))
                what = finding.say if finding.other is None else meeting
                here, before = _task("yard", one, finding.say, [finding]), tasks.get(what)
                tasks[what] = here if before is None else before.also(one.train.name, finding)
    return tasks.values()


def _power_tasks(one: TrainOverview, power: TrainPower | None) -> list[Task]:
    """What the power desk does for a train, by the plan for it where there is one."""
    found = [finding for finding in _pressing(one) if finding.code == SHORT]
    if power is not None and power.short:
        option = power.options[0].say if power.options else NO_OPTION
        return [_task("power", one, has_words(power), found, more=(option,), presses="hold")]
    swap = "" if power is None else swap_words(power)
    return [_task("power", one, swap, found)] if swap else [_task("power", one, each.say, [each]) for each in found]


def _bench_tasks(overview: Overview, trains: Sequence[TrainOverview], units: Units) -> list[Task]:
    """The bench's tasks; a finding of a car that is told already is added to its task."""
    listed = {} if overview.bench is None else {car.car: car for car in (*overview.bench.cars, *overview.bench.later)}
    tasks: list[Task] = []
    for one in trains:
        found = []
        for finding in (each for each in _pressing(one) if each.code in (*OF_A_CAR, NOT_WEIGHED, LIGHT, UNSURE)):
            number = next((number for number, task in enumerate(tasks) if finding.car in task.cars), None)
            if number is None:
                found.append(finding)
            else:
                tasks[number] = tasks[number].also(one.train.name, finding)
        own = {finding.car for finding in found}
        for finding in found:
            if finding.code in OF_A_CAR:
                tasks.append(_weighted(one, finding, listed.get(finding.car or ""), units))
            elif finding.code == UNSURE:
                tasks.append(_task("bench", one, finding.say, [finding]))
            elif finding.code == LIGHT:
                told = own.union(*(task.cars for task in tasks))
                light = [car for car in listed.values() if one.train.name in car.trains and car.car not in told]
                more, cars = tuple(_pieces(car, units) for car in light), tuple(car.car for car in light)
                tasks.append(
                    _task("bench", one, finding.say, [finding], more=more, cars=cars, adds_weight=bool(cars))
                )
        to_weigh = [finding for finding in found if finding.code == NOT_WEIGHED]
        if to_weigh:
            names = named(finding.car for finding in to_weigh if finding.car is not None)
            tasks.append(_task("bench", one, f"Weigh {names} with everything on the scale.", to_weigh))
    return tasks


def _weighted(one: TrainOverview, finding: Finding, car: BenchCar | None, units: Units) -> Task:
    """A car to weight with the pieces of the bench's list; what the check says of it where it is not on that list."""
    adds_weight = finding.code == "underweight"
    if car is None:
        return _task("bench", one, finding.say, [finding], adds_weight=adds_weight)
    gain = gain_words(replace(car, far_under_in=())) if car.gain is not None and car.gain >= LITTLE_GAIN else ""
    more = tuple(f"{words[0].upper()}{words[1:]}" for words in (gain, car.note) if words)
    return _task("bench", one, _pieces(car, units), [finding], more=more, gain=car.gain, adds_weight=adds_weight)


def _pieces(car: BenchCar, units: Units) -> str:
    told = [f"add {unbroken(units.weight(car.add_g))}"] if car.add_g is not None else []
    told += [over_trucks(car.choice)] if car.choice is not None and car.choice.pieces else []
    return f"{unbroken(car.car)}: " + (f"{', '.join(told)}." if told else weighs_words(car, units))


def _door_tasks(overview: Overview, trains: Sequence[TrainOverview], at_bench: frozenset[str]) -> Iterator[Task]:
    """A task a guest car that is not simply welcome; one that the bench is told of (`at_bench`) is sent there."""
    for car in () if overview.door is None else overview.door.cars:
        if car.answer == "welcome":
            continue
        first = next((reason for reason in car.grounds if reason.do == car.do), None)
        to_weight = first is not None and first.adds_weight
        sent = car.car in at_bench and (to_weight or (first is not None and first.code == "not-weighed"))
        stands = [ride.train for ride in car.trains if ride.in_train is not None]
        train = next((one.train.name for one in trains if one.train.name in stands), None)
        do = "Send it to the bench." if sent else car.do
        what = f"{unbroken(car.car)} of {owner_of(car)}, {car.answer.upper()}: {do}"
        adds_weight = to_weight and not sent
        presses = LEVELS_OF.get(car.answer)
        yield Task("door", train, what, cars=(car.car,), presses=presses, adds_weight=adds_weight)
