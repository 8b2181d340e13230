"""Where engines stand: those left idle while a train runs, and those that the session's file gives to trains."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from consist.errors import Problem
from consist.power.results import Turn
from consist.session import Session, Train
from consist.stock import Engine
from consist.wording import clock

__all__ = ["Idle", "at_hand", "clashes", "displaced", "given_names", "helper_starts", "idle_engines"]


@dataclass(frozen=True)
class Idle:
    """An engine that is free while a train runs. `place` is empty where it may be set down anywhere.

    `next_start` is where its next trip starts, None where it has none.
    """

    engine: Engine
    place: str
    next_start: str | None


def idle_engines(
    engines: Iterable[Engine], turns: Mapping[str, Sequence[Turn]], train: Train, turn_minutes: float
) -> list[Idle]:
    """The engines free from a train's departure until it has arrived and they are turned, in order of name.

    Only trips with times count. For a train without times those engines are free that have no such trip at all.
    """
    found = []
    for engine in sorted(engines, key=lambda engine: engine.name):
        place, next_start, free = engine.home, None, True
        for turn in turns.get(engine.name, ()):
            if turn.depart is None or turn.arrive is None:
                continue
            if train.times is None:
                free = False
            elif turn.arrive + turn_minutes <= train.times[0]:
                place = turn.finish
            elif turn.depart >= train.times[1] + turn_minutes:
                next_start = turn.start if next_start is None else next_start
            else:
                free = False
        if free:
            found.append(Idle(engine, place, next_start))
    return found


def at_hand(idle: Iterable[Idle], train: Train) -> list[Idle]:
    """Those at the train's first place which may end at its last."""
    stops = train.route.stops
    return [one for one in idle if one.place in ("", stops[0]) and one.next_start in (None, stops[-1])]


def given_names(train: Train) -> tuple[str, ...]:
    """The engines and helpers a train is given."""
    return tuple(engine.name for engine in (*train.engines, *train.helpers))


def clashes(session: Session) -> list[Problem]:
    """A problem for each engine that is given to two trains at once, the time to turn it counted."""
    problems = []
    for engine, trains in _given(session):
        for number, (train, (depart, _)) in enumerate(trains):
            for before, (left, back) in trains[:number]:
                if back + session.house.turn_minutes > depart:
                    text = (
                        f"found engine '{engine}', which train '{before.name}' has from {clock(left)} to "
                        f"{clock(back)}; expected it free and turned by {clock(depart)}, so give '{train.name}' "
                        "another engine or mend the times"
                    )
                    problems.append(Problem("session.toml", f"train '{train.name}', engines", text))
    return problems


def displaced(session: Session) -> list[Problem]:
    """A problem for each engine that is given to a train while it would stand somewhere else."""
    problems = []
    starts = helper_starts(session)
    for engine, trains in _given(session):
        place = session.engines[engine].home
        for train, (depart, _) in trains:
            start = starts[train.name].get(engine, train.route.stops[0])
            if place and place != start:
                text = (
                    f"found engine '{engine}', which stands at {place} at {clock(depart)}; expected one at {start}, "
                    "so mend its home in engines.csv or give the train another engine"
                )
                problems.append(Problem("session.toml", f"train '{train.name}', engines", text))
            place = train.route.stops[-1]
    return problems


def helper_starts(session: Session) -> dict[str, dict[str, str]]:
    """Where given helpers join their train, by train and helper, where that is not its first place.

    A helper waits at its home, or where the train given it before ends, if the route passes there.
    """
    starts: dict[str, dict[str, str]] = {train.name: {} for train in session.trains}
    for engine, trains in _given(session):
        place = session.engines[engine].home
        for train, _ in trains:
            helps = engine in [helper.name for helper in train.helpers]
            if helps and place in [name for name, _ in train.route.places][1:]:
                starts[train.name][engine] = place
            place = train.route.stops[-1]
    return starts


def _given(session: Session) -> Iterator[tuple[str, list[tuple[Train, tuple[int, int]]]]]:
    """Each engine that is given to trains with times, by name, with those trains in order of departure."""
    timed = [(train, train.times) for train in session.trains if train.times is not None]
    timed.sort(key=lambda one: one[1][0])
    for engine in sorted({name for train, _ in timed for name in given_names(train)}):
        yield engine, [(train, times) for train, times in timed if engine in given_names(train)]
