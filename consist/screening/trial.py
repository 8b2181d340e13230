"""A train with a guest car in it: tried in all its spots at once at the hard places of the route, or run in full.

Hard places are those where cars of the train as it stands are hard pressed. With a guest set in, it and its
neighbours are looked at as each of them comes by all of those, and every other car as it comes by its own worst. What
is seen so is never above what a full run finds, but near it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import Figures
from consist.session import CarInTrain
from consist.trains import LegOrders, LegRun, Orders, Prepared, Trip

__all__ = ["SpotTrial", "TrainStanding"]

Floats = NDArray[np.float64]

HARD = 0.5
"""A car is hard pressed where its use is over this share of its greatest, and no less than just before and after."""
HARD_PLACES = 40
"""As many places of the route are looked at for the guest: more than a route has kinds of curve."""
APART_MM = 12.0
"""Hard places nearer than this, about a coupler's length in HO, are one."""


CLOSER = 6
"""Around so many of the places where the guest is worst off it is looked for more."""
AROUND = np.array([-0.5, -0.25, -0.125, -0.0625, 0.0625, 0.125, 0.25, 0.5])
"""How far around them, in table steps."""


@dataclass(frozen=True)
class SpotTrial:
    """A guest tried in one spot: side use by car and the engines' share, both as seen at the hard places."""

    uses: dict[str, float]
    engine_share: float


class TrainStanding:
    """A train without the guest, as it stands."""

    def __init__(self, of: Prepared) -> None:
        self.of = of

    @cached_property
    def trip(self) -> Trip:
        """It run in full."""
        return self.of.run()

    @cached_property
    def _hard(self) -> list[tuple[Floats, Floats, Floats]]:
        """By leg: where middles of cars are hard pressed, where each car's is at its worst, and the heads (mm) with
        which the engines pull and hold back hardest."""
        found = []
        for leg in self.trip.legs:
            cars = slice(leg.vehicles.cars.start, leg.vehicles.cars.stop)
            worst = leg.peaks.use.head_mm[cars] - leg.vehicles.middle_mm[cars]
            power = np.concatenate((leg.peaks.power_use.head_mm, leg.peaks.hold_use.head_mm))
            found.append((_hard_places(leg, worst), worst, power))
        return found

    def tried(self, guest: CarInTrain, spots: Sequence[int]) -> list[SpotTrial]:
        """The guest tried in each of some spots, 1 being next to the head-end power."""
        train = self.of.train
        count = len(train.cars)
        orders = Orders(self.of.with_train(replace(train, cars=(*train.cars, guest))))
        rows = np.array([[*range(spot - 1), count, *range(spot - 1, count)] for spot in spots], dtype=np.intp)
        seen = orders.at(rows, lambda on: self._heads(on, guest), self._closer)
        names = [*(car.car.name for car in train.cars), guest.car.name]
        return [
            SpotTrial(dict(zip(names, map(float, uses), strict=True)), float(share))
            for uses, share in zip(seen.uses, seen.engine_share, strict=True)
        ]

    def _heads(self, on: LegOrders, guest: CarInTrain) -> Floats:
        """Where orders on a leg are looked at, of shape (orders, heads)."""
        number = len(self.of.train.cars)
        # where the guest joins or leaves on the way, a leg of the train without it has become two
        middle_mm = 0.5 * (on.from_mm + on.to_mm)
        leg = next(k for k, leg in enumerate(self.trip.legs) if leg.from_mm <= middle_mm <= leg.to_mm)
        hard, worst, power = self._hard[leg]
        orders, cars = on.numbers.shape
        middles = np.stack([on.middle_mm(np.full(orders, place)) for place in range(cars)], axis=1)
        # the cars but for the guest are in the order in which they stand
        others = middles[on.numbers != number].reshape(orders, -1)
        heads = [np.broadcast_to(power, (orders, len(power))), worst[None, :] + others]
        place = np.argmax(on.numbers == number, axis=1)
        if np.any(on.numbers == number):
            for near, places in ((-1, hard), (0, np.concatenate((hard, self._at_joints(guest)))), (1, hard)):
                middle = on.middle_mm(np.clip(place + near, 0, cars - 1))
                heads.append(places[None, :] + middle[:, None])
        within: Floats = np.clip(np.concatenate(heads, axis=1), on.from_mm, on.to_mm)
        return within

    def _closer(self, on: LegOrders, heads_mm: Floats, figures: Figures) -> Floats:
        """Heads around those at which the guest is worst off, of shape (orders, heads)."""
        number = len(self.of.train.cars)
        orders = np.arange(len(on.numbers))
        vehicle = on.trains.ahead + np.argmax(on.numbers == number, axis=1)
        worst = np.argsort(-figures.use[vehicle, orders], axis=1, kind="stable")[:, :CLOSER]
        around = heads_mm[orders[:, None], worst][:, :, None] + self.of.tables.step_mm * AROUND
        within: Floats = np.clip(around.reshape(len(orders), -1), on.from_mm, on.to_mm)
        return within

    def _at_joints(self, guest: CarInTrain) -> Floats:
        """Where the middle of a car is when one of its trucks, or the nearest one of a neighbour like it, is at a
        joint where curvature leaps: there its couplings stand most askew."""
        joints = self.of.tables.joints
        leaps = joints.distance_mm[joints.jump != 0.0]
        half, length = 0.5 * guest.car.truck_centers_mm, guest.car.coupled_length_mm
        askew = np.array([-half, half, half - length, length - half])
        return np.unique((leaps[:, None] + askew).ravel())


def _hard_places(leg: LegRun, worst_mm: Floats) -> Floats:
    """Where middles of a leg's cars are hard pressed, the hardest first."""
    heads, uses = leg.uses_along()
    places = [worst_mm]
    weights = [np.ones(len(worst_mm))]
    for vehicle in leg.vehicles.cars:
        row = uses[vehicle]
        peak = float(row.max())
        if peak <= 0.0:
            continue
        inner = (row[1:-1] >= row[:-2]) & (row[1:-1] >= row[2:]) & (row[1:-1] >= HARD * peak)
        at = np.flatnonzero(inner) + 1
        places.append(heads[at] - leg.vehicles.middle_mm[vehicle])
        weights.append(row[at] / peak)
    place, weight = np.concatenate(places), np.concatenate(weights)
    kept: list[float] = []
    for one in place[np.argsort(-weight, kind="stable")]:
        if len(kept) < HARD_PLACES and all(abs(one - other) > APART_MM for other in kept):
            kept.append(float(one))
    return np.array(kept)
