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

from consist.power.programme import Programme, Terms
from consist.stock import Engine

__all__ = ["Assignment", "Evening", "Trip", "assign", "named"]

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
    """What each trip gets: the number of its choice, None for one left short, by train.

    `lent` names the engines kept by one trip that serve another in between, by the other's train. `proven` tells
    that nothing better exists. Where the kept engines cannot all be where they are kept, `possible` is false and
    the rest is empty. A trip that keeps engines has those alone and is not listed.
    """

    chosen: Mapping[str, int | None] = field(default_factory=dict)
    lent: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    proven: bool = True
    possible: bool = True


def assign(evening: Evening) -> Assignment:
    """The best assignment of an evening."""
    return _Model(evening).solved() if evening.trips else Assignment()


def named(evening: Evening, assignment: Assignment) -> dict[str, tuple[str, ...]]:
    """The engines of each trip, by train, in order of class and name; kept ones as the trip keeps them.

    Of engines free at the trip's place those that have run come before fresh ones, and fresh ones at home there
    before those with no home, so that no more are used than the assignment counts.
    """
    place = {engine.name: engine.home for engine in evening.engines}
    ready: dict[str, float] = {}
    classes = {engine.name: engine.engine_class for engine in evening.engines}
    trains: dict[str, tuple[str, ...]] = {}
    for trip in evening.trips:
        number = assignment.chosen.get(trip.train)
        going = set(trip.kept or assignment.lent.get(trip.train, ()))
        if number is not None:
            wanting = Counter(trip.choices[number])
            wanting.subtract(classes[name] for name in going)
            free = [
                name
                for name in classes.keys() - evening.pinned
                if place[name] in ("", trip.start) and ready.get(name, trip.depart) <= trip.depart
            ]
            free.sort(key=lambda name: (name not in ready, not place[name], name))
            for engine_class, count in wanting.items():
                going.update([name for name in free if classes[name] == engine_class][:count])
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
        self._free = [trip for trip in evening.trips if not trip.kept]
        self._pinned = [engine for engine in evening.engines if engine.name in evening.pinned]
        self._choice = {trip.train: [self._programme.column(1.0) for _ in trip.choices] for trip in self._free}
        self._lent = {
            (trip.train, engine.name): self._programme.column(1.0)
            for trip in self._free
            for engine in self._pinned
            if any(engine.engine_class in choice for choice in trip.choices)
        }
        self._starts: list[int] = []
        for columns in self._choice.values():
            self._programme.row(dict.fromkeys([self._one, *columns], 1.0), high=2.0)
        # a class that only a choice names has no engines, which holds that choice back
        classes = {name for trip in self._free for choice in trip.choices for name in choice}
        for name in sorted(classes):
            self._follow_class(name)
        for engine in self._pinned:
            going = [self._goes(engine, trip) for trip in evening.trips]
            self._follow([engine], going, engine.name)

    def solved(self) -> Assignment:
        """The best of the evening, ties settled."""
        powered = {column: -1.0 for columns in self._choice.values() for column in columns}
        engines = {
            column: float(sum(choice.values()))
            for trip in self._free
            for column, choice in zip(self._choice[trip.train], trip.choices, strict=True)
        }
        for terms in (powered, dict.fromkeys(self._starts, 1.0), engines):
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
            train: next((k for k, column in enumerate(columns) if value(column)), None)
            for train, columns in self._choice.items()
        }
        lent: dict[str, tuple[str, ...]] = {}
        for (train, engine), column in self._lent.items():
            if value(column):
                lent[train] = (*lent.get(train, ()), engine)
        return Assignment(chosen, lent, self._programme.proven)

    def _follow_class(self, name: str) -> None:
        """Follow the engines of a class that no trip keeps."""
        engines = [one for one in self._evening.engines if one.engine_class == name and one not in self._pinned]
        going: list[Terms] = []
        for trip in self._evening.trips:
            goes: dict[int, float] = {}
            for column, choice in zip(self._choice.get(trip.train, ()), trip.choices, strict=False):
                if name in choice:
                    goes[column] = float(choice[name])
            for one in self._pinned:
                if one.engine_class == name and (trip.train, one.name) in self._lent:
                    goes[self._lent[trip.train, one.name]] = -1.0
            if goes:
                self._programme.row(goes, low=0.0)
            going.append(goes)
        self._follow(engines, going, "")

    def _goes(self, engine: Engine, trip: Trip) -> Terms:
        if engine.name in trip.kept:
            return {self._one: 1.0}
        column = self._lent.get((trip.train, engine.name))
        return {} if column is None else {column: 1.0}

    def _follow(self, engines: list[Engine], going: list[Terms], name: str) -> None:
        """Let no more of these engines leave a place than are there, `going` being how many each trip takes."""
        trips = self._evening.trips
        anywhere = sum(not engine.home for engine in engines)
        placed: dict[int, float] = {}
        for place in dict.fromkeys(trip.start_of(name) for trip in trips):
            there = {self._programme.column(float(sum(engine.home == place for engine in engines))): 1.0}
            if anywhere:
                column = self._programme.column(float(anywhere))
                there[column] = placed[column] = 1.0
            self._starts.extend(there)
            for number, trip in enumerate(trips):
                if trip.start_of(name) == place and going[number]:
                    self._programme.row(self._left(place, number, going, name, there), low=0.0)
        if anywhere:
            self._programme.row(placed, high=float(anywhere))

    def _left(self, place: str, number: int, going: list[Terms], name: str, there: Terms) -> Terms:
        """How many are left at a place after a trip leaves it."""
        trips = self._evening.trips
        left = dict(there)

        def add(terms: Terms, factor: float) -> None:
            for column, count in terms.items():
                left[column] = left.get(column, 0.0) + factor * count

        for k, other in enumerate(trips):
            if other.finish == place and self._evening.frees(other, trips[number]):
                add(going[k], 1.0)
            if k <= number and other.start_of(name) == place:
                add(going[k], -1.0)
        return left
