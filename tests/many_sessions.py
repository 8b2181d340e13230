"""Random sessions of one train from a seed, and the same as the plain model takes them.

Trains are short and routes a few metres, so that the plain model runs over them in a fraction of a second.
"""

from __future__ import annotations

import itertools
import random
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

import plain
from builders import layout, line, plain_house, plain_pieces, plain_train, session, train
from random_road import RandomRoad
from random_stock import RandomStock

from consist.scales import SCALES

if TYPE_CHECKING:
    from collections.abc import Sequence

    from consist.session import Session, Train
    from consist.track import Line, Piece

__all__ = ["PLACES", "SCALE_NAMES", "Drawn", "PlainLeg", "backing_session", "random_session"]

SCALE_NAMES = ("HO", "N", "O", "Z")
PLACES = ("Ash Hollow", "Birch Ferry", "Copper Gap", "Dunmill")
LONGEST_ROUTE_MM = 3600.0
"""In HO. A route is a little longer where its last feature is long."""
PRACTICES: tuple[dict[str, Any], ...] = (
    {},
    {"pull_reserve": 0.0, "flange_angle_deg": 70.0, "flange_friction": 0.2},
    # no flange climbs, so that cars tip: the body of one, each truck of another
    {"pull_reserve": 0.3, "flange_angle_deg": 78.0, "flange_friction": 0.1},
)
"""Houses by what they change of the defaults."""


@dataclass(frozen=True)
class PlainLeg:
    """A leg as the plain model takes it, with its vehicles' names in running order and the stops it runs between.

    `origin_mm` is where along the route its track begins.
    """

    start: int
    finish: int
    names: tuple[str, ...]
    train: list[plain.Vehicle]
    track: plain.Track
    house: plain.House
    from_mm: float
    to_mm: float
    origin_mm: float = 0.0

    def peaks(self, step_mm: float = 1.0) -> plain.Peaks:
        """The leg run by the plain model."""
        from_mm, to_mm = self.from_mm - self.origin_mm, self.to_mm - self.origin_mm
        return plain.peaks(self.train, self.track, self.house, from_mm, to_mm, step_mm)

    def at(self, head_mm: float) -> plain.Figures:
        """The leg's train with its leading end there along the route."""
        return plain.figures(self.train, self.track, self.house, head_mm - self.origin_mm)


@dataclass(frozen=True)
class Drawn:
    """A session of one train, and the pieces of its route in running order, line by line."""

    seed: int
    session: Session
    pieces: tuple[tuple[Piece, ...], ...]

    @property
    def train(self) -> Train:
        """The session's only train."""
        return self.session.trains[0]

    @cached_property
    def track(self) -> plain.Track:
        """The whole route."""
        return plain.Track(plain_pieces([*itertools.chain.from_iterable(self.pieces)]))

    @cached_property
    def legs(self) -> list[PlainLeg]:
        """The route parted at the stops where a car joins or leaves, each leg with the cars then in the train."""
        one = self.train
        stops = [0.0, *itertools.accumulate(plain.Track(plain_pieces(of_line)).length_mm for of_line in self.pieces)]
        parted = sorted({0, len(self.pieces), *(car.joins for car in one.cars), *(car.leaves for car in one.cars)})
        return [self._leg(start, finish, stops[start], stops[finish]) for start, finish in itertools.pairwise(parted)]

    def _leg(self, start: int, finish: int, from_mm: float, to_mm: float) -> PlainLeg:
        one = self.train
        cars = [riding for riding in one.cars if riding.joins <= start and riding.leaves >= finish]
        names = [*(each.name for each in one.engines), *(each.car.name for each in cars)]
        names.extend(each.name for each in one.helpers)
        vehicles, house = plain_train(one.engines, cars, one.helpers), plain_house(self.session)
        return PlainLeg(start, finish, tuple(names), vehicles, self.track, house, from_mm, to_mm)


@dataclass(frozen=True)
class _Backing(Drawn):
    """A session whose train runs out over its lines and backs over them again, or the other way about."""

    first: bool = False

    @cached_property
    def legs(self) -> list[PlainLeg]:
        """Those of the way out, then those of the way back with the vehicles the other way round."""
        one, lines = self.train, [*self.pieces, *map(_turned, reversed(self.pieces))]
        lengths = [plain.Track(plain_pieces(of_line)).length_mm for of_line in lines]
        stops, middle = [0.0, *itertools.accumulate(lengths)], len(self.pieces)
        parted = sorted({0, middle, len(lines), *(stop for car in one.cars for stop in (car.joins, car.leaves))})
        found = []
        for start, finish in itertools.pairwise(parted):
            back = start >= middle
            half = lines[middle:] if back else lines[:middle]
            track = plain.Track(plain_pieces([*itertools.chain.from_iterable(half)]))
            leg = replace(self._leg(start, finish, stops[start], stops[finish]), track=track)
            leg = replace(leg, origin_mm=stops[middle] if back else 0.0)
            pushes = back != self.first
            found.append(replace(leg, names=leg.names[::-1], train=leg.train[::-1]) if pushes else leg)
        return found


def backing_session(seed: int, *, first: bool = False) -> Drawn:
    """The session of a seed, its train backing over its lines again, or `first` backing out over them."""
    drawn = random_session(seed)
    one, lines = drawn.train, len(drawn.pieces)
    stops = (*PLACES[: lines + 1], *reversed(PLACES[:lines]))
    pushed = [not first] * lines
    pushed = [not each for each in pushed] + pushed
    cars = [replace(car, leaves=2 * lines if car.leaves == lines else car.leaves) for car in one.cars]
    backing = train(drawn.session.layout, cars, one.engines, one.helpers, stops=stops, pushed=pushed)
    return _Backing(seed, replace(drawn.session, trains=(backing,)), drawn.pieces, first)


def random_session(seed: int, scale: str | None = None) -> Drawn:
    """The session of a seed, in the scale given or one that is drawn."""
    rng = random.Random(seed)
    drawn = rng.choice(SCALE_NAMES)
    of_scale = SCALES[scale or drawn]
    factor = of_scale.by_ratio(1.0)
    lines = rng.choice([1, 1, 2, 3])
    stock = RandomStock(rng, factor)
    cars = stock.cars(rng.randint(2, 12), lines)
    ahead, helping = stock.engines()
    road = RandomRoad(rng, factor, [*(riding.car for riding in cars), *ahead, *helping])
    wanted_mm = rng.uniform(0.4, 1.0) * LONGEST_ROUTE_MM / lines
    pieces = tuple(road.line(wanted_mm) for _ in range(lines))
    where = layout(*(_line(rng, number, of_line) for number, of_line in enumerate(pieces)), scale=of_scale)
    one = train(where, cars, ahead, helping, stops=PLACES[: lines + 1])
    bench = session(where, one)
    return Drawn(seed, replace(bench, house=replace(bench.house, **rng.choice(PRACTICES))), pieces)


def _line(rng: random.Random, number: int, pieces: tuple[Piece, ...]) -> Line:
    """One line of the layout; every third is written down from its far end, as a train does not run it."""
    near, far = f"{PLACES[number]}, east", f"{PLACES[number + 1]}, west"
    if rng.random() < 2.0 / 3.0:
        return line(near, far, *pieces)
    return line(far, near, *_turned(pieces))


def _turned(pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    """The same track run from its far end."""
    return tuple(replace(piece, grade=-piece.grade, turn=-piece.turn) for piece in reversed(pieces))
