"""Which combination each train gets, as an integer programme.

Engines of a class that stand at one place, free, are alike from then on: only how many there are counts. So a
class needs no more than this: how many start the evening at each place, and that no departure takes more from a place
than were there at first and came free there since. Engines kept by a train are followed one by one.

Trains left short come first, then engines used, then engines assigned, each made least with the ones before held;
then the choice of the first train to leave, of the second, and so on.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from consist.power.programme import Programme, Terms, added
from consist.stock import Engine

__all__ = ["Assignment", "Evening", "Trip", "assign"]

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


@dataclass(frozen=True)
class Assignment:
    """The engines of each trip, by train, in order of class and name, none for one left short; kept ones as kept.

    `proven` tells that nothing better exists. Where the kept engines cannot all be where they are kept, `possible` is
    false and the rest is empty.
    """

    engines: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    proven: bool = True
    possible: bool = True


def assign(evening: Evening) -> Assignment:
    """The best assignment of an evening."""
    return _Model(evening).solved() if evening.trips else Assignment()


def _named(evening: Evening, needs: Mapping[str, Needs], lent: Mapping[str, set[str]]) -> dict[str, tuple[str, ...]]:
    """The engines of each trip, by what each needs of every class and which kept ones it is lent.

    Of engines free at the trip's place those that have run come before fresh ones, and fresh ones at home there
    before those with no home, so that no more are used than the assignment counts.
    """
    place = {engine.name: engine.home for engine in evening.engines}
    ready: dict[str, float] = {}
    classes = {engine.name: engine.engine_class for engine in evening.engines}
    trains: dict[str, tuple[str, ...]] = {}
    for trip in evening.trips:
        going = set(trip.kept) | lent.get(trip.train, set())
        wanting = Counter(needs.get(trip.train, {}))
        wanting.subtract(classes[name] for name in going)
        free = [
            name
            for name in classes.keys() - evening.pinned
            if place[name] in ("", trip.start) and ready.get(name, trip.depart) <= trip.depart
        ]
        free.sort(key=lambda name: (name not in ready, not place[name], name))
        for engine_class, count in wanting.items():
            going.update([name for name in free if classes[name] == engine_class][: max(count, 0)])
        for name in going:
            place[name], ready[name] = trip.finish, trip.arrive + evening.turn_minutes
        trains[trip.train] = trip.kept or tuple(name for name in classes if name in going)
    return trains


class _Model:
    """The columns of an evening's programme.

    `_choice` has a column for each choice of each trip, `_lent` one for each kept engine on each trip that does not
    keep it, both 0 or 1. `_starts` are the columns that count engines at a place at the start of the evening.
    """

    def __init__(self, evening: Evening) -> None:
        self._evening = evening
        self._programme = Programme()
        self._one = self._programme.column(1.0, 1.0)
        free = [trip for trip in evening.trips if not trip.kept]
        self._pinned = [engine for engine in evening.engines if engine.name in evening.pinned]
        self._choice: dict[str, dict[int, Needs]] = {
            trip.train: {self._programme.column(1.0): choice for choice in trip.choices} for trip in free
        }
        self._lent = {
            (trip.train, engine.name): self._programme.column(1.0)
            for trip in free
            for engine in self._pinned
            if any(engine.engine_class in choice for choice in trip.choices)
        }
        self._starts: list[int] = []
        for columns in self._choice.values():
            self._programme.row(dict.fromkeys([self._one, *columns], 1.0), high=2.0)
        # a class that only a choice names has no engines, which holds that choice back
        for name in sorted({name for trip in free for choice in trip.choices for name in choice}):
            alike = [one for one in evening.engines if one.engine_class == name and one not in self._pinned]
            going = [self._takes(name, trip) for trip in evening.trips]
            for takes in filter(None, going):
                self._programme.row(takes, low=0.0)
            self._follow(alike, going, "")
        for engine in self._pinned:
            self._follow([engine], [self._goes(engine, trip) for trip in evening.trips], engine.name)

    def solved(self) -> Assignment:
        """The best of the evening, ties settled."""
        needs = {column: choice for columns in self._choice.values() for column, choice in columns.items()}
        engines = {column: float(sum(choice.values())) for column, choice in needs.items()}
        for terms in (dict.fromkeys(needs, -1.0), dict.fromkeys(self._starts, 1.0), engines):
            if not self._programme.minimise(terms):
                return Assignment(possible=False, proven=False)
        # for each trip the number of its choice, less one past its last, so that being short is 0 and the worst
        by_choice = [
            ({column: float(k - len(columns)) for k, column in enumerate(columns)}, len(columns) + 1)
            for columns in self._choice.values()
        ]
        self._programme.minimise_each([*by_choice, *(({column: 1.0}, 2) for column in self._lent.values())])
        value = self._programme.value
        chosen = {
            train: choice
            for train, columns in self._choice.items()
            for column, choice in columns.items()
            if value(column)
        }
        lent: dict[str, set[str]] = {}
        for (train, engine), column in self._lent.items():
            if value(column):
                lent.setdefault(train, set()).add(engine)
        return Assignment(_named(self._evening, chosen, lent), self._programme.proven)

    def _takes(self, name: str, trip: Trip) -> Terms:
        """How many engines of a class that no trip keeps a trip takes."""
        choices = self._choice.get(trip.train, {})
        lent = [self._lent.get((trip.train, one.name)) for one in self._pinned if one.engine_class == name]
        return {
            **{column: float(choice[name]) for column, choice in choices.items() if name in choice},
            **{column: -1.0 for column in lent if column is not None},
        }

    def _goes(self, engine: Engine, trip: Trip) -> Terms:
        """Whether a trip takes an engine that is kept."""
        column = self._one if engine.name in trip.kept else self._lent.get((trip.train, engine.name))
        return {} if column is None else {column: 1.0}

    def _follow(self, engines: list[Engine], going: list[Terms], name: str) -> None:
        """Let no more of these engines leave a place than are there, `going` being how many each trip takes."""
        trips = self._evening.trips
        anywhere = float(sum(not engine.home for engine in engines))
        placed: list[int] = []
        for place in dict.fromkeys(trip.start_of(name) for trip in trips):
            there = [self._programme.column(float(sum(engine.home == place for engine in engines)))]
            if anywhere:
                placed.append(self._programme.column(anywhere))
                there.append(placed[-1])
            self._starts.extend(there)
            for number, trip in enumerate(trips):
                if trip.start_of(name) == place and going[number]:
                    come = [
                        (1.0, terms)
                        for terms, other in zip(going, trips, strict=True)
                        if other.finish == place and self._evening.frees(other, trip)
                    ]
                    left = [
                        (-1.0, terms)
                        for terms, other in zip(going[: number + 1], trips, strict=False)
                        if other.start_of(name) == place
                    ]
                    self._programme.row(added((1.0, dict.fromkeys(there, 1.0)), *come, *left), low=0.0)
        if anywhere:
            self._programme.row(dict.fromkeys(placed, 1.0), high=anywhere)
