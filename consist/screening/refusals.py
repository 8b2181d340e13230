"""Why a guest car may not ride in a spot of a train: what the train then comes to, and what is allowed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import MOVES
from consist.screening.results import RefusalCode

__all__ = ["WORSE", "Asked", "Figures", "Refused"]

Floats = NDArray[np.float64]

WORSE = 1.01
"""A car below the margin already, or swinging too far, is worse off where the figure grows by more than this factor:
peaks of two runs may differ by the model's tolerance of half a per cent each."""


@dataclass(frozen=True)
class Figures:
    """What a train comes to in each of some orders of its `cars`.

    Of shape (orders, cars) the greatest side use and how far couplers swing at most (degrees), 0 where that was not
    looked at, and of shape (orders,) the greatest share that engines give of what they can pull or hold back.
    """

    cars: Sequence[str]
    uses: Floats
    swings_deg: Floats
    engine_share: Floats

    def of(self, name: str) -> tuple[float, float]:
        """The side use and the swing of a car in the first order, 0 where it is not in the train."""
        if name not in self.cars:
            return 0.0, 0.0
        number = self.cars.index(name)
        return float(self.uses[0, number]), float(self.swings_deg[0, number])


@dataclass(frozen=True)
class Refused:
    """Why a spot will not do."""

    code: RefusalCode
    say: str


@dataclass(frozen=True)
class Asked:
    """What is asked of a train with a guest in it.

    `before` works out the figures of the train without it, `swing_limits_deg` holds the limits of those cars that
    have one. `engines_given` is whether the train's engines are its own, and not stand-ins that can be added to.
    """

    guest: str
    train: str
    least_margin: float
    before: Callable[[], Figures]
    swing_limits_deg: Mapping[str, float]
    engines_given: bool

    def shares(self, after: Figures) -> Floats:
        """What figures come to as shares of what is allowed, of shape (orders, 2 + 2·cars), over 1 where that is too
        much: the guest's own use, every car's swing, the engines' share, and every other car's use.
        """
        uses = after.uses * self.least_margin
        swings = after.swings_deg / [self.swing_limits_deg.get(name, np.inf) for name in after.cars]
        power = after.engine_share / MOVES if self.engines_given else np.zeros(len(uses))
        own = [name == self.guest for name in after.cars]
        guest, others = uses[:, own], np.where(own, 0.0, uses)
        # what the train comes to without the guest matters only where something is too much with it
        if np.any(others > 1.0):
            others /= self._worsened([before * self.least_margin for before, _ in self._before(after.cars)])
        if np.any(swings > 1.0):
            limits = [self.swing_limits_deg.get(name, np.inf) for name in after.cars]
            swung = [before / limit for (_, before), limit in zip(self._before(after.cars), limits, strict=True)]
            swings /= np.where(np.array(swung) > 1.0, self._worsened(swung), 1.0)
        if np.any(power > 1.0) and self.before().engine_share[0] > MOVES:
            power = np.zeros(len(uses))
        return np.concatenate((guest, swings, power[:, None], others), axis=1)

    def _before(self, cars: Sequence[str]) -> list[tuple[float, float]]:
        before = self.before()
        return [before.of(name) for name in cars]

    @staticmethod
    def _worsened(shares: Sequence[float]) -> Floats:
        """By how much more is allowed of cars that come to these shares of their limits without the guest."""
        more: Floats = np.maximum(1.0, WORSE * np.array(shares))
        return more

    def refused(self, spot: str, after: Figures) -> Refused | None:
        """Why the guest may not ride in a spot (told as "spot 3") with which the train comes to that, if so."""
        too_much = np.flatnonzero(self.shares(after)[0] > 1.0)
        if not len(too_much):
            return None
        what, count = int(too_much[0]) - 1, len(after.cars)
        there = f"{spot} of {self.train}"
        if what < 0:
            use, _ = after.of(self.guest)
            return Refused(
                "margin",
                f"In {there} {self.guest} would keep a margin of {1.0 / use:.2f}, and guests are to keep "
                f"{self.least_margin:g}.",
            )
        if what == count:
            return Refused("power", f"The engines of {self.train} could not pull {self.guest} as well.")
        car = after.cars[what % (count + 1)]
        use, swing = after.of(car)
        if what > count:
            return Refused(
                "others",
                f"With {self.guest} in {there} {car} would keep a margin of {1.0 / use:.2f}, which is under "
                f"{self.least_margin:g}.",
            )
        own = car == self.guest
        whose = "its coupler" if own else f"the coupler of {car} next to it"
        return Refused(
            "swing" if own else "others",
            f"With {self.guest} in {there} {whose} would have to swing {swing:.1f} degrees and has "
            f"{self.swing_limits_deg[car]:.1f}.",
        )
