"""An evening as a planner sees it: trips with places and times, the engines there are, and where each starts.

Engines that are given to trains and kept there are told apart by name; all others of a class only by their home.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from consist.stock import Engine

__all__ = ["Evening", "Trip"]

Needs = Mapping[str, int]


@dataclass(frozen=True)
class Trip:
    """A train with times, in minutes; `choices` are the numbers of each class that would do, the first preferred.

    `kept` are the names of engines given to it, which then has no others, and `starts` where those that do not
    start at its first place join it.
    """

    train: str
    start: str
    finish: str
    depart: int
    arrive: int
    choices: tuple[Needs, ...] = ()
    kept: tuple[str, ...] = ()
    starts: Mapping[str, str] = field(default_factory=dict)

    def start_of(self, engine: str) -> str:
        """The place where an engine must be to go with it."""
        return self.starts.get(engine, self.start)


@dataclass(frozen=True)
class Evening:
    """The trips in order of departure, the engines in order of class and name, and how long an engine is turned."""

    trips: tuple[Trip, ...]
    engines: tuple[Engine, ...]
    turn_minutes: float

    @classmethod
    def of(cls, trips: Sequence[Trip], engines: Iterable[Engine], turn_minutes: float) -> Evening:
        """An evening with its trips and engines put in order; trips that depart together stay as they are."""
        in_order = sorted(engines, key=lambda engine: (engine.engine_class, engine.name))
        return cls(tuple(sorted(trips, key=lambda trip: trip.depart)), tuple(in_order), turn_minutes)

    @property
    def pinned(self) -> frozenset[str]:
        """The names of engines that some trip keeps."""
        return frozenset(name for trip in self.trips for name in trip.kept)

    def frees(self, before: Trip, after: Trip) -> bool:
        """Whether an engine of one trip is free again, in time, for another."""
        return before.arrive + self.turn_minutes <= after.depart
