"""Which engines are worth measuring: those whose pull is only reckoned, where the plan hangs on it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from consist.power.train_pull import TrainPull
from consist.stock import Engine

__all__ = ["LOW_SHARE", "worth_measuring"]

LOW_SHARE = 0.20 / 0.25
"""The lower end of common practice, 0.20 of the weight on drivers, over the upper end that is assumed."""


def worth_measuring(powered: Iterable[tuple[TrainPull, Sequence[Engine], Sequence[Engine]]]) -> tuple[str, ...]:
    """The engines without a measured pull that leave a train short if they pull a fifth less than reckoned, by name.

    Each train that its engines move comes with those ahead and those behind.
    """
    found: set[str] = set()
    for pull, ahead, behind in powered:
        reckoned = [engine.name for engine in (*ahead, *behind) if not engine.measured]
        if reckoned and not pull.worst(_weaker(ahead), _weaker(behind)).moves:
            found.update(reckoned)
    return tuple(sorted(found))


def _weaker(engines: Sequence[Engine]) -> tuple[Engine, ...]:
    return tuple(
        engine if engine.measured else replace(engine, pull_g=LOW_SHARE * engine.pull_g) for engine in engines
    )
