"""Where the engines stand that a plan leaves idle while a train runs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from consist.power.results import Turn
from consist.session import Train
from consist.stock import Engine

__all__ = ["Idle", "at_hand", "idle_engines"]


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
