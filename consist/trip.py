"""A train's whole trip run leg by leg, with the cars then in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from consist.mechanics import (
    Limits,
    Peaks,
    RouteTables,
    Vehicles,
    curve_share_per_curvature,
    run,
    side_limits,
    vehicles,
)
from consist.session import CarInTrain, Leg, Session, Train
from consist.stock import Engine

__all__ = ["MOST_ENGINES", "LegRun", "Trip", "limits_of", "run_trip", "tables_of"]

STEP_SHARE_OF_GAUGE = 0.4
"""Table step as a share of the gauge: 6.6 mm in HO, a third of the distance between two coupler pivots."""
MOST_ENGINES = 12
"""More engines than this on one train are not looked at. Common practice, no source: few layouts own as many."""


@dataclass(frozen=True)
class LegRun:
    """One leg run: its vehicles as arrays, their names in running order, and the peaks."""

    leg: Leg
    from_mm: float
    to_mm: float
    vehicles: Vehicles
    names: tuple[str, ...]
    peaks: Peaks

    @property
    def cars(self) -> tuple[CarInTrain, ...]:
        """The cars on this leg, in standing order."""
        return self.leg.cars

    @cached_property
    def first_car(self) -> int:
        """The number of the first car among the vehicles, which is that of the head-end engines."""
        return int(self.vehicles.cars[0]) if len(self.vehicles.cars) else len(self.vehicles)

    @property
    def worst_use(self) -> float:
        """The greatest side use of any car, 0 where the leg has none."""
        return float(np.max(self.peaks.use.value, initial=0.0))

    @property
    def weight_g(self) -> float:
        """What the cars weigh together."""
        return float(self.vehicles.weight_g[self.vehicles.cars].sum())


@dataclass(frozen=True)
class Trip:
    """A train run over its whole route behind given engines."""

    session: Session
    train: Train
    engines: tuple[Engine, ...]
    helpers: tuple[Engine, ...]
    tables: RouteTables
    legs: tuple[LegRun, ...]

    @cached_property
    def worst_leg(self) -> LegRun:
        """The leg with the greatest side use; of equals the heaviest, then the first."""
        return max(self.legs, key=lambda leg: (leg.worst_use, leg.weight_g))

    def place_of(self, leg: LegRun, vehicle: int, head_mm: float) -> str:
        """Where the middle of a vehicle stands when the head is there, in words."""
        return self.train.route.place_at(head_mm - float(leg.vehicles.middle_mm[vehicle]))


def limits_of(session: Session) -> Limits:
    """The side limits of a session's scale and house."""
    scale, house = session.layout.scale, session.house
    return side_limits(scale.gauge_mm, scale.coupler_height_mm, house.flange_angle_deg, house.flange_friction)


def tables_of(session: Session, train: Train) -> RouteTables:
    """Tables of a train's route that serve it in any order and behind any engines of the roster."""
    lengths = [car.car.coupled_length_mm for car in train.cars]
    pool = [engine.coupled_length_mm for engine in session.engines.values()]
    longest = max([*lengths, *pool], default=0.0)
    own = sum(engine.coupled_length_mm for engine in (*train.engines, *train.helpers))
    reach = sum(lengths) + own + MOST_ENGINES * max(pool, default=0.0)
    scale = session.layout.scale
    return RouteTables(
        train.route.centreline,
        curve_share_per_curvature(scale.ratio),
        STEP_SHARE_OF_GAUGE * scale.gauge_mm,
        reach,
        longest,
    )


def leg_vehicles(
    session: Session, engines: Sequence[Engine], cars: Sequence[CarInTrain], helpers: Sequence[Engine]
) -> Vehicles:
    """A leg's train as arrays."""
    stock = [(car.car, car.loaded) for car in cars]
    return vehicles(engines, stock, helpers, session.layout.scale, session.house.pull_reserve)


def run_trip(
    session: Session,
    train: Train,
    tables: RouteTables,
    engines: Sequence[Engine] | None = None,
    cars: Sequence[CarInTrain] | None = None,
) -> Trip:
    """Run a train over all its legs.

    `engines`, where given, stand in for the train's own at the head end. `cars`, where given, is the train's
    cars in another order.
    """
    ahead = train.engines if engines is None else tuple(engines)
    order = {car.car.name: place for place, car in enumerate(train.cars if cars is None else cars)}
    limits = limits_of(session)
    legs = []
    for leg in train.legs:
        standing = Leg(leg.start, leg.finish, tuple(sorted(leg.cars, key=lambda car: order[car.car.name])))
        from_mm, to_mm = train.leg_mm(leg)
        arrays = leg_vehicles(session, ahead, standing.cars, train.helpers)
        names = (
            *(engine.name for engine in ahead),
            *(car.car.name for car in standing.cars),
            *(engine.name for engine in train.helpers),
        )
        peaks = run(arrays, tables, from_mm, to_mm, limits)
        legs.append(LegRun(standing, from_mm, to_mm, arrays, names, peaks))
    return Trip(session, train, ahead, train.helpers, tables, tuple(legs))
