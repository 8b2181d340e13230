"""What the yard must do: trains to switch into a better order, cars to leave out, trains that are too long."""

from __future__ import annotations

from collections.abc import Iterator

from consist.checking.overview import Overview, TrainOverview
from consist.report.finding_words import ADVISING_WEIGHT
from consist.report.move_words import ADD_WEIGHT, MENDED_BY_ORDER, NONE_GOES, gain_words, work_words
from consist.report.sheets.anchors import by_departure
from consist.report.sheets.task import Task, gravest, pressing
from consist.report.words import unbroken
from consist.rules.finding import Finding

__all__ = ["NOT_THE_YARDS", "yard_tasks"]

NOT_THE_YARDS = frozenset({"power-short", "slack", "underweight", "overweight", "not-weighed"})
"""Codes of findings that somebody else sees to; a code that nobody knows is the yard's."""
TWO_TRAINS = "two-trains"


def yard_tasks(overview: Overview, at_bench: frozenset[str]) -> list[Task]:
    """The yard's tasks, in the order in which the trains leave; `at_bench` are the cars that the bench is told of."""
    tasks: list[Task] = []
    refused = _refused(overview)
    for one in by_departure(overview.trains):
        found = [finding for finding in pressing(one.check.findings) if finding.code not in NOT_THE_YARDS]
        out = [car.car.name for car in one.train.cars if car.car.name in refused]
        for car in out:
            tasks.append(_left_out(one, car, [finding for finding in found if _goes_with(one, finding, car)]))
        found = [finding for finding in found if not any(_goes_with(one, finding, car) for car in out)]
        if one.check.suggestion is not None:
            mended = [finding for finding in found if finding.code in MENDED_BY_ORDER]
            tasks.append(_moves(overview, one, mended, at_bench))
            found = [finding for finding in found if finding.code not in MENDED_BY_ORDER]
        tasks += _by_car(one, [finding for finding in found if finding.code != TWO_TRAINS])
    return _in_order(overview, [*tasks, *_meetings(overview, refused)])


def _in_order(overview: Overview, tasks: list[Task]) -> list[Task]:
    leaving = [one.train.name for one in by_departure(overview.trains)]
    return sorted(tasks, key=lambda task: leaving.index(task.train) if task.train in leaving else len(leaving))


def _refused(overview: Overview) -> frozenset[str]:
    """Guests' cars that may not ride tonight."""
    return frozenset() if overview.door is None else frozenset(car.car for car in overview.door.of("not tonight"))


def _goes_with(one: TrainOverview, finding: Finding, car: str) -> bool:
    """Whether a finding is done with once a car is left out: its own, unless an order is made for it."""
    mended = one.check.suggestion is not None and finding.code in MENDED_BY_ORDER
    return finding.car == car and not mended


def _left_out(one: TrainOverview, car: str, found: list[Finding]) -> Task:
    return Task(
        "Yard",
        one.train.name,
        f"Leave {unbroken(car)} out of it; the door keeps it for another evening.",
        gravest(["hold", *(finding.level for finding in found)]),
        answers=tuple((one.train.name, finding) for finding in found),
        cars=(car,),
        leaves_out=True,
    )


def _moves(overview: Overview, one: TrainOverview, found: list[Finding], at_bench: frozenset[str]) -> Task:
    """The moves of a suggestion, and what is left to do where they are not enough."""
    suggestion = one.check.suggestion
    assert suggestion is not None
    gain = gain_words(one.check.margin, suggestion.margin)
    enough = suggestion.margin is None or suggestion.margin >= overview.session.house.care_margin
    left, adds_weight = ("", False) if enough else _left_to_do(overview, one, at_bench)
    return Task(
        "Yard",
        one.train.name,
        f"Move {work_words(suggestion.moves)}, as its switch list tells; {gain}.",
        gravest([finding.level for finding in found]),
        more=(f"{NONE_GOES}; {left}.",) if left else (),
        answers=tuple((one.train.name, finding) for finding in found),
        cars=tuple(car for move in suggestion.moves for car in move.cars),
        moves=True,
        adds_weight=adds_weight,
    )


def _left_to_do(overview: Overview, one: TrainOverview, at_bench: frozenset[str]) -> tuple[str, bool]:
    """What to do where no order is enough, and whether the yard is to add weight: the bench may see to that."""
    care = overview.session.house.care_margin
    for car in () if overview.bench is None else overview.bench.cars:
        goes = car.margin_after is not None and car.margin_after >= care
        if goes and car.worst_train == one.train.name and car.car in at_bench:
            return f"weighting {unbroken(car.car)} at the bench does, in the order it stands in", False
    uses = {} if one.after is None else one.after.uses
    worst = max(uses, key=uses.__getitem__, default="")
    if worst in at_bench:
        return f"the bench has {unbroken(worst)}, its worst car then", False
    return ADD_WEIGHT, True


def _by_car(one: TrainOverview, found: list[Finding]) -> Iterator[Task]:
    """A task a car, or a finding that is of none; that it stands ahead of a heavier one goes with its side pull."""
    groups: dict[object, list[Finding]] = {}
    for number, finding in enumerate(found):
        groups.setdefault(number if finding.car is None else finding.car, []).append(finding)
    for group in groups.values():
        pulled = any(finding.code == "side-pull" for finding in group)
        first, *more = [finding for finding in group if not (pulled and finding.code == "light-ahead")]
        yield Task(
            "Yard",
            one.train.name,
            first.say,
            gravest([finding.level for finding in group]),
            more=tuple(finding.say for finding in more),
            answers=tuple((one.train.name, finding) for finding in group),
            cars=() if first.car is None else (first.car,),
            adds_weight=any(finding.code in ADVISING_WEIGHT for finding in group),
        )


def _meetings(overview: Overview, refused: frozenset[str]) -> list[Task]:
    """A task for each car and two trains that need it at once, told with the train that leaves first."""
    tasks: dict[object, Task] = {}
    for one in by_departure(overview.trains):
        for number, (finding, other) in enumerate(_with_others(overview, one)):
            pair = (finding.car, frozenset((one.train.name, other)) if other else (one.train.name, number))
            if finding.level == "note" or finding.car in refused:
                continue
            if pair in tasks:
                tasks[pair] = tasks[pair].also((one.train.name, finding))
            else:
                cars = () if finding.car is None else (finding.car,)
                answers = ((one.train.name, finding),)
                tasks[pair] = Task("Yard", one.train.name, finding.say, finding.level, answers=answers, cars=cars)
    return list(tasks.values())


def _with_others(overview: Overview, one: TrainOverview) -> Iterator[tuple[Finding, str]]:
    """Findings of cars in two trains, with the other train: the rule has one for each, in the session's order."""
    found = [finding for finding in one.check.findings if finding.code == TWO_TRAINS]
    for car in dict.fromkeys(finding.car for finding in found):
        others = [
            train.name
            for train in overview.session.trains
            if train.name != one.train.name and any(each.car.name == car for each in train.cars)
        ]
        of_car = [finding for finding in found if finding.car == car]
        yield from zip(of_car, others if len(others) == len(of_car) else [""] * len(of_car), strict=True)
