"""What may trail: how many usual cars may stand behind each car on each route, as railways write it in tons.

A car is put one usual car behind an engine, with usual cars behind it. One long train of usual cars, run over a
route, tells what any number of them takes at any place. A limit guessed by that is then held against the evaluator's
full run, over the stretches where the car comes nearest to it.
"""

from __future__ import annotations

import statistics
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from math import inf

import numpy as np
from numpy.typing import NDArray

from consist.errors import refuse
from consist.mechanics import CAN, Vehicles, batches, bearing, evaluate, run, side_use, stand, vehicles
from consist.session import CarInTrain, Session, Train
from consist.side_by_side import Piece, Progress, side_by_side
from consist.stock import Car, car_by_rule, engine_by_rule
from consist.tolerances import longer
from consist.track import Line
from consist.trains import prepared

__all__ = [
    "MOST_CARS", "TooMany", "Trailing", "TrailingLimit", "TrailingRoute", "plan_trailing", "too_many_behind",
    "trailing_on", "usual_car",
]  # fmt: skip

Floats = NDArray[np.float64]

MOST_CARS = 80
"""No train of more cars is tried. Common practice, no source: few layouts stand so many."""
AHEAD = 2
"""A train's cars that do not trail: the car itself, and the usual car ahead of it."""
MATTERS, NEAR = 0.3, 0.85
"""Where a car comes to less than this share of its worst with the most cars behind it, and of what it may come to
with those that may just trail, no limit is passed: table steps lie too close for as much to hide between them."""
OVER = 1.05
"""A car guessed to be so far over what it may come to is over it: a guess is 1 % over a full run at most."""
SECONDS_A_CAR_MM = 1e-7
"""What a car's limits take for each mm of route, on a machine of 2026; work is only parted by it."""


@dataclass(frozen=True)
class TrailingLimit:
    """The most usual cars that may stand behind a car within the house's margins; None where none are too many."""

    car: str
    loaded: bool
    within_care: int | None
    within_hold: int | None


@dataclass(frozen=True)
class TrailingRoute:
    """A route by its stops, and what may trail behind each car of the roster on it."""

    stops: tuple[str, ...]
    cars: tuple[TrailingLimit, ...]


@dataclass(frozen=True)
class Trailing:
    """What may trail behind every car of a session, in usual cars, on every route that a train of it runs."""

    session: str
    usual: Car
    routes: tuple[TrailingRoute, ...]


def plan_trailing(session: Session, progress: Progress | None = None) -> Trailing:
    """What may trail behind each car of a session, empty, and loaded where it has a load, on each route.

    >>> import consist
    >>> told = consist.plan_trailing(consist.load("sample_sessions/sunday_shelf"))
    >>> flat = next(limit for limit in told.routes[0].cars if limit.car == "PQF 71" and not limit.loaded)
    >>> flat.within_care, flat.within_hold
    (5, 8)
    """
    on_route = {_way(train): train for train in reversed(session.trains)}
    stock = [(car, loaded) for car in session.cars.values() for loaded in (False, True)[: 1 + (car.load_g > 0.0)]]
    pieces = [
        Piece(
            train.name,
            SECONDS_A_CAR_MM * len(stock) * train.route.length_mm,
            partial(_route_limits, session, train, stock),
        )
        for train in session.trains
        if on_route[_way(train)] is train
    ]
    return Trailing(session.title, usual_car(session), tuple(side_by_side(pieces, progress)))


def _way(train: Train) -> tuple[tuple[Line, ...], tuple[int, ...], tuple[bool, ...]]:
    return train.route.lines, train.route.turns, train.route.pushed


def _route_limits(session: Session, train: Train, stock: Iterable[tuple[Car, bool]]) -> TrailingRoute:
    return TrailingRoute(train.route.called, tuple(trailing_on(session, train, stock)))


def usual_car(session: Session) -> Car:
    """The session's median car: of middling length, on its standard's target, rolling by the house.

    Raises `InputError` for a session without cars.
    """
    cars = session.cars.values()
    if not cars:
        raise refuse("cars.csv", "found no car, expected at least one row; add a car to the table")
    return car_by_rule(
        "usual car",
        session.layout.scale,
        session.standard,
        session.house.rolling_percent,
        coupled_length_mm=statistics.median(car.coupled_length_mm for car in cars),
        truck_centers_mm=statistics.median(car.truck_centers_mm for car in cars),
    )


@dataclass(frozen=True)
class TooMany:
    """The most usual cars that may stand behind a car, the cars that do, and how many usual ones weigh as much."""

    most: int
    cars: int
    as_heavy_as: int


def too_many_behind(
    session: Session, train: Train, asked: Iterable[tuple[CarInTrain, Sequence[CarInTrain]]]
) -> Iterator[TooMany | None]:
    """For cars of a train and those behind each: what is too many for the house's margin of care, else None."""
    usual_g = usual_car(session).weight_g
    found = [
        (car, len(cars), max(round(sum(each.weight_g for each in cars) / usual_g), len(cars))) for car, cars in asked
    ]
    most_cars = min(AHEAD + max((heavy for _, _, heavy in found), default=0), MOST_CARS)
    behind = _behind(session, train, most_cars)
    for car, count, heavy in found:
        most = _most(behind, car.car, car.loaded, 1.0 / session.house.care_margin)
        yield None if most is None or most >= heavy else TooMany(most, count, heavy)


def trailing_on(session: Session, train: Train, stock: Iterable[tuple[Car, bool]]) -> Iterator[TrailingLimit]:
    """What may trail behind cars, each with whether it is loaded, on a train's route."""
    house, behind = session.house, _behind(session, train)
    for car, loaded in stock:
        care, hold = (_most(behind, car, loaded, 1.0 / margin) for margin in (house.care_margin, house.hold_margin))
        yield TrailingLimit(car.name, loaded, care, hold)


def _behind(session: Session, train: Train, most_cars: int = MOST_CARS) -> list[_Behind]:
    """Usual cars behind any car on each run of a route on which the train is pulled."""
    runs = enumerate(train.route.runs)
    return [_Behind(session, train, number, most_cars) for number, run in runs if not run.backing]


def _most(behind: Sequence[_Behind], car: Car, loaded: bool, bar: float) -> int | None:
    """The most usual cars behind a car on every one of some runs; None without a limit."""
    found = (run.most(car, loaded, bar) for run in behind)
    return min((most for most in found if most is not None), default=None)


@dataclass(frozen=True)
class _Standing:
    """How a car of some measures stands at each place of the cars behind it, where the head is on the route.

    `places` are the numbers of those places; `share` is what the track asks of the car, `front` and `rear` are the
    sines of its couplings.
    """

    places: NDArray[np.intp]
    share: Floats
    front: Floats
    rear: Floats


@dataclass(frozen=True)
class _Guess:
    """A car's side use with each number of usual cars behind it, of shape (numbers, places), where it matters."""

    places: NDArray[np.intp]
    uses: Floats

    def most(self, bar: float) -> int:
        """The last number before the first that passes a bar."""
        over = np.append(self.uses.max(axis=1, initial=0.0) > bar, True)
        return max(int(np.argmax(over)) - 1, 0)


class _Behind:
    """Usual cars behind any car on one run of a route; a place is one of the front of the first of them."""

    def __init__(self, session: Session, train: Train, run: int, most_cars: int) -> None:
        of, self._most_cars = prepared(session, train), most_cars
        self._session, self._tables, self._limits = session, of.runs[run], of.limits
        self._start_mm, self._end_mm = self._tables.track.start_mm, self._tables.track.end_mm
        self._usual = usual_car(session)
        self._engine = engine_by_rule("stand-in", session.layout.scale, weight_g=self._usual.weight_g)
        room = (session.layout.places[stop].standing_mm for stop in train.route.stops)
        self._room_mm = min((each for each in room if each is not None), default=inf)
        self._each_mm = self._usual.coupled_length_mm
        self._steps_a_car = int(np.ceil(self._each_mm / self._tables.step_mm))
        self._step_mm = self._each_mm / self._steps_a_car
        longest = max(car.coupled_length_mm for car in (*session.cars.values(), self._usual))
        first_mm = self._start_mm - (self._engine.coupled_length_mm + self._each_mm + longest)
        self._places_mm = np.arange(first_mm, self._end_mm + self._step_mm, self._step_mm)
        self._standings: dict[tuple[float, float, str], _Standing] = {}
        self._guesses: dict[tuple[str, bool], _Guess] = {}

    def most(self, car: Car, loaded: bool, bar: float) -> int | None:
        """The most usual cars behind a car with which its side use is nowhere over a bar; None without such a limit.

        It is 0 too for a car that may not even stand last.
        """
        cap, guess = self._cap(car), self._guessed(car, loaded)
        known: dict[int, bool] = {cap + 1: False}

        def passes(count: int) -> bool:
            if count not in known:
                guessed = float(guess.uses[count].max(initial=0.0))
                near = NEAR * bar <= guessed <= OVER * bar
                known[count] = self._use(car, loaded, count, guess) <= bar if near else guessed < bar
            return known[count]

        count = guess.most(bar)
        while count > 0 and not passes(count):
            count -= 1
        while passes(count + 1):
            count += 1
        return None if count == cap else count

    def _ahead_mm(self, car: Car) -> float:
        return self._engine.coupled_length_mm + self._each_mm + car.coupled_length_mm

    def _cap(self, car: Car) -> int:
        """With so many usual cars behind it a train has the most cars, or is too long to stand on the route."""
        counts = range(self._most_cars - AHEAD)
        too_long = (count for count in counts if longer(self._ahead_mm(car) + count * self._each_mm, self._room_mm))
        return next(too_long, self._most_cars - AHEAD)

    def _train(self, car: Car, loaded: bool, count: int) -> Vehicles:
        cars = [(self._usual, False), (car, loaded), *[(self._usual, False)] * count]
        return vehicles((self._engine,), cars, (), self._session.layout.scale, self._session.house.pull_reserve)

    @cached_property
    def _pulls(self) -> Floats:
        """What each number of usual cars, from none on, takes at each place, of shape (numbers, places)."""
        most, each, count = self._most_cars, self._steps_a_car, len(self._places_mm)
        train = self._train(self._usual, False, most - AHEAD)
        heads = self._engine.coupled_length_mm + self._places_mm[0] + self._step_mm * np.arange(count + most * each)
        parts = (evaluate(train, self._tables, heads[part], self._limits) for part in batches(train, heads))
        tension = np.concatenate([figures.forces.tension for figures in parts], axis=1)
        # a coupling with so many cars ahead of it is that much behind, and has the rest of the cars to pull
        pulls = [tension[ahead, ahead * each : ahead * each + count] for ahead in range(most)]
        return np.stack([np.zeros(count), *reversed(pulls)])

    def _standing(self, car: Car) -> _Standing:
        key = (car.coupled_length_mm, car.truck_centers_mm, car.coupler_mount)
        if key not in self._standings:
            heads = self._places_mm + self._ahead_mm(car)
            places = np.flatnonzero((heads >= self._start_mm) & (heads <= self._end_mm))
            stands = stand(self._train(car, False, 1).columns, self._tables, heads[places])
            can = True if stands.strain is None else np.all(stands.strain[1:3] <= CAN, axis=0)
            self._standings[key] = _Standing(places, stands.share[2], stands.behind[1] * can, stands.ahead[2] * can)
        return self._standings[key]

    def _guessed(self, car: Car, loaded: bool) -> _Guess:
        if (car.name, loaded) not in self._guesses:
            standing, cap = self._standing(car), self._cap(car)
            alone = self._train(car, loaded, 0).pick(slice(2, 3))
            bears = bearing(alone, self._limits)

            def uses(counts: slice, on: NDArray[np.bool_] | slice) -> Floats:
                own = alone.weight_g * (standing.share[on] + alone.rolling)
                behind = self._pulls[counts, standing.places[on]]
                return side_use((own + behind) * standing.front[on], behind * standing.rear[on], bears)

            at_most = uses(slice(cap, cap + 1), slice(None))[0]
            matters = at_most >= MATTERS * at_most.max(initial=0.0)
            self._guesses[car.name, loaded] = _Guess(standing.places[matters], uses(slice(cap + 1), matters))
        return self._guesses[car.name, loaded]

    def _use(self, car: Car, loaded: bool, count: int, guess: _Guess) -> float:
        """The car's greatest side use with so many usual cars behind it, run in full where it is hard pressed."""
        train, uses = self._train(car, loaded, count), guess.uses[count]
        places = guess.places[uses >= NEAR * uses.max()]
        stretches = np.split(places, np.flatnonzero(np.diff(places) > 1) + 1)
        worst = 0.0
        for stretch in stretches:
            ends = self._places_mm[stretch[[0, -1]]] + self._ahead_mm(car) + (-self._step_mm, self._step_mm)
            start, end = np.clip(ends, self._start_mm, self._end_mm)
            worst = max(worst, float(run(train, self._tables, start, end, self._limits).use.value[2]))
        return worst
