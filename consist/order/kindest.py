"""The least that each car of a train can be pulled aside, whatever the order: what a bound on all orders is made of.

A car comes past every place of the route at some head of the train. At one, its side use is at least that with its
kindest neighbours ahead and behind, and with no more behind it than what must stand there takes at the least: each
car its weight on the least grade and the least curve within a train's length, and its rolling. What side loads cost
is left out, since it only adds. All of it makes the figure less than that of any real order, never more.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import Bearing, RouteTables, Vehicles, bearing, stand, track_share
from consist.session import Leg
from consist.trains import LegRun, Prepared, Trip

__all__ = ["kindest_uses"]

Floats = NDArray[np.float64]

PLACES = 60
"""As many places are looked at: those where cars are hard pressed in the orders that were run in full."""


def kindest_uses(of: Prepared, trips: list[Trip]) -> Floats:
    """By car number and by how many cars of the train stand behind it, the least its worst use can be.

    Of shape (cars, cars), never falling along the second axis. `trips` are orders run in full, whose hard places are
    looked at. 0 behind helpers, whose part of the load depends on the order.
    """
    cars = of.train.cars
    count = len(cars)
    least = np.zeros((count, count))
    if of.train.helpers:
        return least
    number = {car.car.name: k for k, car in enumerate(cars)}
    for k, leg in enumerate(of.train.legs):
        if not leg.cars:
            continue
        own = [number[car.car.name] for car in leg.cars]
        on_leg = _on_leg(of, leg, [trip.legs[k] for trip in trips])
        # of those behind it in the train some may not ride on this leg
        behind = np.maximum(np.arange(count) - (count - len(own)), 0)
        least[own] = np.maximum(least[own], on_leg[:, behind])
    return least


@dataclass(frozen=True)
class _Between:
    """The least and the greatest that a coupling's sine at a car may be, of shape (cars, places)."""

    low: Floats
    high: Floats

    @property
    def turned(self) -> _Between:
        """The same seen from the other side of the track."""
        return _Between(-self.high, -self.low)


def _on_leg(of: Prepared, leg: Leg, runs: list[LegRun]) -> Floats:
    """By car of a leg and by how many of its cars stand behind it, of shape (cars, cars)."""
    cars = of.arrays((), leg.cars, ())
    ahead = [*of.engines[-1:]]
    lead = replace(of.arrays(ahead, (), ()), ahead=0) if ahead else None
    places = _places(of, leg, runs, cars)
    if not len(places) or len(cars) < 1:
        return np.zeros((len(cars), len(cars)))
    front, rear = _sines(cars, lead, of.tables, places)
    demand = cars.weight_g[:, None] * (_share_at(cars, of.tables, places) + cars.rolling[:, None])
    tails = _tails(cars, of.tables, places)
    bears = bearing(cars, of.limits)
    least = np.zeros((len(cars), len(cars)))
    for behind in range(len(cars)):
        least[:, behind] = _least(tails[:, behind], demand, front, rear, bears, of.tables.flange_drag).max(axis=1)
    return np.maximum.accumulate(least, axis=1)


def _places(of: Prepared, leg: Leg, runs: list[LegRun], cars: Vehicles) -> Floats:
    """Where middles of cars are hard pressed, of those that every car of the leg comes past in any order."""
    from_mm, to_mm = of.train.leg_mm(leg)
    lead_mm = sum(engine.coupled_length_mm for engine in of.engines)
    found: list[tuple[float, float]] = []
    for run in runs:
        use = run.peaks.use
        for vehicle in run.vehicles.cars:
            found.append((-float(use.value[vehicle]), float(use.head_mm[vehicle] - run.vehicles.middle_mm[vehicle])))
    inside = [
        place for _, place in sorted(found) if from_mm - lead_mm <= place <= to_mm - lead_mm - cars.total_length_mm
    ]
    return np.unique(np.array(inside[:PLACES]))


def _sines(
    cars: Vehicles, lead: Vehicles | None, tables: RouteTables, places_mm: Floats
) -> tuple[_Between, _Between]:
    """How each car's couplings may stand to it at its front and its rear, with any neighbour, middles at places."""
    count = len(cars)
    front_low, front_high = np.full((count, len(places_mm)), np.inf), np.full((count, len(places_mm)), -np.inf)
    rear_low, rear_high = front_low.copy(), front_high.copy()
    for other in range(count):
        others = np.array([car for car in range(count) if car != other])
        if not len(others):
            break
        for ahead, behind in ((others, np.full(len(others), other)), (np.full(len(others), other), others)):
            pair = replace(cars.pick(np.stack((ahead, behind))[:, :, None]), ahead=0, behind=0)
            first = ahead is others
            standing = stand(pair, tables, places_mm + pair.middle_mm[0 if first else 1])
            sine = (standing.ahead if first else standing.behind)[0]
            low, high = (rear_low, rear_high) if first else (front_low, front_high)
            low[others], high[others] = np.minimum(low[others], sine), np.maximum(high[others], sine)
    if lead is not None:
        pair = replace(cars.behind_engines(lead), ahead=0, behind=0)
        pick = np.stack((np.zeros(count, dtype=np.intp), np.arange(1, count + 1)))
        both = pair.pick(pick[:, :, None])
        sine = stand(both, tables, places_mm + both.middle_mm[1]).behind[0]
        front_low, front_high = np.minimum(front_low, sine), np.maximum(front_high, sine)
    else:
        front_low, front_high = np.minimum(front_low, 0.0), np.maximum(front_high, 0.0)
    # with none behind it a car's rear coupling pulls nothing, whatever it would stand like
    empty = ~np.isfinite(rear_low)
    rear_low[empty], rear_high[empty] = 0.0, 0.0
    return _Between(front_low, front_high), _Between(rear_low, rear_high)


def _share_at(cars: Vehicles, tables: RouteTables, places_mm: Floats) -> Floats:
    """Slope and curve resistance of each car with its middle at places, of shape (cars, places)."""
    each = replace(cars.pick(np.arange(len(cars))[None, :, None]), ahead=0, behind=0)
    share: Floats = track_share(each, tables, places_mm + each.middle_mm[0])[0]
    return share


def _tails(cars: Vehicles, tables: RouteTables, places_mm: Floats) -> Floats:
    """The least that cars behind a car take, of shape (cars, how many, places): the lightest on the least grade."""
    count = len(cars)
    found = np.zeros((count, count, len(places_mm)))
    track = _LeastBehind(tables)
    for car in range(count):
        others = np.array([other for other in range(count) if other != car], dtype=np.intp)
        reach = np.cumsum(np.sort(cars.length_mm[others])[::-1]) + 0.5 * float(cars.length_mm[car])
        for behind in range(1, count):
            share = track.share(places_mm, float(reach[behind - 1]))
            takes = cars.weight_g[others, None] * (share + cars.rolling[others, None])
            found[car, behind] = np.sort(takes, axis=0)[:behind].sum(axis=0)
    return found


class _LeastBehind:
    """The least grade and the least curve of a route between any two of its stretches."""

    def __init__(self, tables: RouteTables) -> None:
        stretches = tables.track.stretches
        lengths = np.append(np.diff(stretches.start_mm), 0.0)
        bend = np.minimum(stretches.bend, stretches.bend + stretches.bend_change * lengths)
        self._starts = stretches.start_mm[1:]
        self._grade, self._bend = _least_to(stretches.grade), _least_to(bend)
        self._curve_share = tables.curve_share

    def share(self, places_mm: Floats, reach_mm: float) -> Floats:
        """The least slope and curve resistance of anything within so far behind places, as a share of weight."""
        last = np.searchsorted(self._starts, places_mm, side="right")
        first = np.searchsorted(self._starts, places_mm - reach_mm, side="right")
        least: Floats = self._grade[first, last] + self._curve_share * np.maximum(self._bend[first, last], 0.0)
        return least


def _least_to(column: Floats) -> Floats:
    """The least of a column from each entry to each later one, of shape (entries, entries).

    >>> _least_to(np.array([2.0, 1.0, 3.0]))[0]
    array([2., 1., 1.])
    """
    rows = [np.minimum.accumulate(column[first:]) for first in range(len(column))]
    return np.stack([np.concatenate((np.full(first, np.inf), row)) for first, row in enumerate(rows)])


def _least(
    tail: Floats, demand: Floats, front: _Between, rear: _Between, bears: Bearing, flange_drag: float
) -> Floats:
    """The least use of each car at each place with at least so much behind it, of shape (cars, places)."""
    pulling = tail >= 0.0
    tail = np.maximum(tail, 0.0)
    # more behind it may only add, so that what falls with the force behind is no bound
    sums = [
        _rising(tail, demand, one, other, flange_drag) for one, other in ((front, rear), (front.turned, rear.turned))
    ]
    apart = [
        _rising(tail, demand, one, other, flange_drag) for one, other in ((front, rear.turned), (front.turned, rear))
    ]
    along, across = np.maximum(*sums), np.maximum(*apart)
    whole, truck, twist = bears.whole[:, None], bears.truck[:, None], bears.twist[:, None]
    use: Floats = np.maximum(whole * along, truck * along + twist * across)
    return np.where(pulling & (tail + demand >= 0.0), use, 0.0)


def _rising(tail: Floats, demand: Floats, front: _Between, rear: _Between, flange_drag: float) -> Floats:
    """The least of T ahead·front + T behind·rear for all T behind from `tail` on; 0 where it may fall or be less."""
    most = (tail * (1.0 + flange_drag * np.maximum(np.abs(rear.low), np.abs(rear.high))) + demand) / (
        1.0 - flange_drag * np.maximum(np.abs(front.low), np.abs(front.high))
    )
    ahead = np.where(front.low >= 0.0, tail + demand, most)
    factor = np.where(front.low >= 0.0, 1.0, (most - demand) / np.maximum(tail, 1e-12))
    rises = factor * front.low + rear.low >= 0.0
    return np.where(rises, np.maximum(ahead * front.low + tail * rear.low, 0.0), 0.0)
