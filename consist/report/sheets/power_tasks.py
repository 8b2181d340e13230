"""What the power desk must do: engines to put on trains, and trains that are left short."""

from __future__ import annotations

from collections.abc import Sequence

from consist.checking.overview import Overview, TrainOverview
from consist.power import TrainPower
from consist.report.power_told import NO_OPTION, has_words
from consist.report.sheets.anchors import by_departure
from consist.report.sheets.task import Answered, Task, gravest, pressing
from consist.report.words import listing, percent, unbroken

__all__ = ["power_tasks", "swap_words"]


def power_tasks(overview: Overview) -> list[Task]:
    """The power desk's tasks, in the order in which the trains leave."""
    power = overview.power_to_make
    plan = {} if power is None else {train.train: train for train in power.trains}
    return [task for one in by_departure(overview.trains) for task in _train(one, plan.get(one.train.name))]


def _train(one: TrainOverview, power: TrainPower | None) -> list[Task]:
    name = one.train.name
    found: tuple[Answered, ...] = tuple(
        (name, finding) for finding in pressing(one.check.findings) if finding.code == "power-short"
    )
    level = gravest([finding.level for _, finding in found])
    if power is not None and power.short:
        option = power.options[0].say if power.options else NO_OPTION
        return [Task("Power desk", name, has_words(power), "hold", more=(option,), answers=found)]
    swap = "" if power is None else swap_words(power)
    if swap:
        return [Task("Power desk", name, swap, level, answers=found)]
    return [Task("Power desk", name, finding.say, finding.level, answers=((name, finding),)) for _, finding in found]


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
