"""Each desk's tasks: the yard's moves, the engines to change, the cars to weight, the guests at the door."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from consist.bench import BenchCar
from consist.checking.overview import Overview, TrainOverview
from consist.power import TrainPower
from consist.report.sheets.bench import LITTLE_GAIN, car_facts, gain_words, over_trucks
from consist.report.sheets.door import answer_word, door_level, owner_of
from consist.report.sheets.figures import ADVISING_WEIGHT
from consist.report.sheets.moves import ADD_WEIGHT, MENDED_BY_ORDER, NONE_GOES, work_words
from consist.report.sheets.moves import gain_words as gained_words
from consist.report.sheets.power import NO_OPTION, has_words
from consist.report.sheets.tasks import Task, Who, by_departure, gravest, in_order, pressing
from consist.report.words import listing, unbroken
from consist.rules.finding import Finding
from consist.screening import GuestResult
from consist.wording import Units, percent

__all__ = ["swap_words", "tasks_of"]

NOT_THE_YARDS = frozenset({"power-short", "slack", "underweight", "overweight", "not-weighed"})
"""Codes of findings that somebody else sees to; a code that nobody knows is the yard's."""
TWO_TRAINS = "two-trains"
OF_A_CAR = ("underweight", "overweight")
"""Codes of a car's own weight; `slack` of care speaks to the bench as well, since it is of light cars."""
TO_THE_BENCH = "Send it to the bench."
OF_WEIGHT = ("underweight", "not-weighed")


def tasks_of(overview: Overview, units: Units) -> tuple[Task, ...]:
    """Every task of an evening, what matters most first."""
    bench = _bench_tasks(overview, units)
    at_bench = frozenset(car for task in bench for car in task.cars)
    yard, door = _yard_tasks(overview, at_bench), _door_tasks(overview, at_bench)
    return in_order(overview, (*yard, *_power_tasks(overview), *bench, *door))


def _task(who: Who, one: TrainOverview, what: str, found: Sequence[Finding], **more: Any) -> Task:
    """A task for a train, done for what was found in it and as grave as that."""
    train, level = one.train.name, gravest([finding.level for finding in found])
    return Task(who, train, what, level, answers=tuple((train, finding) for finding in found), **more)


def _yard_tasks(overview: Overview, at_bench: frozenset[str]) -> list[Task]:
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
            tasks.append(_switched(overview, one, mended, at_bench))
            found = [finding for finding in found if finding.code not in MENDED_BY_ORDER]
        tasks += _by_car(one, [finding for finding in found if finding.code != TWO_TRAINS])
    return [*tasks, *_meetings(overview, refused)]


def _refused(overview: Overview) -> frozenset[str]:
    """Guests' cars that may not ride tonight."""
    return frozenset() if overview.door is None else frozenset(car.car for car in overview.door.of("not tonight"))


def _goes_with(one: TrainOverview, finding: Finding, car: str) -> bool:
    """Whether a finding is done with once a car is left out: its own, unless an order is made for it."""
    mended = one.check.suggestion is not None and finding.code in MENDED_BY_ORDER
    return finding.car == car and not mended


def _left_out(one: TrainOverview, car: str, found: list[Finding]) -> Task:
    what = f"Leave {unbroken(car)} out of it; the door keeps it for another evening."
    return replace(_task("yard", one, what, found, cars=(car,), leaves_out=True), level="hold")


def _switched(overview: Overview, one: TrainOverview, found: list[Finding], at_bench: frozenset[str]) -> Task:
    """The moves of a suggestion, and what is left to do where they are not enough."""
    suggestion = one.check.suggestion
    assert suggestion is not None
    now, then = one.check.margin, suggestion.margin
    enough = suggestion.margin is None or suggestion.margin >= overview.session.house.care_margin
    left, adds_weight = ("", False) if enough else _left_to_do(overview, one, at_bench)
    return _task(
        "yard",
        one,
        f"Move {work_words(suggestion.moves)}, as its own sheet tells; {gained_words(now, then)}.",
        found,
        more=(f"{NONE_GOES}; {left}.",) if left else (),
        cars=tuple(car for move in suggestion.moves for car in move.cars),
        gain=None if now is None or then is None else then - now,
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
        yield _task(
            "yard",
            one,
            first.say,
            group,
            more=tuple(finding.say for finding in more),
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
                tasks[pair] = _task("yard", one, finding.say, [finding], cars=cars)
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


def _power_tasks(overview: Overview) -> list[Task]:
    """The power desk's tasks, in the order in which the trains leave."""
    power = overview.power_to_make
    plan = {} if power is None else {train.train: train for train in power.trains}
    return [task for one in by_departure(overview.trains) for task in _powered(one, plan.get(one.train.name))]


def _powered(one: TrainOverview, power: TrainPower | None) -> list[Task]:
    found = [finding for finding in pressing(one.check.findings) if finding.code == "power-short"]
    if power is not None and power.short:
        option = power.options[0].say if power.options else NO_OPTION
        return [replace(_task("power", one, has_words(power), found, more=(option,)), level="hold")]
    swap = "" if power is None else swap_words(power)
    if swap:
        return [_task("power", one, swap, found)]
    return [_task("power", one, finding.say, [finding]) for finding in found]


def swap_words(power: TrainPower) -> str:
    """Which engines of the plan to put on a train in place of those given; empty where they are the same.

    >>> swap_words(TrainPower("T", "Low", "High", 0, 9, (), ("41", "42"), 0.5, None, False, given=("43",)))
    'Put 41 and 42 on it at Low in place of 43; they use 50 % of their usable pull.'
    """
    given, planned = set(power.given), set(power.assigned)
    if not planned or given == planned:
        return ""
    one = len(planned) == 1
    uses = "" if power.use is None else f"; {'it uses' if one else 'they use'} {percent(power.use)} of "
    ending = f"{uses}{'its' if one else 'their'} usable pull." if uses else "."
    if planned < given:
        spare = _names([engine for engine in power.given if engine not in planned])
        return f"Leave {spare} off it and run it with {_names(power.assigned)} alone{ending}"
    instead = "" if not given or given < planned else f" in place of {_names(power.given)}"
    beside = f" beside {_names(power.given)}" if given and given < planned else ""
    put = [engine for engine in power.assigned if not beside or engine not in given]
    return f"Put {_names(put)} on it at {unbroken(power.start)}{instead}{beside}{ending}"


def _names(engines: Sequence[str]) -> str:
    return listing([unbroken(engine) for engine in engines])


def _bench_tasks(overview: Overview, units: Units) -> list[Task]:
    """The bench's tasks, in the order in which the trains leave; a car of two trains is told once."""
    listed = {} if overview.bench is None else {car.car: car for car in (*overview.bench.cars, *overview.bench.later)}
    tasks: list[Task] = []
    for one in by_departure(overview.trains):
        found = _not_told(one, tasks)
        own = {finding.car for finding in found}
        for finding in found:
            if finding.code in OF_A_CAR:
                tasks.append(_weighted(one, finding, listed.get(finding.car or ""), units))
            elif finding.code == "slack":
                told = {car for task in tasks for car in task.cars}
                light = [
                    car for car in listed.values() if one.train.name in car.trains and car.car not in {*told, *own}
                ]
                tasks.append(_light(one, finding, light, units))
        tasks += _to_weigh(one, [finding for finding in found if finding.code == "not-weighed"])
    return tasks


def _not_told(one: TrainOverview, tasks: list[Task]) -> list[Finding]:
    """The bench's findings of a train; those of a car that is told already are added to its task."""
    left = []
    for finding in pressing(one.check.findings):
        if finding.code not in (*OF_A_CAR, "not-weighed", "slack"):
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


def _weighted(one: TrainOverview, finding: Finding, car: BenchCar | None, units: Units) -> Task:
    """A car to weight with the pieces of the bench's list; what the check says of it where it is not on that list."""
    return _task(
        "bench",
        one,
        finding.say if car is None else _pieces(car, units),
        [finding],
        more=() if car is None else _gain_and_note(car),
        cars=() if finding.car is None else (finding.car,),
        gain=None if car is None else car.gain,
        adds_weight=finding.code == "underweight",
    )


def _light(one: TrainOverview, finding: Finding, light: list[BenchCar], units: Units) -> Task:
    """A train of light cars, with those of them that are not told by themselves."""
    more, cars = tuple(_pieces(car, units) for car in light), tuple(car.car for car in light)
    return _task("bench", one, finding.say, [finding], more=more, cars=cars, adds_weight=bool(light))


def _pieces(car: BenchCar, units: Units) -> str:
    """What to add to a car, in weight and in pieces."""
    add = f"add {unbroken(units.weight(car.add_g))}" if car.add_g is not None else ""
    pieces = over_trucks(car.choice) if car.choice is not None and car.choice.pieces else ""
    if not pieces:
        return f"{unbroken(car.car)}: {f'{add}.' if add else dict(car_facts(car, units))['Weighs']}"
    return f"{unbroken(car.car)}: {add}{', ' if add else ''}{pieces}"


def _gain_and_note(car: BenchCar) -> tuple[str, ...]:
    gain = gain_words(car) if car.gain is not None and car.gain >= LITTLE_GAIN else ""
    return tuple(f"{words[0].upper()}{words[1:]}" for words in (gain, car.note) if words)


def _to_weigh(one: TrainOverview, found: list[Finding]) -> list[Task]:
    """All cars of a train that have no weight, in one."""
    if not found:
        return []
    cars = [finding.car for finding in found if finding.car is not None]
    say = f"Weigh {listing([unbroken(car) for car in cars])} with everything on the scale."
    return [_task("bench", one, say, found, cars=tuple(cars))]


def _door_tasks(overview: Overview, at_bench: frozenset[str]) -> list[Task]:
    """A task a guest car that is not simply welcome; one that the bench is told of (`at_bench`) is sent there."""
    if overview.door is None:
        return []
    leaving = [one.train.name for one in by_departure(overview.trains)]
    return [_guest(car, leaving, car.car in at_bench) for car in overview.door.cars if car.answer != "welcome"]


def _guest(car: GuestResult, leaving: list[str], at_bench: bool) -> Task:
    code = next((reason.code for reason in car.grounds if reason.do == car.do), None)
    sent = at_bench and code in OF_WEIGHT
    do = TO_THE_BENCH if sent else car.do
    stands = [ride.train for ride in car.trains if ride.in_train is not None]
    return Task(
        "door",
        next((train for train in leaving if train in stands), None),
        f"{unbroken(car.car)} of {owner_of(car)}, {answer_word(car.answer)}: {do}",
        door_level(car.answer),
        cars=(car.car,),
        adds_weight=code == "underweight" and not sent,
    )
