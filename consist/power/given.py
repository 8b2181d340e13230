"""Engines that the session's file gives to trains already: what of it cannot be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from consist.errors import Problem
from consist.power.words import clock
from consist.session import Session, Train

__all__ = ["clashes", "displaced", "given_names", "helper_starts"]


def given_names(train: Train) -> tuple[str, ...]:
    """The engines and helpers a train is given."""
    return tuple(engine.name for engine in (*train.engines, *train.helpers))


def clashes(session: Session) -> list[Problem]:
    """A problem for each engine that is given to two trains at once, the time to turn it counted."""
    problems = []
    for engine, trains in _by_engine(session).items():
        for number, train in enumerate(trains):
            for before in trains[:number]:
                if _times(before)[1] + session.house.turn_minutes <= _times(train)[0]:
                    continue
                text = (
                    f"found engine '{engine}', which train '{before.name}' has from {clock(_times(before)[0])} to "
                    f"{clock(_times(before)[1])}; expected it free and turned by {clock(_times(train)[0])}, so give "
                    f"'{train.name}' another engine or mend the times"
                )
                problems.append(Problem("session.toml", f"train '{train.name}', engines", text))
    return problems


def displaced(session: Session) -> list[Problem]:
    """A problem for each engine that is given to a train while it would stand somewhere else."""
    problems = []
    starts = helper_starts(session)
    for engine, trains in _by_engine(session).items():
        place = session.engines[engine].home
        for train in trains:
            start = starts[train.name].get(engine, train.route.stops[0])
            if place and place != start:
                text = (
                    f"found engine '{engine}', which stands at {place} at {clock(_times(train)[0])}; expected one at "
                    f"{start}, so mend its home in engines.csv or give the train another engine"
                )
                problems.append(Problem("session.toml", f"train '{train.name}', engines", text))
            place = train.route.stops[-1]
    return problems


def helper_starts(session: Session) -> dict[str, dict[str, str]]:
    """Where given helpers join their train, by train and helper, where that is not its first place.

    A helper waits at its home, or where the train given it before ends, if the route passes there.
    """
    starts: dict[str, dict[str, str]] = {train.name: {} for train in session.trains}
    for engine, trains in _by_engine(session).items():
        place = session.engines[engine].home
        for train in trains:
            passed = [name for name, _ in train.route.places]
            if engine in [helper.name for helper in train.helpers] and place in passed[1:]:
                starts[train.name][engine] = place
            place = train.route.stops[-1]
    return starts


def _by_engine(session: Session) -> Mapping[str, Sequence[Train]]:
    """The trains with times that each engine is given to, in order of departure."""
    trains = sorted((train for train in session.trains if train.times), key=lambda train: _times(train)[0])
    engines = sorted({name for train in trains for name in given_names(train)})
    return {name: [train for train in trains if name in given_names(train)] for name in engines}


def _times(train: Train) -> tuple[int, int]:
    assert train.times is not None
    return train.times
