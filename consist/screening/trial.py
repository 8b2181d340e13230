"""A guest car tried in every spot of a train at once, at the few places of the route where most is asked of it.

Where those are is guessed: from how couplings stand along the route, and from the forces in the train as it stands
tonight. What is seen there is worked out with the whole train. It is never above what a full run finds, but near it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import Between, Vehicles
from consist.mechanics import Figures as Evaluated
from consist.screening.guesses import Guesses
from consist.screening.refusals import Asked, Figures
from consist.screening.tonight import TrainTonight
from consist.trains import LegOrders, Orders

__all__ = ["Trial"]

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]

SURELY, NEARLY = 0.6, 0.85
"""Where its own figure is wanted closely, a guess below this share of the highest is surely below the highest figure,
and a figure below this one at both ends of a step is not passed by it between them."""
CLOSER = 4
"""Around so many of those where the guest is worst off it is looked for more, and where any other car is."""
AROUND = np.array([-1.0, -0.5, -0.25, -0.125, 0.125, 0.25, 0.5, 1.0])
"""How far around them, in table steps."""
OF_INTEREST = 0.75
"""Cars are looked at that may come to more than this share of what guests are held to."""


class Trial:
    """A guest in every spot of a train."""

    def __init__(self, tonight: TrainTonight, asked: Asked) -> None:
        self._tonight, self._asked = tonight, asked
        self._number = number = len(asked.cars) - 1
        self._orders = Orders(tonight.of.in_order(asked.cars))
        self._rows = np.array([[*range(k), number, *range(k, number)] for k in range(number + 1)], dtype=np.intp)

    def seen(self) -> Figures:
        """What is seen at the few places, spot by spot."""
        swings_deg = np.zeros(self._rows.shape)

        def heads(on: LegOrders) -> Floats:
            if self._number not in on.numbers[0]:
                return np.zeros((len(on.numbers), 0))
            guesses = Guesses(self._tonight, self._asked, on)
            guesses.take_swings(swings_deg)
            return guesses.heads_mm(OF_INTEREST)

        found = self._orders.at(self._rows, heads, self._closer)
        return Figures(found.uses, swings_deg, found.engine_share)

    def closely(self, spot: int) -> Figures:
        """What is seen in one spot of the guest's own side use and of swings alone, looked for closely."""
        swings_deg = np.zeros(self._asked.spots)

        def heads(on: LegOrders) -> Floats:
            if self._number not in on.numbers[0]:
                return np.zeros((1, 0))
            train, cars = self._arrays(on), [*on.numbers[0]]
            self._asked.take_swings(swings_deg, train, cars, on.leg, whole=False)
            return Guesses(self._tonight, self._asked, on).own_heads_mm(SURELY)

        found = self._orders.at(self._rows[spot - 1 : spot], heads, self._closest)
        uses = np.where(np.arange(self._asked.spots) == self._number, found.uses, 0.0)
        return Figures(uses, swings_deg[None], np.zeros(1))

    def _arrays(self, on: LegOrders) -> Vehicles:
        of = self._tonight.of
        return of.arrays(of.engines, [self._asked.cars[car] for car in on.numbers[0]], of.train.helpers)

    def _closer(self, on: LegOrders, heads_mm: Floats, figures: Evaluated) -> tuple[Numbers, Floats]:
        """The orders in which a car comes near its limit, and heads around those at which it does."""
        cars = slice(on.trains.cars.start, on.trains.cars.stop)
        own = (on.numbers == self._number).T[:, :, None]
        uses = figures.use[cars] * self._asked.least_margin
        guest, others = (uses * own).max(axis=0), (uses * ~own).max(axis=0)
        some = np.flatnonzero((np.maximum(guest, others).max(axis=1) > OF_INTEREST) & (guest.max(axis=1) <= 1.0))
        heads = [self._around(on, heads_mm[some], each[some]) for each in (guest, others)]
        return some, np.concatenate(heads, axis=1)

    def _closest(self, on: LegOrders, heads_mm: Floats, figures: Evaluated) -> tuple[Numbers, Floats]:
        """The one order, and heads between those at which the guest is worst off."""
        tables = self._tonight.of.tables(on.leg)
        uses = figures.use[on.trains.cars.start :, 0][on.numbers[0] == self._number]
        most = np.maximum(uses[0, :-1], uses[0, 1:])
        high = (most >= NEARLY * most.max()) & (np.diff(heads_mm[0]) < 1.01 * tables.step_mm)
        closer = Between(self._arrays(on), tables, heads_mm[0]).closer(high, figures.forces.engine_share[0])
        around = self._around(on, heads_mm, uses)[0]
        return np.zeros(1, dtype=np.intp), np.concatenate((closer, around))[None]

    def _around(self, on: LegOrders, heads_mm: Floats, uses: Floats) -> Floats:
        worst = np.argsort(-uses, axis=1, kind="stable")[:, :CLOSER]
        around = np.take_along_axis(heads_mm, worst, axis=1)[:, :, None] + self._tonight.of.step_mm * AROUND
        return np.clip(around.reshape(len(uses), worst.shape[1] * len(AROUND)), on.from_mm, on.to_mm)
