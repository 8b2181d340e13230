"""What the bench must do before the trains leave: cars to weight and to weigh, of tonight's trains only."""

from __future__ import annotations

from collections.abc import Sequence

from consist.bench import BenchCar
from consist.checking.overview import Overview, TrainOverview
from consist.report.bench_words import LITTLE_GAIN, car_words, gain_words, over_trucks
from consist.report.sheets.anchors import by_departure
from consist.report.sheets.task import Task, gravest, pressing
from consist.report.units import Units
from consist.report.words import clean, listing, unbroken
from consist.rules.finding import Finding

__all__ = ["bench_tasks", "that_can_wait"]

WEIGHTS = ("underweight", "overweight")
"""Codes of a car's own weight; `slack` of care speaks to the bench as well, since it is of light cars."""


def bench_tasks(overview: Overview, units: Units) -> list[Task]:
    """The bench's tasks, in the order in which the trains leave; a car of two trains is told once."""
    listed = {} if overview.bench is None else {car.car: car for car in (*overview.bench.cars, *overview.bench.later)}
    tasks: list[Task] = []
    for one in by_departure(overview.trains):
        found = _not_told(one, tasks)
        own = {finding.car for finding in found}
        for finding in found:
            if finding.code in WEIGHTS:
                tasks.append(_weight(one, finding, listed.get(finding.car or ""), units))
            elif finding.code == "slack":
                told = {car for task in tasks for car in task.cars}
                light = [
                    car for car in listed.values() if one.train.name in car.trains and car.car not in {*told, *own}
                ]
                tasks.append(_light(one, finding, light, units))
        tasks += _to_weigh(one, [finding for finding in found if finding.code == "not-weighed"])
    return tasks


def that_can_wait(overview: Overview, tasks: Sequence[Task]) -> int:
    """How many cars of tonight's trains the bench's list has besides those that somebody is told to weight."""
    if overview.bench is None:
        return 0
    told = {car for task in tasks if task.desk == "Bench" or task.adds_weight for car in task.cars}
    return sum(bool(car.trains) and car.car not in told for car in overview.bench.cars)


def _not_told(one: TrainOverview, tasks: list[Task]) -> list[Finding]:
    """The bench's findings of a train; those of a car that is told already are added to its task."""
    left = []
    for finding in pressing(one.check.findings):
        if finding.code not in (*WEIGHTS, "not-weighed", "slack"):
            continue
        with_it = (
            number for number, task in enumerate(tasks) if finding.car is not None and finding.car in task.cars
        )
        number = next(with_it, None)
        if number is None:
            left.append(finding)
        else:
            tasks[number] = tasks[number].also((one.train.name, finding))
    return left


def _weight(one: TrainOverview, finding: Finding, car: BenchCar | None, units: Units) -> Task:
    """A car to weight with the pieces of the bench's list; what the check says of it where it is not on that list."""
    return Task(
        "Bench",
        one.train.name,
        finding.say if car is None else _pieces(car, units),
        finding.level,
        more=() if car is None else _gain_and_note(car),
        answers=((one.train.name, finding),),
        cars=() if finding.car is None else (finding.car,),
        adds_weight=finding.code == "underweight",
    )


def _light(one: TrainOverview, finding: Finding, light: list[BenchCar], units: Units) -> Task:
    """A train of light cars, with those of them that are not told by themselves."""
    return Task(
        "Bench",
        one.train.name,
        finding.say,
        finding.level,
        more=tuple(_pieces(car, units) for car in light),
        answers=((one.train.name, finding),),
        cars=tuple(car.car for car in light),
        adds_weight=bool(light),
    )


def _pieces(car: BenchCar, units: Units) -> str:
    """What to add to a car, in weight and in pieces."""
    add = f"add {unbroken(units.weight(car.add_g))}" if car.add_g is not None else ""
    pieces = over_trucks(car.choice) if car.choice is not None and car.choice.pieces else ""
    if not pieces:
        return f"{unbroken(car.car)}: {add}." if add else f"{unbroken(car.car)}: {car_words(car, units)['Weighs']}"
    return f"{unbroken(car.car)}: {add}{', ' if add else ''}{pieces}"


def _gain_and_note(car: BenchCar) -> tuple[str, ...]:
    gain = gain_words(car) if car.gain is not None and car.gain >= LITTLE_GAIN else ""
    return tuple(f"{words[0].upper()}{words[1:]}" for words in (gain, clean(car.note)) if words)


def _to_weigh(one: TrainOverview, found: list[Finding]) -> list[Task]:
    """All cars of a train that have no weight, in one."""
    if not found:
        return []
    cars = [finding.car for finding in found if finding.car is not None]
    say = f"Weigh {listing([unbroken(car) for car in cars])} with everything on the scale."
    answers = tuple((one.train.name, finding) for finding in found)
    level = gravest([finding.level for finding in found])
    return [Task("Bench", one.train.name, say, level, answers=answers, cars=tuple(cars))]
