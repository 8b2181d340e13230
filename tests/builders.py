"""Stock, track, trains and sessions built in code, with plain values where a test does not care."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import degrees, radians
from pathlib import Path

import plain

from consist.house import House
from consist.mechanics import Limits, Peaks, RouteTables, Vehicles, run
from consist.rules import Case
from consist.scales import SCALES, Scale
from consist.session import CarInTrain, Session, Train
from consist.stock import Car, CouplerMount, Engine, WeightStandard
from consist.track import Layout, Line, Piece, Place, find_route
from consist.trains import Prepared, prepared

__all__ = [
    "HO",
    "SAMPLES",
    "World",
    "car",
    "case",
    "curve",
    "engine",
    "layout",
    "line",
    "mirrored",
    "one_line",
    "plain_house",
    "plain_pieces",
    "plain_train",
    "session",
    "spot",
    "straight",
    "train",
    "world",
]

HO = SCALES["HO"]
START, FINISH = "Left Yard", "Right Yard"
SAMPLES = Path(__file__).parents[1] / "sample_sessions"


def car(
    name: str = "C1",
    weight_g: float = 100.0,
    length_mm: float = 150.0,
    *,
    truck_centers_mm: float | None = None,
    mount: CouplerMount = "body",
    rolling: float = 0.014,
    load_g: float = 0.0,
    target_g: float | None = None,
    max_swing_deg: float | None = None,
    min_radius_mm: float | None = None,
    assumed: Sequence[str] = (),
) -> Car:
    """A car; its target is its own weight, so that no weight rule speaks, unless given."""
    return Car(
        name=name,
        kind="boxcar",
        weight_g=weight_g,
        load_g=load_g,
        body_length_mm=length_mm - 12.7,
        coupled_length_mm=length_mm,
        truck_centers_mm=0.7 * length_mm if truck_centers_mm is None else truck_centers_mm,
        coupler_mount=mount,
        rolling=rolling,
        target_g=weight_g if target_g is None else target_g,
        max_swing_deg=max_swing_deg,
        min_radius_mm=min_radius_mm,
        assumed=frozenset(assumed),
    )


def engine(
    name: str = "1",
    weight_g: float = 400.0,
    pull_g: float = 100.0,
    length_mm: float = 200.0,
    *,
    truck_centers_mm: float | None = None,
    engine_class: str = "A",
    assumed: Sequence[str] = (),
) -> Engine:
    """An engine with a measured pull."""
    return Engine(
        name=name,
        engine_class=engine_class,
        weight_g=weight_g,
        pull_g=pull_g,
        coupled_length_mm=length_mm,
        truck_centers_mm=0.7 * length_mm if truck_centers_mm is None else truck_centers_mm,
        measured=True,
        assumed=frozenset(assumed),
    )


def straight(length_mm: float, grade_percent: float = 0.0) -> Piece:
    """Straight track."""
    return Piece(grade=grade_percent / 100.0, straight_mm=length_mm)


def curve(
    radius_mm: float, angle_deg: float, turn: str = "left", *, grade_percent: float = 0.0, easement_mm: float = 0.0
) -> Piece:
    """A curve; `angle_deg` is all its turning."""
    return Piece(
        grade=grade_percent / 100.0,
        radius_mm=radius_mm,
        turn=1 if turn == "left" else -1,
        angle=radians(angle_deg),
        easement_mm=easement_mm,
    )


def mirrored(pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    """The same track with left and right exchanged."""
    return tuple(Piece(p.grade, p.straight_mm, p.radius_mm, -p.turn, p.angle, p.easement_mm) for p in pieces)


def line(start: str, finish: str, *pieces: Piece) -> Line:
    """A line between two ends given as "Place, end"."""
    ends = [tuple(end.split(", ")) for end in (start, finish)]
    return Line((ends[0][0], ends[0][1]), (ends[1][0], ends[1][1]), pieces)


def layout(*lines: Line, places: Sequence[Place] = (), scale: Scale = HO, unit: str = "mm") -> Layout:
    """A layout of those lines; places not given allow every move."""
    named = {place.name: place for place in places}
    for one in lines:
        for name, _ in (one.start, one.finish):
            named.setdefault(name, Place(name))
    return Layout("Bench", scale, unit, named, lines)


def one_line(*pieces: Piece, scale: Scale = HO) -> Layout:
    """A layout of a single line from `START` to `FINISH`."""
    return layout(line(f"{START}, out", f"{FINISH}, in", *pieces), scale=scale)


def spot(
    stock: Car,
    number: int,
    *,
    loaded: bool = False,
    block: str | None = None,
    hold: str | None = None,
    joins: int = 0,
    leaves: int = 1,
) -> CarInTrain:
    """A car in a spot of a train."""
    return CarInTrain(stock, number, loaded, block, hold, joins, leaves)


def train(
    where: Layout,
    cars: Sequence[Car | CarInTrain],
    engines: Sequence[Engine] = (),
    helpers: Sequence[Engine] = (),
    *,
    name: str = "Freight 1",
    stops: Sequence[str] = (START, FINISH),
    pushed: Sequence[bool] = (),
    times: tuple[int, int] | None = None,
) -> Train:
    """A train of cars in standing order over the shortest route by its stops, backing to those that are `pushed`."""
    standing = tuple(
        one if isinstance(one, CarInTrain) else spot(one, number, leaves=len(stops) - 1)
        for number, one in enumerate(cars, start=1)
    )
    depart, arrive = times if times is not None else (None, None)
    route = find_route(where, stops, pushed=pushed)
    return Train(name, route, tuple(engines), tuple(helpers), standing, depart, arrive)


def session(where: Layout, *trains: Train, roster: Sequence[Engine] = (), house: House | None = None) -> Session:
    """A session of those trains; the roster is their engines and those given besides."""
    cars = {one.car.name: one.car for each in trains for one in each.cars}
    engines = {one.name: one for each in trains for one in (*each.engines, *each.helpers)}
    engines.update({one.name: one for one in roster})
    standard = WeightStandard("own", "own", "body", 0.0, 1.0)
    return Session("Bench", house or House(), standard, where, cars, engines, trains)


@dataclass(frozen=True)
class World:
    """A session of one train over one line, and what the mechanics make of it."""

    session: Session
    train: Train

    @property
    def prepared(self) -> Prepared:
        """The train prepared."""
        return prepared(self.session, self.train)

    @property
    def tables(self) -> RouteTables:
        """The route's tables."""
        return self.prepared.runs[0]

    @cached_property
    def vehicles(self) -> Vehicles:
        """The whole train as arrays."""
        return self.prepared.arrays(self.train.engines, self.train.cars, self.train.helpers)

    @property
    def limits(self) -> Limits:
        """The side limits."""
        return self.prepared.limits

    @property
    def length_mm(self) -> float:
        """The length of the route."""
        return self.train.route.length_mm

    def run(self) -> Peaks:
        """The peaks over the whole route."""
        return run(self.vehicles, self.tables, 0.0, self.length_mm, self.limits)


def world(
    pieces: Sequence[Piece],
    cars: Sequence[Car | CarInTrain],
    engines: Sequence[Engine] = (),
    helpers: Sequence[Engine] = (),
    *,
    scale: Scale = HO,
    house: House | None = None,
    roster: Sequence[Engine] = (),
) -> World:
    """One train over one line of those pieces."""
    where = one_line(*pieces, scale=scale)
    one = train(where, cars, engines, helpers)
    return World(session(where, one, roster=roster, house=house), one)


def case(of: Session, one: Train) -> Case:
    """A train run, ready for the rules."""
    known = prepared(of, one)
    return Case(known, known.run())


def plain_pieces(pieces: Sequence[Piece]) -> list[plain.Piece]:
    """The pieces as the plain model takes them."""
    return [
        plain.Piece(
            length_mm=piece.straight_mm,
            grade_percent=100.0 * piece.grade,
            radius_mm=piece.radius_mm,
            turn={1: "left", -1: "right", 0: ""}[piece.turn],
            angle_deg=degrees(piece.angle),
            easement_mm=piece.easement_mm,
        )
        for piece in pieces
    ]


def plain_train(
    engines: Sequence[Engine], cars: Sequence[CarInTrain], helpers: Sequence[Engine] = ()
) -> list[plain.Vehicle]:
    """A train as the plain model takes it."""

    def as_plain(one: Engine) -> plain.Vehicle:
        return plain.Vehicle(
            one.coupled_length_mm, one.truck_centers_mm, one.weight_g, engine=True, pull_g=one.pull_g
        )

    middle = [
        plain.Vehicle(
            one.car.coupled_length_mm,
            one.car.truck_centers_mm,
            one.weight_g,
            mount=one.car.coupler_mount,
            rolling=one.car.rolling,
        )
        for one in cars
    ]
    return [*map(as_plain, engines), *middle, *map(as_plain, helpers)]


def plain_house(of: Session) -> plain.House:
    """Scale and house as the plain model takes them."""
    scale, house = of.layout.scale, of.house
    return plain.House(
        ratio=scale.ratio,
        gauge_mm=scale.gauge_mm,
        coupler_height_mm=scale.coupler_height_mm,
        reserve=house.pull_reserve,
        flange_angle_deg=house.flange_angle_deg,
        flange_friction=house.flange_friction,
        flange_drag=house.flange_drag,
    )
