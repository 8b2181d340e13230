"""What the door must do: guests' cars that may not simply come in, each with the one thing to do."""

from __future__ import annotations

from consist.checking.overview import Overview
from consist.report.door_words import answer_word, owner_of
from consist.report.sheets.anchors import by_departure
from consist.report.sheets.task import Task
from consist.report.words import clean, unbroken
from consist.rules.finding import Level
from consist.screening import GuestResult

__all__ = ["door_level", "door_tasks"]

TO_THE_BENCH = "Send it to the bench."
OF_WEIGHT = ("underweight", "not-weighed")


def door_level(answer: str) -> Level | None:
    """The level that an answer is marked with; None for a car that is simply welcome."""
    return None if answer == "welcome" else "hold" if answer == "not tonight" else "care"


def door_tasks(overview: Overview, at_bench: frozenset[str]) -> list[Task]:
    """A task a guest car that is not simply welcome; one that the bench is told of (`at_bench`) is sent there."""
    if overview.door is None:
        return []
    leaving = [one.train.name for one in by_departure(overview.trains)]
    tasks = [_task(car, leaving, car.car in at_bench) for car in overview.door.cars if car.answer != "welcome"]
    return sorted(tasks, key=lambda task: len(leaving) if task.train is None else leaving.index(task.train))


def _task(car: GuestResult, leaving: list[str], at_bench: bool) -> Task:
    code = next((reason.code for reason in car.grounds if reason.do == car.do), None)
    sent = at_bench and code in OF_WEIGHT
    do = TO_THE_BENCH if sent else clean(car.do)
    stands = [ride.train for ride in car.trains if ride.in_train is not None]
    return Task(
        "Door",
        next((train for train in leaving if train in stands), None),
        f"{unbroken(car.car)} of {owner_of(car)}, {answer_word(car.answer)}: {do}",
        door_level(car.answer),
        cars=(car.car,),
        adds_weight=code == "underweight" and not sent,
    )
