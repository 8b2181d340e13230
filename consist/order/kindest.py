"""The least that a car can be pulled aside where certain cars stand behind it: what a bound on all orders is made of.

A car comes past every place of the route at some head of the train. At one, its side use is at least that with its
kindest neighbours ahead and behind, and with no more behind it than what must stand there takes at the least: each
car its weight on the least grade and the least curve within the length of the train, and its rolling. What side loads
cost them is left out, since it only adds. So the figure is never above that of any real order.

More cars behind one never make its figure less, which Lawler's rule asks for: a car that would there push counts
wherever it stands, and any other car may be the one coupled behind.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import Bearing, RouteTables, Vehicles, bearing, stand, track_share
from consist.session import Leg
from consist.trains import LegRun, Prepared, Trip

__all__ = ["Kindest"]

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

PLACES = 60
"""As many places are looked at: those where cars are hardest pressed in the orders that were run in full."""


class Kindest:
    """The least uses of a train's cars; `trips` are orders run in full, whose hard places are looked at."""

    def __init__(self, of: Prepared, trips: Sequence[Trip]) -> None:
        self._cars = len(of.train.cars)
        number = {car.car.name: k for k, car in enumerate(of.train.cars)}
        self._legs = []
        # the part of the load that helpers take depends on the order, so that behind them nothing is sure
        for k, leg in enumerate(of.train.legs if not of.train.helpers else ()):
            own = np.array([number[car.car.name] for car in leg.cars], dtype=np.intp)
            places = _places(of, leg, [trip.legs[k] for trip in trips])
            if len(own) and len(places):
                self._legs.append((own, _OnLeg.of(of, leg, places)))

    def __call__(self, standing: Mask) -> Floats:
        """For some of the cars, of shape (cars,), the least use of each where it stands foremost of them, by car.

        It never falls where more stand behind a car; what is said of cars that are not among them means nothing.
        """
        least = np.zeros(self._cars)
        for own, leg in self._legs:
            least[own] = np.maximum(least[own], leg.least(standing[own]))
        return least


def _places(of: Prepared, leg: Leg, runs: Sequence[LegRun]) -> Floats:
    """Where middles of cars are hard pressed, of those places that every car of the leg comes past in any order."""
    from_mm, to_mm = of.train.leg_mm(leg)
    ahead_mm = sum(engine.coupled_length_mm for engine in of.engines)
    behind_mm = sum(car.car.coupled_length_mm for car in leg.cars)
    found = [
        (
            -float(run.peaks.use.value[vehicle]),
            float(run.peaks.use.head_mm[vehicle] - run.vehicles.middle_mm[vehicle]),
        )
        for run in runs
        for vehicle in run.vehicles.cars
    ]
    inside = [place for _, place in sorted(found) if from_mm - ahead_mm <= place <= to_mm - ahead_mm - behind_mm]
    return np.unique(np.array(inside[:PLACES]))


@dataclass(frozen=True)
class _OnLeg:
    """The cars of a leg with their middles at places of the route.

    `front` and `rear` are the sines that a car's couplings make with it, of shape (cars, neighbours, places), the
    last neighbour ahead being the lead engine or, without one, nothing. `demand` is what each takes there and `takes`
    the least it takes anywhere behind, of shape (cars, places), side loads left out.
    """

    front: Floats
    rear: Floats
    demand: Floats
    takes: Floats
    bears: Bearing
    flange_drag: float

    @classmethod
    def of(cls, of: Prepared, leg: Leg, places_mm: Floats) -> _OnLeg:
        """The leg of a train."""
        cars = of.arrays((), leg.cars, ())
        count = len(cars)
        each = np.arange(count, dtype=np.intp)
        rear, front = _sines(cars, each.repeat(count), np.tile(each, count), of.tables, places_mm)
        by_pair = (count, count, len(places_mm))
        lead = np.zeros((count, 1, len(places_mm)))
        if of.engines:
            both = cars.behind_engines(of.arrays(of.engines[-1:], (), ()))
            lead[:, 0] = _sines(both, np.zeros_like(each), each + 1, of.tables, places_mm)[1]
        alone = cars.pick(each[None, :, None])
        share = track_share(alone, of.tables, places_mm + alone.middle_mm[0])[0]
        least = _least_share(of.tables, places_mm, cars.total_length_mm)
        return cls(
            front=np.concatenate((front.reshape(by_pair).swapaxes(0, 1), lead), axis=1),
            rear=rear.reshape(by_pair),
            demand=cars.weight_g[:, None] * (share + cars.rolling[:, None]),
            takes=cars.weight_g[:, None] * (least + cars.rolling[:, None]),
            bears=bearing(cars.columns, of.limits),
            flange_drag=of.tables.flange_drag,
        )

    def least(self, standing: Mask) -> Floats:
        """The least use of each car where it stands foremost of some of the leg's cars, of shape (cars,)."""
        if not np.any(standing):
            return np.zeros(len(standing))
        pulls, pushes = np.maximum(self.takes, 0.0), np.minimum(self.takes, 0.0)
        tail = pulls[standing].sum(axis=0) - pulls + pushes.sum(axis=0) - pushes
        others = ~np.eye(len(standing), dtype=bool)
        ahead = np.append(~standing, True)
        front = _Sines.of(self.front, np.broadcast_to(ahead, (len(standing), len(ahead))))
        use = _least(tail, self.demand, front, _Sines.of(self.rear, others), self.bears, self.flange_drag)
        return np.where(standing, use.max(axis=1), 0.0)


def _sines(
    cars: Vehicles, ahead: NDArray[np.intp], behind: NDArray[np.intp], tables: RouteTables, places_mm: Floats
) -> tuple[Floats, Floats]:
    """The sines of couplings between pairs of cars, each of shape (pairs, places).

    The first at the car ahead with its middle at the places, the second at the car behind with its own there.
    """
    pairs = replace(cars.pick(np.stack((ahead, behind))[:, :, None]), ahead=0, behind=0)
    at_ahead = stand(pairs, tables, places_mm + pairs.middle_mm[0]).ahead[0]
    return at_ahead, stand(pairs, tables, places_mm + pairs.middle_mm[1]).behind[0]


@dataclass(frozen=True)
class _Sines:
    """The least and the greatest that a coupling's sine at each car may be, of shape (cars, places)."""

    low: Floats
    high: Floats

    @classmethod
    def of(cls, sines: Floats, may: Mask) -> _Sines:
        """Of neighbours that may stand there, `may` of shape (cars, neighbours); 0 where none may."""
        none = ~np.any(may, axis=1, keepdims=True)
        low = np.where(may[:, :, None], sines, np.inf).min(axis=1)
        high = np.where(may[:, :, None], sines, -np.inf).max(axis=1)
        return cls(np.where(none, 0.0, low), np.where(none, 0.0, high))

    @property
    def turned(self) -> _Sines:
        """The same seen from the other side of the track."""
        return _Sines(-self.high, -self.low)

    @property
    def greatest(self) -> Floats:
        """The greatest there may be to either side."""
        return np.maximum(np.abs(self.low), np.abs(self.high))


def _least_share(tables: RouteTables, places_mm: Floats, reach_mm: float) -> Floats:
    """The least slope and curve resistance of anything within so far behind places, as a share of weight."""
    stretches = tables.track.stretches
    lengths = np.append(np.diff(stretches.start_mm), 0.0)
    bend = np.minimum(stretches.bend, stretches.bend + stretches.bend_change * lengths)
    last = np.searchsorted(stretches.start_mm[1:], places_mm, side="right")
    first = np.searchsorted(stretches.start_mm[1:], places_mm - reach_mm, side="right")
    each = [slice(start, stop + 1) for start, stop in zip(first, last, strict=True)]
    grades = np.array([stretches.grade[within].min() for within in each])
    bends = np.array([bend[within].min() for within in each])
    least: Floats = grades + tables.curve_share * np.maximum(bends, 0.0)
    return least


def _least(tail: Floats, demand: Floats, front: _Sines, rear: _Sines, bears: Bearing, flange_drag: float) -> Floats:
    """The least use of each car at each place with at least so much behind it, of shape (cars, places)."""
    pulled = (tail >= 0.0) & (tail + demand >= 0.0)
    tail = np.maximum(tail, 0.0)
    along, across = (
        np.maximum(*(_rising(tail, demand, *both, flange_drag) for both in sides))
        for sides in (
            ((front, rear), (front.turned, rear.turned)),
            ((front, rear.turned), (front.turned, rear)),
        )
    )
    use: Floats = np.maximum(bears.whole * along, bears.truck * along + bears.twist * across)
    return np.where(pulled, use, 0.0)


def _rising(tail: Floats, demand: Floats, front: _Sines, rear: _Sines, flange_drag: float) -> Floats:
    """The least of T ahead·front + T behind·rear for every T behind from `tail` on; 0 where it may fall."""
    part = (1.0 + flange_drag * rear.greatest) / (1.0 - flange_drag * front.greatest)
    most = tail * part + demand / (1.0 - flange_drag * front.greatest)
    ahead = np.where(front.low >= 0.0, tail + demand, most)
    rises = np.where(front.low >= 0.0, 1.0, part) * front.low + rear.low >= 0.0
    return np.where(rises, np.maximum(ahead * front.low + tail * rear.low, 0.0), 0.0)
