"""Where along a leg a guest car, the cars next to it and those hard pressed are guessed to be worst off."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import bearing, side_use, track_share
from consist.screening.refusals import Asked, degrees
from consist.screening.tonight import EVERY, TrainTonight, highest
from consist.trains import LegOrders

__all__ = ["Guesses"]

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]

OWN_PLACES, NEXT_PLACES = 8, 3
"""So many places are looked at where the guest seems worst off, and either car next to it."""
OTHER_PLACES = 3
"""So many for any other car."""


class Guesses:
    """Guesses about orders of a train on a leg, in each of which a guest is set in somewhere.

    Of shape (orders, places) are `_heads_mm`, with which the guest's rear is at each of the places near curves, and
    about what the guest and the cars ahead of it and behind then come to. `_sines`, of shape (4, orders, places), are
    those of its couplings: of the one ahead with the vehicle ahead and with the guest, then of the one
    behind with the guest and the vehicle behind.
    """

    def __init__(self, tonight: TrainTonight, asked: Asked, on: LegOrders) -> None:
        self._tonight, self._asked, self._on = tonight, asked, on
        car, near = asked.guest.car, tonight.near_curves
        # where the guest joins or leaves on the way, a leg of the train without it has become two
        middle_mm = 0.5 * (on.from_mm + on.to_mm)
        self._leg = leg = next(leg for leg in tonight.legs if leg.from_mm <= middle_mm <= leg.to_mm)
        self._riding = np.array([leg.number.get(car.car.name, 0) for car in asked.cars])
        self._own = on.numbers == asked.spots - 1
        self._place = place = np.argmax(self._own, axis=1)
        self._rear_mm = on.middle_mm(place)[:, None] + 0.5 * car.coupled_length_mm
        self._heads_mm = tonight.faces_mm[near] + self._rear_mm
        self._sines = self._couplings()
        guest = tonight.of.arrays((), [asked.guest], ()).columns
        share = track_share(guest, tonight.of.tables(on.leg), tonight.faces_mm + car.coupled_length_mm)[0]
        self._takes_g = asked.guest.weight_g * (share + car.rolling)
        beside = np.pad(self._riding[on.numbers], ((0, 0), (1, 1)), constant_values=((0, 0), (0, leg.after_cars)))
        behind = beside[np.arange(len(place)), place + 2]
        takes = self._takes_g[near]
        rear = leg.tension(behind, tonight.faces_mm[near]) - leg.helped * takes
        front = rear + takes
        pulls = (front * self._sines[1])[None], (rear * self._sines[2])[None]
        self._guest = side_use(*pulls, bearing(guest, tonight.of.limits))[0]
        self._ahead, self._behind = np.abs(front * self._sines[0]), np.abs(rear * self._sines[3])

    def _couplings(self) -> Floats:
        tonight, on = self._tonight, self._on
        last, near = len(on.trains) - 1, tonight.near_curves
        vehicle = on.trains.ahead + self._place
        steps = round(self._asked.guest.car.coupled_length_mm / (EVERY * tonight.of.step_mm))
        front = np.minimum(near + steps, len(tonight.faces_mm) - 1)
        # a guest alone has no couplings: what is looked up for them is made nothing below
        two = zip(np.clip((vehicle - 1, vehicle), 0, last - 1), (front, near), strict=True)
        sines: Floats = np.concatenate([tonight.sines(on.trains, coupling)[:, :, at] for coupling, at in two])
        sines[:2, vehicle == 0], sines[2:, vehicle == last] = 0.0, 0.0
        sines *= (self._heads_mm >= on.from_mm) & (self._heads_mm <= on.to_mm)
        return sines

    def take_swings(self, swings_deg: Floats) -> None:
        """Raise what is known of swings, of shape (orders, cars), to what the guest's two couplings come to."""
        sines, numbers = np.abs(self._sines).max(axis=2, initial=0.0), self._on.numbers
        for near, sine in enumerate((sines[0], np.maximum(sines[1], sines[2]), sines[3])):
            at = self._place + near - 1
            orders = np.flatnonzero((at >= 0) & (at < numbers.shape[1]))
            cars = numbers[orders, at[orders]]
            swings_deg[orders, cars] = np.maximum(swings_deg[orders, cars], degrees(sine[orders]))

    def own_heads_mm(self, surely: float) -> Floats:
        """Every head, of shape (1, heads), at which the guest may be at its worst in the first order, where it is
        surely not at a guess below that share of the highest."""
        own, on = self._guest[0], self._on
        high = self._heads_mm[0, own >= surely * own.max(initial=0.0)]
        heads = high[:, None] + self._tonight.of.step_mm * np.arange(-EVERY, EVERY + 1)
        return np.unique(np.clip(np.append(heads, (on.from_mm, on.to_mm)), on.from_mm, on.to_mm))[None]

    def heads_mm(self, of_interest: float) -> Floats:
        """Where orders are looked at, of shape (orders, heads); other cars only where they may come to more than that
        share of what guests are held to."""
        on, leg = self._on, self._leg
        takes_g = self._takes_tonight_g()
        always = np.concatenate((leg.power_mm, [on.from_mm, on.to_mm]))
        heads = (
            self._worst_mm(self._guest, OWN_PLACES),
            self._worst_mm(np.abs(self._sines[1:3]).sum(axis=0), NEXT_PLACES if leg.helped else 0),
            self._worst_mm(self._ahead, NEXT_PLACES),
            self._worst_mm(self._behind, NEXT_PLACES),
            self._others_mm(takes_g, of_interest),
            leg.heads_mm[highest(np.abs(leg.engine_share(takes_g)), NEXT_PLACES)],
            np.broadcast_to(always, (len(takes_g), len(always))),
        )
        within: Floats = np.clip(np.concatenate(heads, axis=1), on.from_mm, on.to_mm)
        return within

    def _worst_mm(self, figures: Floats, most: int) -> Floats:
        """The heads at which figures are highest."""
        return np.take_along_axis(self._heads_mm, highest(figures, most), axis=1)

    def _takes_tonight_g(self) -> Floats:
        """What the guest takes with tonight's train at each of its heads, of shape (orders, heads)."""
        faces = self._tonight.faces_mm
        at = np.rint((self._leg.heads_mm - self._rear_mm - faces[0]) * (1.0 / (faces[1] - faces[0])))
        takes_g: Floats = self._takes_g[np.clip(at.astype(np.intp), 0, len(faces) - 1)]
        return takes_g

    def _others_mm(self, takes_g: Floats, of_interest: float) -> Floats:
        """The heads at which other cars may come near their limits."""
        on, leg, count = self._on, self._leg, len(takes_g)
        cars = slice(on.trains.cars.start, on.trains.cars.stop)
        vehicle = self._riding[on.numbers[0][~self._own[0]]]
        middles = on.trains.middle_mm[cars, :, 0].T[~self._own].reshape(count, -1)
        most_g = float(np.abs(takes_g).max())
        about = np.maximum(leg.with_more(most_g, vehicle).max(axis=1), leg.with_more(-most_g, vehicle).max(axis=1))
        matter = np.flatnonzero(np.maximum(about, leg.worst[vehicle]) * self._asked.least_margin > of_interest)
        if not len(matter):
            return np.zeros((count, 0))
        vehicle = vehicle[matter]
        share = np.where(matter < self._place[:, None], 1.0, 0.0) - leg.helped
        guesses = [
            leg.heads_mm[highest(leg.with_more(share[order][:, None] * takes_g[order], vehicle), OTHER_PLACES)]
            for order in range(count)
        ]
        known = np.concatenate((leg.worst_mm[vehicle][:, None], leg.askew_mm[vehicle]), axis=1)
        known = np.broadcast_to(known, (count, *known.shape))
        places: Floats = np.concatenate((np.stack(guesses) - leg.middle_mm[vehicle][:, None], known), axis=2)
        places += middles[:, matter, None]
        return places.reshape(count, -1)
