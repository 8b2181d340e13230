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
from dataclasses import replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import RouteTables, Vehicles, bearing, stand, track_share
from consist.session import Leg
from consist.trains import LegRun, Prepared, Trip

__all__ = ["Kindest", "least_aside"]

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
        for k, leg in enumerate(of.train.legs):
            # the part of the load that engines behind the cars take depends on the order, so that nothing is sure
            if of.train.helpers or leg.backing:
                continue
            own = np.array([number[car.car.name] for car in leg.cars], dtype=np.intp)
            places = _places(of, leg, [trip.legs[k] for trip in trips])
            if len(own) and len(places):
                self._legs.append((own, _OnLeg(of, leg, places)))

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
    found: list[tuple[float, float]] = []
    for run in runs:
        places = run.peaks.use.head_mm - run.vehicles.middle_mm
        found.extend((-run.peaks.use.value[vehicle], places[vehicle]) for vehicle in run.vehicles.cars)
    inside = [place for _, place in sorted(found) if from_mm - ahead_mm <= place <= to_mm - ahead_mm - behind_mm]
    return np.unique(np.array(inside[:PLACES]))


class _OnLeg:
    """The cars of a leg with their middles at places of the route.

    `_front` and `_rear` are the sines that a car's couplings make with it, of shape (cars, neighbours, places), the
    last neighbour ahead being the lead engine or, without one, nothing. `_demand` is what each takes there and
    `_takes` the least it takes anywhere behind, of shape (cars, places), side loads left out.
    """

    def __init__(self, of: Prepared, leg: Leg, places_mm: Floats) -> None:
        cars = of.arrays((), leg.cars, ())
        count = len(cars)
        each = np.arange(count, dtype=np.intp)
        by_pair = (count, count, len(places_mm))
        tables = of.tables(leg)
        rear, front = _sines(cars, each.repeat(count), np.tile(each, count), tables, places_mm)
        lead = np.zeros((count, len(places_mm)))
        if of.engines:
            both = cars.behind_engines(of.arrays(of.engines[-1:], (), ()))
            lead = _sines(both, np.zeros_like(each), each + 1, tables, places_mm)[1]
        self._front = np.concatenate((front.reshape(by_pair).swapaxes(0, 1), lead[:, None]), axis=1)
        self._rear = rear.reshape(by_pair)
        alone = cars.pick(each[None, :, None])
        share = track_share(alone, tables, places_mm + alone.middle_mm[0])[0]
        least = _least_share(tables, places_mm, cars.total_length_mm)
        self._demand, self._takes = (cars.weight_g[:, None] * (on + cars.rolling[:, None]) for on in (share, least))
        self._bears = bearing(cars.columns, of.limits)
        self._flange_drag = tables.flange_drag

    def least(self, standing: Mask) -> Floats:
        """The least use of each car where it stands foremost of some of the leg's cars, of shape (cars,)."""
        if not np.any(standing):
            return np.zeros(len(standing))
        pulls, pushes = np.maximum(self._takes, 0.0), np.minimum(self._takes, 0.0)
        tail = pulls[standing].sum(axis=0) - pulls + pushes.sum(axis=0) - pushes
        pulled = (tail >= 0.0) & (tail + self._demand >= 0.0) & standing[:, None]
        front = _between(self._front, np.append(~standing, True)[None, :])
        rear = _between(self._rear, ~np.eye(len(standing), dtype=bool))
        aside = partial(least_aside, np.maximum(tail, 0.0), self._demand, flange_drag=self._flange_drag)
        along, across = (
            np.maximum(aside(front, beside), aside(_other_side(front), _other_side(beside)))
            for beside in (rear, _other_side(rear))
        )
        bears = self._bears
        use = np.maximum(bears.whole * along, bears.truck * along + bears.twist * across)
        least: Floats = np.where(pulled, use, 0.0).max(axis=1)
        return least


def _sines(
    cars: Vehicles, ahead: NDArray[np.intp], behind: NDArray[np.intp], tables: RouteTables, places_mm: Floats
) -> tuple[Floats, Floats]:
    """The sines of couplings between pairs of cars, each of shape (pairs, places).

    The first at the car ahead with its middle at the places, the second at the car behind with its own there.
    """
    pairs = replace(cars.pick(np.stack((ahead, behind))[:, :, None]), ahead=0, behind=0)
    at_ahead = stand(pairs, tables, places_mm + pairs.middle_mm[0]).ahead[0]
    return at_ahead, stand(pairs, tables, places_mm + pairs.middle_mm[1]).behind[0]


def _between(sines: Floats, may: Mask) -> Floats:
    """The least and the greatest that a coupling's sine at each car may be, of shape (2, cars, places).

    Of neighbours that may stand there, `may` of shape (cars, neighbours); 0 where none may.
    """
    there = may[:, :, None]
    found = np.stack((np.where(there, sines, np.inf).min(axis=1), np.where(there, sines, -np.inf).max(axis=1)))
    return np.where(np.isfinite(found), found, 0.0)


def _other_side(between: Floats) -> Floats:
    """The same seen from the other side of the track."""
    return -between[::-1]


def _least_share(tables: RouteTables, places_mm: Floats, reach_mm: float) -> Floats:
    """The least slope and curve resistance of anything within so far behind places, as a share of weight."""
    stretches = tables.track.stretches
    lengths = np.append(np.diff(stretches.start_mm), 0.0)
    bend = np.maximum(np.minimum(stretches.bend, stretches.bend + stretches.bend_change * lengths), 0.0)
    last = np.searchsorted(stretches.start_mm[1:], places_mm, side="right")
    first = np.searchsorted(stretches.start_mm[1:], places_mm - reach_mm, side="right")
    each = [slice(start, stop + 1) for start, stop in zip(first, last, strict=True)]
    return np.array([stretches.grade[on].min() + tables.curve_share * bend[on].min() for on in each])


def least_aside(tail: Floats, demand: Floats, front: Floats, rear: Floats, flange_drag: float) -> Floats:
    """The least of T ahead·front + T behind·rear for every T behind from `tail` on; 0 where it may fall.

    Sines are between the least and the greatest of `front` and of `rear`, each of shape (2, ...).
    """
    drag_ahead = 1.0 - flange_drag * np.abs(front).max(axis=0)
    part = (1.0 + flange_drag * np.abs(rear).max(axis=0)) / drag_ahead
    (front, _), (rear, _) = front, rear
    ahead = np.where(front >= 0.0, tail + demand, tail * part + demand / drag_ahead)
    rises = np.where(front >= 0.0, 1.0, part) * front + rear >= 0.0
    return np.where(rises, np.maximum(ahead * front + tail * rear, 0.0), 0.0)
