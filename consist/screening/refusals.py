"""What is asked of a train with a guest car set in, and why the car may not ride in a spot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import MOST_SWING_DEG, MOVES, Vehicles, at_ease, swing_peaks
from consist.screening.results import RefusalCode
from consist.screening.tonight import TrainTonight
from consist.session import CarInTrain, Leg
from consist.trains import Trip

__all__ = ["Asked", "Figures", "Refused", "Shares", "degrees"]

Floats = NDArray[np.float64]

WORSE = 1.01
"""A car below the margin already, or swinging too far, is worse off where the figure grows by more than this factor:
peaks of two runs may differ by the model's tolerance of half a per cent each."""


@dataclass(frozen=True)
class Figures:
    """What a train comes to with the guest in each of some spots; cars are numbered as `Asked` has them.

    Of shape (spots, cars) the greatest side use and how far couplings swing at most (degrees), 0 where that was not
    looked at, and of shape (spots,) the greatest share that engines give of what they can pull or hold back.
    """

    uses: Floats
    swings_deg: Floats
    engine_share: Floats


@dataclass(frozen=True)
class Shares:
    """The same as shares of what is allowed, over 1 where that is too much: the guest's own use, every car's swing,
    the engines' share, and the use of every other car."""

    own: Floats
    swings: Floats
    power: Floats
    others: Floats


@dataclass(frozen=True)
class Refused:
    """Why a spot will not do."""

    code: RefusalCode
    say: str


class Asked:
    """A guest in a train, and what is asked of the train with it: the car rides as it does in that train, or all the
    way where it is not in it. `cars` are all others as they stand, then the guest."""

    def __init__(self, tonight: TrainTonight, guest: CarInTrain) -> None:
        self._tonight, self._train = tonight, tonight.of.train
        names = [car.car.name for car in self._train.cars]
        self.in_train = names.index(guest.car.name) + 1 if guest.car.name in names else None
        whole = replace(guest, leaves=len(self._train.route.stops) - 1)
        self.guest = whole if self.in_train is None else self._train.cars[self.in_train - 1]
        self.cars = (*(car for car in self._train.cars if car.car.name != guest.car.name), self.guest)
        self.spots = len(self.cars)
        self._known: dict[int, tuple[Refused | None, float]] = {}
        self.least_margin = tonight.of.session.house.guest_margin
        limits = [car.car.max_swing_deg for car in self.cars]
        train = tonight.of.arrays(tonight.of.engines, self.cars, self._train.helpers)
        sharpest = max(tables.sharpest for tables in tonight.of.runs)
        most = np.inf if at_ease(train, sharpest) else MOST_SWING_DEG
        self.swing_limits_deg = np.array([most if limit is None else limit for limit in limits])

    def in_full(self, spot: int) -> tuple[Refused | None, float]:
        """Why the guest may not ride in a spot, None where it may, and its own side use there, by a full run."""
        if spot not in self._known:
            order = [*self.cars[: spot - 1], self.guest, *self.cars[spot - 1 : -1]]
            after = self._figures(self._tonight.of.in_order(order).run(), whole=False)
            self._known[spot] = self.refused(spot, after), float(after.uses[0, -1])
        return self._known[spot]

    @cached_property
    def before(self) -> Figures:
        """The train without the guest run in full, which comes to nothing."""
        alone = self.in_train is None
        trip = self._tonight.trip if alone else self._tonight.of.in_order(self.cars[:-1]).run()
        return self._figures(trip, whole=True)

    def _figures(self, trip: Trip, *, whole: bool) -> Figures:
        swings_deg = np.zeros(self.spots)
        for leg in trip.legs:
            riding = self.numbers(leg.cars)
            self.take_swings(swings_deg, leg.vehicles, riding, leg.leg, whole=whole)
        uses = np.array([[trip.uses.get(car.car.name, 0.0) for car in self.cars]])
        return Figures(uses, swings_deg[None], np.array([max(trip.power_use, trip.hold_use)]))

    def numbers(self, cars: Sequence[CarInTrain]) -> list[int]:
        """The numbers of some cars."""
        names = [car.car.name for car in self.cars]
        return [names.index(car.car.name) for car in cars]

    def take_swings(self, swings_deg: Floats, train: Vehicles, cars: Sequence[int], leg: Leg, *, whole: bool) -> None:
        """Raise what is known of cars' swings to what the couplings of those with a limit come to on a leg, in the
        `whole` train or only next to the guest."""
        guest, tables, (from_mm, to_mm) = self.spots - 1, self._tonight.of.tables(leg), self._train.leg_mm(leg)
        beside = [None] * train.ahead + [*cars] + [None] * train.behind
        for coupling, pair in enumerate(pairwise(beside)):
            two = [(end, number) for end, number in enumerate(pair) if number is not None]
            limited = any(np.isfinite(self.swing_limits_deg[number]) for _, number in two)
            if limited and (whole or guest in pair):
                peaks = swing_peaks(train, coupling, tables, from_mm, to_mm)
                for end, number in two:
                    swings_deg[number] = max(swings_deg[number], degrees(peaks[end][0]))

    def shares(self, after: Figures) -> Shares:
        """What figures come to as shares of what is allowed."""
        uses, swings = after.uses * self.least_margin, after.swings_deg / self.swing_limits_deg
        own, others = uses[:, -1], uses[:, :-1]
        given = self._train.engines or self._train.helpers
        power = after.engine_share / MOVES if given else np.zeros_like(after.engine_share)
        # what the train comes to without the guest matters only where something is too much with it
        if np.any(others > 1.0):
            others = others / np.maximum(1.0, WORSE * self.before.uses[:, :-1] * self.least_margin)
        if np.any(swings > 1.0):
            swung = self.before.swings_deg / self.swing_limits_deg
            swings = swings / np.where(swung > 1.0, WORSE * swung, 1.0)
        if np.any(power > 1.0) and self.before.engine_share[0] > MOVES:
            power = np.zeros_like(power)
        return Shares(own, swings, power, others)

    def refused(self, spot: int, after: Figures) -> Refused | None:
        """Why the guest may not ride in a spot with which the train comes to that, if so."""
        name, train, shares = self.guest.car.name, self._train.name, self.shares(after)
        there = f"{'the last spot' if spot == self.spots else f'spot {spot}'} of {train}"
        if shares.own[0] > 1.0:
            keeps = f"{1.0 / after.uses[0, -1]:.2f}, and guests are to keep {self.least_margin:g}"
            return Refused("margin", f"In {there} {name} would keep a margin of {keeps}.")
        for number in np.flatnonzero(shares.swings[0] > 1.0):
            own = self.cars[number] is self.guest
            whose = "its coupler" if own else f"the coupler of {self.cars[number].car.name} next to it"
            needs = f"{after.swings_deg[0, number]:.1f} degrees and has {self.swing_limits_deg[number]:.1f}"
            say = f"With {name} in {there} {whose} would have to swing {needs}."
            return Refused("swing" if own else "others", say)
        if shares.power[0] > 1.0:
            return Refused("power", f"The engines of {train} could not pull {name} as well.")
        for number in np.flatnonzero(shares.others[0] > 1.0):
            keeps = f"{1.0 / after.uses[0, number]:.2f}, which is under {self.least_margin:g}"
            say = f"With {name} in {there} {self.cars[number].car.name} would keep a margin of {keeps}."
            return Refused("others", say)
        return None


def degrees(sines: Floats | float) -> Floats:
    """The angles of these sines, unsigned."""
    angles: Floats = np.degrees(np.arcsin(np.minimum(sines, 1.0)))
    return angles
