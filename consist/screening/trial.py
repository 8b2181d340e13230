"""A guest car tried in every spot of a train at once, at the few places of the route where most is asked of it.

Where those are is guessed: from how couplings stand along the route, and from the forces in the train as it stands
tonight. What is seen there is worked out with the whole train. It is never above what a full run finds, but near it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import Between, bearing, side_use, swing_peaks
from consist.mechanics import Figures as Evaluated
from consist.screening.refusals import Asked, Figures
from consist.screening.tonight import EVERY, Leg, TrainTonight, highest
from consist.session import CarInTrain, Train
from consist.trains import LegOrders, Orders

__all__ = ["Trial"]

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]

OWN_PLACES, NEXT_PLACES = 8, 3
"""So many places are looked at where the guest seems worst off, and either car next to it."""
OTHER_PLACES = 3
"""So many for any other car."""
SURELY, NEARLY = 0.6, 0.9
"""Where its own figure is wanted closely, a guess below this share of the highest is surely below the highest figure,
and a figure below this one at both ends of a step is not passed by it between them."""
CLOSER = 4
"""Around so many of those where the guest is worst off it is looked for more, and where any other car is."""
AROUND = np.array([-1.0, -0.5, -0.25, -0.125, 0.125, 0.25, 0.5, 1.0])
"""How far around them, in table steps."""
OF_INTEREST = 0.75
"""Cars are looked at that may come to more than this share of what guests are held to."""
SWINGS_WITHIN = 0.95
"""A swing seen below this share of its limit is within it."""


@dataclass(frozen=True)
class _Guess:
    """Orders on a leg with the guest at many places: the heads, of shape (orders, places), and at each about what the
    guest and the cars ahead of it and behind come to."""

    heads_mm: Floats
    own: Floats
    ahead: Floats
    behind: Floats

    def worst_mm(self, figures: Floats, most: int) -> Floats:
        """The heads at which figures are highest, of shape (orders, heads)."""
        return np.take_along_axis(self.heads_mm, highest(figures, most), axis=1)


class Trial:
    """A guest in every spot of a train that stands without it, `others`."""

    def __init__(self, tonight: TrainTonight, others: Train, guest: CarInTrain, asked: Asked) -> None:
        self._tonight, self._guest, self._asked = tonight, guest, asked
        self._cars = (*others.cars, guest)
        self.names = [car.car.name for car in self._cars]
        self._number = number = len(others.cars)
        self._orders = Orders(tonight.of.with_train(replace(others, cars=self._cars)))
        self._rows = np.array([[*range(k), number, *range(k, number)] for k in range(number + 1)], dtype=np.intp)
        self._limits_deg = np.array([asked.swing_limits_deg.get(name, np.inf) for name in self.names])
        self._swings_deg = np.zeros(self._rows.shape)

    def seen(self) -> Figures:
        """What is seen at the few places, spot by spot."""
        found = self._orders.at(self._rows, self._heads, self._closer)
        return Figures(self.names, found.uses, self._swings_deg, found.engine_share)

    def closely(self, spot: int) -> Figures:
        """What is seen in one spot of the guest's own side use and of swings alone, looked for closely."""
        swings_deg = np.zeros((1, len(self.names)))

        def heads(on: LegOrders) -> Floats:
            if self._number not in on.numbers[0]:
                return np.zeros((1, 0))
            if any(np.isfinite(self._limits_deg[cars]).any() for _, cars, _ in self._beside(on)):
                self._take_swings(swings_deg, on, self._exact_sines(on, 0)[None])
            return self._own_heads(on)

        found = self._orders.at(self._rows[spot - 1 : spot], heads, self._closest)
        uses = np.where(np.arange(len(self.names)) == self._number, found.uses, 0.0)
        return Figures(self.names, uses, swings_deg, np.zeros(1))

    def _own_heads(self, on: LegOrders) -> Floats:
        """Every head at which the guest may be at its worst, in one order."""
        guess = self._guess(on, self._sines(on))
        figures = guess.own[0]
        high = np.flatnonzero(figures >= SURELY * figures.max(initial=0.0))
        step = self._tonight.of.tables.step_mm
        heads = guess.heads_mm[0, high][:, None] + step * np.arange(-EVERY, EVERY + 1)
        return np.unique(np.clip(np.append(heads, (on.from_mm, on.to_mm)), on.from_mm, on.to_mm))[None]

    def _heads(self, on: LegOrders) -> Floats:
        """Where orders on a leg are looked at, of shape (orders, heads): none where the guest does not ride."""
        own = on.numbers == self._number
        if not np.any(own):
            return np.zeros((len(own), 0))
        sines = self._sines(on)
        self._note_swings(on, np.abs(sines).max(axis=2, initial=0.0))
        guess, leg, riding = self._guess(on, sines), self._leg(on), self._riding(on)
        always = np.concatenate((leg.power_mm, [on.from_mm, on.to_mm]))
        takes_g = self._takes_g(on, leg)
        heads = (
            guess.worst_mm(guess.own, OWN_PLACES),
            guess.worst_mm(np.abs(sines[1]) + np.abs(sines[2]), NEXT_PLACES if leg.helped else 0),
            guess.worst_mm(guess.ahead, NEXT_PLACES),
            guess.worst_mm(guess.behind, NEXT_PLACES),
            self._others_mm(on, leg, riding, takes_g),
            leg.heads_mm[highest(np.abs(leg.engine_share(takes_g)), NEXT_PLACES)],
            np.broadcast_to(always, (len(own), len(always))),
        )
        within: Floats = np.clip(np.concatenate(heads, axis=1), on.from_mm, on.to_mm)
        return within

    def _takes_g(self, on: LegOrders, leg: Leg) -> Floats:
        """What the guest takes with tonight's train at each of its heads, of shape (orders, heads)."""
        place = self._place(on)
        guest = on.trains.pick((on.trains.ahead + place[None, :1], np.arange(1)))
        takes = self._guest.weight_g * (self._tonight.share(guest) + self._guest.car.rolling)
        rear_mm = leg.heads_mm - (on.middle_mm(place) + 0.5 * self._guest.car.coupled_length_mm)[:, None]
        faces = self._tonight.faces_mm
        at = np.rint((rear_mm - faces[0]) * (1.0 / (faces[1] - faces[0]))).astype(np.intp)
        takes_g: Floats = takes[np.clip(at, 0, len(faces) - 1)]
        return takes_g

    def _others_mm(self, on: LegOrders, leg: Leg, riding: Numbers, takes_g: Floats) -> Floats:
        """The heads at which other cars may come near their limits, of shape (orders, heads)."""
        own = on.numbers == self._number
        others = on.numbers[~own].reshape(len(own), -1)
        middles = on.trains.middle_mm[on.trains.cars.start : on.trains.cars.stop, :, 0].T[~own].reshape(others.shape)
        vehicle = riding[others[0]]
        most_g = float(np.abs(takes_g).max())
        about = np.maximum(leg.with_more(most_g, vehicle).max(axis=1), leg.with_more(-most_g, vehicle).max(axis=1))
        matter = np.flatnonzero(np.maximum(about, leg.worst[vehicle]) * self._asked.least_margin > OF_INTEREST)
        if not len(matter):
            return np.zeros((len(own), 0))
        vehicle, there = vehicle[matter], middles[:, matter]
        share = np.where(matter < self._place(on)[:, None], 1.0, 0.0) - leg.helped
        guesses = [
            leg.heads_mm[highest(leg.with_more(share[order][:, None] * takes_g[order], vehicle), OTHER_PLACES)]
            for order in range(len(own))
        ]
        pulled = np.stack(guesses) - leg.middle_mm[vehicle][:, None]
        known = np.concatenate((leg.worst_mm[vehicle][:, None], leg.askew_mm[vehicle]), axis=1)
        places: Floats = np.concatenate((pulled, np.broadcast_to(known, (len(own), *known.shape))), axis=2)
        places += there[:, :, None]
        return places.reshape(len(own), -1)

    def _leg(self, on: LegOrders) -> Leg:
        # where the guest joins or leaves on the way, a leg of the train without it has become two
        middle_mm = 0.5 * (on.from_mm + on.to_mm)
        return next(leg for leg in self._tonight.legs if leg.from_mm <= middle_mm <= leg.to_mm)

    def _riding(self, on: LegOrders) -> Numbers:
        """By number of a car, that of the vehicle it is in tonight's train; 0 for the guest."""
        leg = self._leg(on)
        return np.array([leg.number.get(name, 0) for name in self.names])

    def _place(self, on: LegOrders) -> Numbers:
        """Where the guest stands among the cars of each order."""
        place: Numbers = np.argmax(on.numbers == self._number, axis=1)
        return place

    def _sines(self, on: LegOrders) -> Floats:
        """The sines of the guest's couplings wherever it is near a curve, of shape (4, orders, places): of the one
        ahead of it with the vehicle ahead and with the guest, then of that behind it with the guest and the vehicle
        behind.

        The guest's rear is at each of the places and its front so many table steps farther on.
        """
        tonight, last = self._tonight, len(on.trains) - 1
        length, near = self._guest.car.coupled_length_mm, self._tonight.near_curves
        place = self._place(on)
        vehicle = on.trains.ahead + place
        steps = round(length / (EVERY * tonight.of.tables.step_mm))
        front = np.minimum(near + steps, len(tonight.faces_mm) - 1)
        sines = (
            np.concatenate(
                (
                    tonight.sines(on.trains, np.maximum(vehicle - 1, 0))[:, :, front],
                    tonight.sines(on.trains, np.minimum(vehicle, last - 1))[:, :, near],
                )
            )
            if last
            else np.zeros((4, len(place), len(near)))
        )
        sines[:2, vehicle == 0], sines[2:, vehicle == last] = 0.0, 0.0
        heads = self._heads_near(on)
        sines *= (heads >= on.from_mm) & (heads <= on.to_mm)
        return sines

    def _heads_near(self, on: LegOrders) -> Floats:
        """The heads with which the guest's rear is at the places near curves, of shape (orders, places)."""
        faces = self._tonight.faces_mm[self._tonight.near_curves]
        return faces + (on.middle_mm(self._place(on)) + 0.5 * self._guest.car.coupled_length_mm)[:, None]

    def _guess(self, on: LegOrders, sines: Floats) -> _Guess:
        """About what the guest and its neighbours come to wherever it is near a curve."""
        tonight, leg, place = self._tonight, self._leg(on), self._place(on)
        orders, cars = np.arange(len(place)), on.numbers.shape[1]
        riding, near = self._riding(on), tonight.near_curves
        faces = tonight.faces_mm[near]
        ahead = riding[on.numbers[orders, np.maximum(place - 1, 0)]]
        behind = riding[on.numbers[orders, np.minimum(place + 1, cars - 1)]]
        behind = np.where(place + 1 < cars, behind, leg.after_cars)
        at_rear = leg.heads(behind, faces)
        at_front = leg.heads(ahead + 1, faces + self._guest.car.coupled_length_mm)
        guest = on.trains.pick((on.trains.ahead + place[None, :1], orders[:1]))
        takes = self._guest.weight_g * (tonight.share(guest)[near] + self._guest.car.rolling)
        rear = leg.tension(behind, at_rear) - leg.helped * takes
        front = rear + takes
        pulls = (front * sines[1])[None], (rear * sines[2])[None]
        # neighbours are only ranked place by place, and the forces at their two ends differ little
        far = leg.sine(0, ahead, at_front), leg.sine(1, np.minimum(behind, leg.last), at_rear)
        return _Guess(
            self._heads_near(on),
            side_use(*pulls, bearing(guest, tonight.of.limits))[0],
            np.abs(front) * (np.abs(sines[0]) + np.abs(far[0])),
            np.abs(rear) * (np.abs(sines[3]) + np.abs(far[1])),
        )

    def _beside(self, on: LegOrders) -> list[tuple[Numbers, Numbers, int]]:
        """The car ahead of the guest, the guest and the car behind it: the orders that have one, its number in each,
        and 0, 1 or 2."""
        found = []
        for near in range(3):
            at = self._place(on) + near - 1
            orders = np.flatnonzero((at >= 0) & (at < on.numbers.shape[1]))
            found.append((orders, on.numbers[orders, at[orders]], near))
        return found

    def _note_swings(self, on: LegOrders, sines: Floats) -> None:
        """Take in how far the guest's two couplings swing at the cars they join, of shape (4, orders)."""
        three = np.stack((sines[0], np.maximum(sines[1], sines[2]), sines[3]), axis=1)
        near_limits = set()
        for orders, cars, near in self._beside(on):
            shares = _degrees(three[orders, near]) / self._limits_deg[cars]
            near_limits.update(orders[(shares > SWINGS_WITHIN) & (shares <= 1.0)].tolist())
        for order in near_limits:
            three[order] = self._exact_sines(on, order)
        self._take_swings(self._swings_deg, on, three)

    def _take_swings(self, swings_deg: Floats, on: LegOrders, sines: Floats) -> None:
        """Raise what is known of some orders' swings to what these sines, of shape (orders, 3), come to."""
        for orders, cars, near in self._beside(on):
            swings_deg[orders, cars] = np.maximum(swings_deg[orders, cars], _degrees(sines[orders, near]))

    def _exact_sines(self, on: LegOrders, order: int) -> Floats:
        """The same of one order in full: at the car ahead of the guest, at the guest and at the car behind it."""
        of = self._tonight.of
        train = of.arrays(of.engines, [self._cars[car] for car in on.numbers[order]], of.train.helpers)
        vehicle = train.ahead + int(self._place(on)[order])
        found = np.zeros(3)
        for coupling in range(max(vehicle - 1, 0), min(vehicle + 1, len(train) - 1)):
            first = coupling - vehicle + 1
            peaks = swing_peaks(train, coupling, of.tables, on.from_mm, on.to_mm)
            found[first : first + 2] = np.maximum(found[first : first + 2], [sine for sine, _ in peaks])
        return found

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
        of = self._tonight.of
        train = of.arrays(of.engines, [self._cars[car] for car in on.numbers[0]], of.train.helpers)
        vehicle = train.ahead + int(self._place(on)[0])
        uses = figures.use[vehicle, 0]
        between = Between(train, of.tables, heads_mm[0])
        leaps = between.behind(slice(0, len(uses) - 1)).past
        most = np.maximum(uses[:-1], uses[1:])
        # what forces leap up and down within a step adds to what is seen at its ends
        pulls = np.zeros(len(uses) - 1)
        for coupling, sines in ((vehicle - 1, figures.standing.behind), (vehicle, figures.standing.ahead)):
            if 0 <= coupling < len(leaps):
                sine = np.abs(sines[coupling, 0])
                pulls += leaps[coupling] * np.maximum(sine[:-1], sine[1:])
        bears = bearing(train, of.limits)
        most += pulls * np.maximum(bears.whole, bears.truck + bears.twist)[vehicle]
        high = (most >= NEARLY * uses.max()) & (np.diff(heads_mm[0]) < 1.01 * of.tables.step_mm)
        closer = between.closer(high, figures.forces.engine_share[0])
        around = self._around(on, heads_mm, uses[None])[0]
        return np.zeros(1, dtype=np.intp), np.concatenate((closer, around))[None]

    def _around(self, on: LegOrders, heads_mm: Floats, uses: Floats) -> Floats:
        worst = np.argsort(-uses, axis=1, kind="stable")[:, :CLOSER]
        around = np.take_along_axis(heads_mm, worst, axis=1)[:, :, None] + self._tonight.of.tables.step_mm * AROUND
        return np.clip(around.reshape(len(uses), worst.shape[1] * len(AROUND)), on.from_mm, on.to_mm)


def _degrees(sines: Floats) -> Floats:
    degrees: Floats = np.degrees(np.arcsin(np.minimum(sines, 1.0)))
    return degrees
