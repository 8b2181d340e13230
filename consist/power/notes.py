"""What a plan takes for granted, what in the session does not agree, and which engines are worth measuring."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from consist.mechanics import MOVES
from consist.power.results import TrainPower
from consist.power.train_pull import TrainPull
from consist.power.whereabouts import clashes, given_names
from consist.session import Session
from consist.stock import Engine
from consist.wording import in_words, percent

__all__ = ["LOW_SHARE", "plan_notes", "worth_measuring"]

LOW_SHARE = 0.20 / 0.25
"""The lower end of common practice, 0.20 of the weight on drivers, over the upper end that is assumed."""


def plan_notes(
    session: Session,
    trains: Sequence[TrainPower],
    cut_short: Sequence[str],
    rescued: Sequence[str] = (),
    *,
    keep_given: bool,
) -> Iterator[str]:
    """The notes of a plan, each a sentence, in a steady order.

    `cut_short` are the trains whose combinations are not all listed, `rescued` those moved by engines of which the
    weakest of the same class would not do.
    """
    homeless = sorted(engine.name for engine in session.engines.values() if not engine.home)
    if homeless and not session.layout.apart:
        one = len(homeless) == 1
        which, it, starts = ("Engine", "its home", "starts") if one else ("Engines", "their homes", "start")
        yield f"{which} {in_words(homeless)} without a home {starts} wherever wanted; write {it} in engines.csv."
    planned = (train for train in session.trains if not (keep_given and given_names(train)))
    timeless = [train.name for train in planned if train.times is None]
    if timeless:
        which, are = ("Train", "is planned") if len(timeless) == 1 else ("Trains", "are planned each")
        yield (
            f"{which} {in_words(timeless)} without times {are} alone, from engines at home at the first place; give "
            "depart and arrive in session.toml to plan with the rest."
        )
    for train in trains:
        # a class is judged by its weakest engine, which on a grade may still not be the one that does least
        if not train.short and train.use is not None and train.use > MOVES:
            yield (
                f"Train {train.train} is asked for {percent(train.use)} of what {in_words(train.assigned)} can use; "
                "take others of the class or leave a car."
            )
    for train in trains:
        if train.short and not train.options and not session.house.light_moves:
            yield (
                f"Train {train.train} is left short and nothing that was looked at mends it; set light_moves = true "
                "in session.toml to see which engine could come light."
            )
    for train in trains:
        if train.train in rescued:
            yield (
                f"Train {train.train} is moved by {in_words(train.assigned)}, though not by the weakest of the same "
                "class, so the plan is not proven; give engines of unlike pull a class each in engines.csv."
            )
    for name in cut_short:
        yield (
            f"Train {name} has more combinations of classes than are listed, so the plan is not proven; give engines "
            "that are alike the same class in engines.csv."
        )
    if not keep_given:
        yield from (f"{clash}." for clash in clashes(session))


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
