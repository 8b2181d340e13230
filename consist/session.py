"""A session ready to be checked: stock, layout and trains with their routes, from a session's folder."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Literal

from consist.changes import Change, changed
from consist.errors import UnknownNameError
from consist.house import House
from consist.intake import TrainRead, TrainRow, read_session
from consist.names import tidy
from consist.stock import Car, Engine, WeightStandard
from consist.track import Layout, Line, Route, close_up, loop_words
from consist.wording import units_for

__all__ = ["CarInTrain", "Leg", "Session", "Train", "by_class", "load"]


@dataclass(frozen=True)
class CarInTrain:
    """A car in a train's standing order, from one stop of the route to another (their numbers)."""

    car: Car
    spot: int
    loaded: bool
    block: str | None
    hold: str | None
    joins: int
    leaves: int

    @property
    def weight_g(self) -> float:
        """What the car weighs as it runs in this train."""
        return self.car.running_weight_g(self.loaded)


@dataclass(frozen=True)
class Leg:
    """A stretch of a train's route run with the same cars in one direction, from one stop to another (their numbers).

    `run` is the number of the route's run that it is part of; where that is `backing` the rear end leads.
    """

    start: int
    finish: int
    cars: tuple[CarInTrain, ...]
    run: int = 0
    backing: bool = False


@dataclass(frozen=True)
class Train:
    """A train: its route, its engines and helpers, and every car that rides in it, in standing order."""

    name: str
    route: Route
    engines: tuple[Engine, ...]
    helpers: tuple[Engine, ...]
    cars: tuple[CarInTrain, ...]
    depart: int | None = None
    arrive: int | None = None

    @cached_property
    def legs(self) -> tuple[Leg, ...]:
        """The legs of the trip: the route parted where cars join or leave, and where the train changes direction."""
        last, turns = len(self.route.stops) - 1, self.route.turns
        changes = {0, *turns, last}
        for car in self.cars:
            changes.update((car.joins, car.leaves))
        return tuple(
            Leg(
                start,
                finish,
                tuple(car for car in self.cars if car.joins <= start and finish <= car.leaves),
                sum(turn <= start for turn in turns),
                self.route.backs_to(start + 1),
            )
            for start, finish in itertools.pairwise(sorted(changes))
        )

    def leg_mm(self, leg: Leg) -> tuple[float, float]:
        """Where along the route a leg starts and finishes."""
        return self.route.stops_mm[leg.start], self.route.stops_mm[leg.finish]

    def lines_ridden(self, car: CarInTrain) -> list[Line]:
        """The lines of the route that a car rides over, in order."""
        first, last = self._ridden_mm(car)
        lines = zip(self.route.places, self.route.lines, strict=False)
        return [line for (_, start), line in lines if start < last and start + line.length_mm > first]

    def places_ridden(self, car: CarInTrain) -> list[str]:
        """The places of the route that a car comes to, in order, each once."""
        first, last = self._ridden_mm(car)
        return list(dict.fromkeys(place for place, there in self.route.places if first <= there <= last))

    def _ridden_mm(self, car: CarInTrain) -> tuple[float, float]:
        return self.route.stops_mm[car.joins], self.route.stops_mm[car.leaves]

    @property
    def times(self) -> tuple[int, int] | None:
        """Departure and arrival in minutes of the fast clock, where both are given."""
        return None if self.depart is None or self.arrive is None else (self.depart, self.arrive)


@dataclass(frozen=True)
class Session:
    """A session: the house's practice, the layout, the stock by name and the trains in their order."""

    title: str
    house: House
    standard: WeightStandard
    layout: Layout
    cars: dict[str, Car]
    engines: dict[str, Engine]
    trains: tuple[Train, ...]
    notes: tuple[str, ...] = ()
    folder: Path | None = field(default=None, compare=False)
    """Where it was read from."""
    kept: dict[object, object] = field(default_factory=dict, init=False, repr=False, compare=False)
    """What was prepared of a train, by its name, and of a route, by its lines, for whoever asks next."""

    @cached_property
    def classes(self) -> dict[str, tuple[Engine, ...]]:
        """The engines of each class, by class in order of name."""
        return by_class(self.engines.values())

    def train(self, name: str) -> Train:
        """The train of that name. Raises `UnknownNameError`, which says the nearest, where there is none."""
        known = {train.name: train for train in self.trains}
        if (train := known.get(name) or known.get(tidy(name))) is None:
            raise UnknownNameError("train", name, known)
        return train

    def only(self, train: str | None) -> tuple[Train, ...]:
        """The one train of that name, or all where none is named."""
        return self.trains if train is None else (self.train(train),)

    def with_changes(self, changes: Iterable[Change]) -> Session:
        """The session after changes, one after another; nothing on disk changes. Raises `ChangeError`."""
        return changed(self, changes)

    def told_in(self, unit: Literal["in", "mm"]) -> Session:
        """The same session with its sentences in inches and ounces (`in`) or millimetres and grams (`mm`)."""
        return replace(self, layout=replace(self.layout, unit=unit))


def by_class(engines: Iterable[Engine]) -> dict[str, tuple[Engine, ...]]:
    """The engines of each class, by class in order of name."""
    ordered = sorted(engines, key=lambda engine: (engine.engine_class, engine.name))
    groups = itertools.groupby(ordered, key=lambda engine: engine.engine_class)
    return {name: tuple(group) for name, group in groups}


def load(folder: str | Path) -> Session:
    """Read a session's folder.

    Raises `InputError`, which holds every problem found, where the folder cannot be used.

    >>> [train.name for train in load("sample_sessions/sunday_shelf").trains]
    ['Creamery 5', 'Quarry Mixed 3', 'Coal Empties 2']
    """
    path = Path(folder)
    read = read_session(path)
    cars = {car.name: car for car in read.cars}
    engines = {engine.name: engine for engine in read.engines}
    trains = tuple(_train(train, cars, engines) for train in read.trains)
    home = path if path.is_dir() else path.parent
    units = units_for(read.layout.unit)
    open_loops = () if read.layout.apart else close_up(read.layout).open
    loops = (f"The layout: {loop_words(loop, units)}" for loop in open_loops)
    notes = (*read.notes, *loops)
    return Session(read.title, read.house, read.standard, read.layout, cars, engines, trains, notes, home)


def _train(read: TrainRead, cars: dict[str, Car], engines: dict[str, Engine]) -> Train:
    return Train(
        name=read.name,
        route=read.route,
        engines=tuple(engines[name] for name in read.engines),
        helpers=tuple(engines[name] for name in read.helpers),
        cars=tuple(_car_in_train(row, read.route.stops, cars[row.car]) for row in read.rows),
        depart=read.depart,
        arrive=read.arrive,
    )


def _car_in_train(row: TrainRow, stops: tuple[str, ...], car: Car) -> CarInTrain:
    last = len(stops) - 1
    joins = 0 if row.joins is None else stops.index(row.joins)
    leaves = last if row.leaves is None else last - stops[::-1].index(row.leaves)
    return CarInTrain(car, row.spot, row.loaded, row.block, row.hold, joins, leaves)
