"""A session's train prepared once: the one object that every room asks.

It holds the route as arrays, the engines the train runs behind, its own or those that stand in for none, and its
legs, and has them worked out: in full (`run`), for its power alone (`hauled`), or, by `consist.trains.orders`, at the
few places that decide.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, partial

import numpy as np

from consist.errors import InputError, Problem
from consist.mechanics import (
    MOVES,
    Between,
    Hauled,
    Hauling,
    Limits,
    RouteTables,
    Vehicles,
    closely,
    curve_share_per_curvature,
    even_hauling,
    run,
    side_limits,
    vehicles,
)
from consist.session import CarInTrain, Leg, Session, Train
from consist.side_by_side import in_parts
from consist.stock import Car, Engine
from consist.track import Run
from consist.trains.trip import LegRun, Trip

__all__ = ["MOST_ENGINES", "Prepared", "prepared", "run_seconds", "turned_about", "weakest"]

STEP_SHARE_OF_GAUGE = 1.25
"""Table step as a share of the gauge: 20.6 mm in HO, little more than the distance between two coupler pivots."""
CARS_A_STEP = 30
"""Trains of so many cars are looked at with that step, of four times as many with half of it."""
SECONDS_A_RUN, SECONDS_A_LOOK = 0.001, 280e-9
"""What a full run takes, and more for each car at each step, on a machine of 2026; work is only parted by it."""
MOST_SECONDS = 6.0
"""A train that takes longer for one full run is refused: its check takes thrice as long, and much memory."""
MOST_ENGINES = 12
"""More engines than this on one train are not looked at. Common practice, no source: few layouts own as many."""


@dataclass(frozen=True)
class _Known:
    """What was worked out of a train: its route's runs as arrays, its cars' power by leg, and the engines it needs.

    It stays with the session and knows nothing of it, so that a session that is let go is gone at once.
    """

    train: Train
    tables: tuple[RouteTables, ...]
    hauled: dict[int, Hauled] = field(default_factory=dict)
    needed: dict[str, int | None] = field(default_factory=dict)


@dataclass(frozen=True)
class Prepared:
    """One train of a session.

    `own_engines`, where given, are those it is to be run behind instead of its own or their stand-ins.
    """

    session: Session
    _known: _Known = field(repr=False)
    own_engines: tuple[Engine, ...] | None = None

    @property
    def train(self) -> Train:
        """The train as it is to be run."""
        return self._known.train

    @property
    def step_mm(self) -> float:
        """How far apart positions of the head are at which it is looked at."""
        return self._known.tables[0].step_mm

    @property
    def runs(self) -> tuple[RouteTables, ...]:
        """Its route as arrays, run by run."""
        return self._known.tables

    def tables(self, leg: Leg) -> RouteTables:
        """What a leg runs over as arrays."""
        return self._known.tables[leg.run]

    @cached_property
    def limits(self) -> Limits:
        """What cars bear sideways, by the session's scale and house."""
        scale, house = self.session.layout.scale, self.session.house
        return side_limits(scale.gauge_mm, scale.coupler_height_mm, house.flange_angle_deg, house.flange_friction)

    @property
    def needed(self) -> dict[str, int | None]:
        """For each class of the roster, the fewest engines of it that move the train all the way; None if no number.

        All stand at the head end and are part of the train. They pull what the cars take at every position of the
        head, on every leg, and hold back what pushes.
        """
        for name in self.session.classes:
            if name not in self._known.needed:
                self._known.needed[name] = self.fewest(name)
        return self._known.needed

    @property
    def stand_in(self) -> tuple[str, int] | None:
        """The class and the number of engines that only stand in, where the train has none and some would do."""
        if self.train.engines or self.train.helpers or self.own_engines is not None:
            return None
        possible = [(number, name) for name, number in self.needed.items() if number is not None]
        if not possible:
            return None
        number, name = min(possible)
        return name, number

    @cached_property
    def engines(self) -> tuple[Engine, ...]:
        """The head-end engines it is run behind: its own, or the fewest of the class that needs the fewest."""
        if self.own_engines is not None:
            return self.own_engines
        if self.stand_in is None:
            return self.train.engines
        name, number = self.stand_in
        return (weakest(self.session.classes[name]),) * number

    def with_train(self, train: Train) -> Prepared:
        """The same route and engines with other cars, or the same in another order or at other weights."""
        return Prepared(self.session, _Known(train, self.runs), self.engines)

    def in_order(self, cars: Sequence[CarInTrain]) -> Prepared:
        """The train with those cars, in that order."""
        return self.with_train(replace(self.train, cars=tuple(cars)))

    def length_at(self, stop: int) -> float:
        """How long the train is at a stop of its route, by number, with engines and helpers (mm)."""
        legs = (leg.cars for leg in self.train.legs if leg.start <= stop <= leg.finish)
        cars = max(sum(car.car.coupled_length_mm for car in of_leg) for of_leg in legs)
        return cars + sum(engine.coupled_length_mm for engine in (*self.engines, *self.train.helpers))

    def on_leg(
        self, leg: Leg, engines: Sequence[Engine], cars: Sequence[CarInTrain], helpers: Sequence[Engine]
    ) -> Vehicles:
        """A leg's train as arrays, from the end that leads on it, which is the rear end where it backs."""
        return replace(self.arrays(*turned_about(leg, engines, cars, helpers)), hand_behind=leg.backing)

    def arrays(self, engines: Sequence[Engine], cars: Sequence[CarInTrain], helpers: Sequence[Engine]) -> Vehicles:
        """Engines, cars and helpers as arrays, in the order given."""
        stock = [(car.car, car.loaded) for car in cars]
        return vehicles(engines, stock, helpers, self.session.layout.scale, self.session.house.pull_reserve)

    def run(self) -> Trip:
        """The train run in full over all its legs."""
        return Trip(self.train, self.engines, self.train.helpers, tuple(self._run(leg) for leg in self.train.legs))

    def _run(self, leg: Leg) -> LegRun:
        from_mm, to_mm = self.train.leg_mm(leg)
        arrays, tables = self.on_leg(leg, self.engines, leg.cars, self.train.helpers), self.tables(leg)
        ahead, cars, behind = turned_about(leg, self.engines, leg.cars, self.train.helpers)
        stock: tuple[Engine | Car, ...] = (*ahead, *(car.car for car in cars), *behind)
        names = tuple(each.name for each in stock)
        in_part = partial(run, arrays, tables, from_mm, to_mm, self.limits)
        peaks = in_parts(in_part, _seconds(self.session, len(leg.cars), to_mm - from_mm))
        return LegRun(leg, from_mm, to_mm, tables, self.limits, arrays, names, peaks)

    def hauled(
        self, engines: Sequence[Engine], helpers: Sequence[Engine] = (), between: tuple[float, float] | None = None
    ) -> list[Hauling]:
        """The train's power behind any engines, on each leg or as much of it as lies between two distances (mm)."""
        return [closer() for _, closer in self._haulings(engines, helpers, between)]

    def moved_by(self, engines: Sequence[Engine], over: float | None = None) -> list[Hauling] | None:
        """The same behind engines that pull the train, and hold it, all the way; None for engines that do not.

        Where `over` is given shares above it alone are looked for.
        """
        found = []
        for seen, closer in self._haulings(engines):
            # what is seen at table steps is never harder than it is
            if not seen.moves or not (along := closer(over)).moves:
                return None
            found.append(along)
        return found

    def _haulings(
        self, engines: Sequence[Engine], helpers: Sequence[Engine] = (), between: tuple[float, float] | None = None
    ) -> Iterator[tuple[Hauling, Callable[..., Hauling]]]:
        """By leg its power as seen at table steps, and what looks into it closely."""
        low, high = (0.0, self.train.route.length_mm) if between is None else between
        for number, leg in enumerate(self.train.legs):
            from_mm, to_mm = self.train.leg_mm(leg)
            from_mm, to_mm = max(from_mm, low), min(to_mm, high)
            if from_mm >= to_mm:
                continue
            tables = self.tables(leg)
            if helpers or leg.backing or len(engines) > MOST_ENGINES:
                train = self.on_leg(leg, engines, leg.cars, helpers)
                seen = even_hauling(train, tables, from_mm, to_mm)
            else:
                cut, ahead = self._cut(number, leg), self.arrays(engines, (), ())
                train, seen = cut.cars.behind_engines(ahead), cut.seen(ahead, from_mm, to_mm)
            yield seen, partial(_closely, train, tables, from_mm, to_mm, seen)

    def _cut(self, number: int, leg: Leg) -> Hauled:
        if number not in self._known.hauled:
            given = *self.train.engines, *self.train.helpers, *(self.own_engines or ())
            pool = (*self.session.engines.values(), *given)
            most = MOST_ENGINES * max((engine.coupled_length_mm for engine in pool), default=0.0)
            cars = self.arrays((), leg.cars, ())
            self._known.hauled[number] = Hauled(cars, self.tables(leg), *self.train.leg_mm(leg), most)
        return self._known.hauled[number]

    def fewest(self, engine_class: str) -> int | None:
        """The fewest engines of one class, likewise."""
        engine = weakest(self.session.classes[engine_class])
        # on a short bump one engine may have no pull to use where two have some, so every number is tried
        numbers = range(1, MOST_ENGINES + 1)
        return next((number for number in numbers if self.moved_by((engine,) * number, MOVES) is not None), None)


def turned_about(
    leg: Leg, engines: Sequence[Engine], cars: Sequence[CarInTrain], helpers: Sequence[Engine]
) -> tuple[Sequence[Engine], Sequence[CarInTrain], Sequence[Engine]]:
    """A train's engines, cars and helpers as they follow one another on a leg, from the end that leads on it."""
    return (helpers[::-1], cars[::-1], engines[::-1]) if leg.backing else (engines, cars, helpers)


def _closely(
    train: Vehicles, tables: RouteTables, from_mm: float, to_mm: float, seen: Hauling, over: float | None = None
) -> Hauling:
    """A leg looked into at its ends, and wherever more, or more than a share, could hide between two steps."""
    heads = np.concatenate(([from_mm], seen.heads_mm, [to_mm]))
    return closely(train, tables, Between(train, tables, heads), seen, over)


def prepared(session: Session, train: Train) -> Prepared:
    """A session's train; what is worked out of it is kept with the session.

    Raises `InputError` where it has so many cars on so long a route that it cannot be worked out in reasonable time.
    """
    known = session.kept.get(train.name)
    if not isinstance(known, _Known) or known.train is not train:
        if run_seconds(session, train) > MOST_SECONDS:
            metres = round(train.route.length_mm / 1000.0)
            found = f"found {len(train.cars)} cars on a route of {metres} m, which is too much to work out"
            raise InputError([Problem("the trains table", f"train '{train.name}'", f"{found}; leave cars out")])
        known = session.kept[train.name] = _Known(train, _tables(session, train))
    return Prepared(session, known)


def run_seconds(session: Session, train: Train) -> float:
    """About how long a full run of a train takes."""
    return _seconds(session, len(train.cars), train.route.length_mm)


def _seconds(session: Session, cars: int, length_mm: float) -> float:
    steps = length_mm / (STEP_SHARE_OF_GAUGE * session.layout.scale.gauge_mm) * _finer(cars)
    return SECONDS_A_RUN + SECONDS_A_LOOK * cars * steps


def weakest(engines: Sequence[Engine]) -> Engine:
    """The engine of a class with the least pull, so that any of the class will do in its place."""
    return min(engines, key=lambda engine: (engine.pull_g, -engine.weight_g, engine.name))


def _tables(session: Session, train: Train) -> tuple[RouteTables, ...]:
    """A train's route as arrays, run by run, the same for all trains on it that are looked at as closely."""
    finer = _finer(len(train.cars))
    return tuple(_run_tables(session, run, finer) for run in train.route.runs)


def _run_tables(session: Session, run: Run, finer: int) -> RouteTables:
    scale = session.layout.scale
    key = (run.lines, run.start_mm, finer)
    known = session.kept.get(key)
    if isinstance(known, RouteTables):
        return known
    made = RouteTables(
        run.centreline,
        curve_share=curve_share_per_curvature(scale.ratio),
        flange_drag=session.house.flange_drag,
        step_mm=STEP_SHARE_OF_GAUGE * scale.gauge_mm,
        finer=finer,
    )
    session.kept[key] = made
    return made


def _finer(cars: int) -> int:
    """The more couplings, the more joints within a step that may matter to one of them."""
    return max(round(math.sqrt(cars / CARS_A_STEP)), 1)
