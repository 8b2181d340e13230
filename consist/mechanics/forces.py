"""Forces along a train in steady running, worked out from its rear end forward.

What a car takes is its weight on the slope, rolling and curve, and what its side loads cost it: a flange drawn
against the rail drags. A train so grows harder to pull along a curve, as a rope does round a post. With engines at
the rear end their part is not known beforehand: the share that all engines give is found so that the forces add up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.resistance import car_resistance, holding_pull, usable_pull
from consist.mechanics.vehicles import Vehicles

__all__ = ["LEAST_G", "Cut", "Engines", "Forces", "Standing", "forces"]

Floats = NDArray[np.float64]

MOST_ROUNDS = 24
"""Newton's rule ends after a few, since what is solved goes straight but for a few bends."""
LEAST_G = 1e-9
"""Engines that have less to give than this (gram-force) have nothing."""
BALANCED = 1e-12
"""Forces add up when the engines' share changes by no more than this part of itself."""


@dataclass(frozen=True)
class Standing:
    """How a train stands; the first axis is its vehicles or its couplings, the others are positions.

    `share` is slope plus curve resistance as a share of weight. `ahead` and `behind` are the sines that each coupling
    makes with the vehicle ahead of it and the one behind.
    """

    share: Floats
    ahead: Floats
    behind: Floats


@dataclass(frozen=True)
class Forces:
    """Forces of a train, in gram-force, at each position.

    `tension` has the couplings along its first axis, number k behind vehicle k; negative is buff. `resistance` is
    what the cars take together and `usable` what the engines have. `engine_share` is the share that every engine
    gives of its usable pull, or, negative, of what it can hold back; infinite where they have nothing to give, the
    lead engine then taking all; 0 without an engine.
    """

    tension: Floats
    resistance: Floats
    usable: Floats
    engine_share: Floats


def forces(train: Vehicles, standing: Standing, flange_drag: float) -> Forces:
    """The forces of a train, its fields as columns, its engines pulling or holding back as is asked of them."""
    cut = Cut(train, standing, flange_drag)
    engines = Engines(train, standing.share)
    tension = np.zeros_like(standing.ahead)
    rear = np.zeros(standing.share.shape[1:])
    front = cut.through(rear, None if train.behind else tension)
    if train.behind:
        given = engines.balanced(cut, front)
        rear = -sum(given.by_engine[train.ahead :], rear)
        front = cut.through(rear, tension)
    else:
        given = engines.given(front)
    _along_engines(train, given.by_engine, front, tension)
    return Forces(tension, front - rear, engines.usable, given.share)


def _along_engines(train: Vehicles, by_engine: Sequence[Floats], front: Floats, tension: Floats) -> None:
    """Fill in the couplings behind lead engines and ahead of helpers."""
    last = len(train) - 1
    behind = np.zeros_like(front)
    for vehicle, given in zip(range(last, last - train.behind, -1), reversed(by_engine), strict=False):
        behind = behind - given
        if vehicle > 0:
            tension[vehicle - 1] = behind
    through = front
    for vehicle in range(train.ahead - 1, -1, -1):
        if vehicle < last:
            tension[vehicle] = through
        through = through - by_engine[vehicle]


class Cut:
    """The cars of a train: what each takes, and how its two couplings drag on it."""

    def __init__(self, train: Vehicles, standing: Standing, flange_drag: float) -> None:
        self._cars = train.cars
        self._demand = car_resistance(train.weight_g, standing.share, train.rolling)
        self._front = flange_drag * np.abs(standing.behind)
        self._rear = flange_drag * np.abs(standing.ahead)

    def through(self, rear: Floats, tension: Floats | None = None, slope: Floats | None = None) -> Floats:
        """The force ahead of the first car, from that behind the last.

        Fills `tension` in, and multiplies `slope` by what one gram more behind comes to ahead, where they are given.
        The force T ahead of a car takes what is behind it, what the car takes, and the drag of both: since T's own
        part of the drag has T's size, T·(1 ∓ drag) is known.
        """
        force = rear
        for car in reversed(self._cars):
            asked = force + self._demand[car]
            if car < len(self._rear):
                asked += self._rear[car] * np.abs(force)
                if slope is not None:
                    slope *= 1.0 + np.copysign(self._rear[car], force)
            if car > 0:
                part = 1.0 - np.copysign(self._front[car - 1], asked)
                asked /= part
                if slope is not None:
                    slope /= part
                if tension is not None:
                    tension[car - 1] = asked
            force = asked
        return force


@dataclass(frozen=True)
class Given:
    """The engines' common share, and what each gives, negative where it holds back."""

    share: Floats
    by_engine: list[Floats]


class Engines:
    """What a train's engines can pull and hold at each position."""

    def __init__(self, train: Vehicles, track_share: Floats) -> None:
        self._ahead = train.ahead
        weight, pull = train.weight_g, train.pull_g
        self._nothing = np.zeros(track_share.shape[1:])
        self._pulls = [usable_pull(pull[k], weight[k], track_share[k]) for k in train.engines]
        self._holds = [holding_pull(pull[k], weight[k], track_share[k]) for k in train.engines]
        self.usable = sum(self._pulls, self._nothing)

    def given(self, asked: Floats) -> Given:
        """What engines at the head end give so that together they give what is asked of them."""
        if not self._pulls:
            return Given(self._nothing, [])
        have = np.where(asked > 0.0, self.usable, sum(self._holds, self._nothing))
        able = have > LEAST_G
        return self._shared(asked, able, np.divide(asked, have, out=np.zeros_like(asked), where=able))

    def balanced(self, cut: Cut, asked: Floats) -> Given:
        """What engines at both ends give so that the force ahead of the first car is that of the lead engines.

        `asked` is that force with none behind. Whatever is left over falls as the share grows, so that there is one
        share, found by Newton's rule; where engines that weigh down one another have none, the lead engine takes all.
        """
        pulling = asked > 0.0
        lead, helpers = (
            sum((np.where(pulling, pull, hold) for pull, hold in each), self._nothing)
            for each in (self._pairs[: self._ahead], self._pairs[self._ahead :])
        )
        able = np.ones(asked.shape, dtype=bool)
        together = lead + helpers
        share = np.divide(asked, together, out=np.zeros_like(asked), where=together > LEAST_G)
        alone = (1.0, 0.0) if self._ahead else (0.0, 1.0)
        for _ in range(MOST_ROUNDS):
            slope = np.ones_like(asked)
            left = cut.through(-share * helpers, slope=slope) - share * lead
            slope = slope * helpers + lead
            unable = slope <= LEAST_G
            if np.any(unable):
                able &= ~unable
                lead, helpers = (
                    np.where(unable, part, own) for part, own in zip(alone, (lead, helpers), strict=True)
                )
                share = np.where(unable, 0.0, share)
                continue
            step = left / slope
            share += step
            if np.all(np.abs(step) <= BALANCED * np.abs(share)):
                break
        return self._shared(share, able, share)

    @property
    def _pairs(self) -> list[tuple[Floats, Floats]]:
        return list(zip(self._pulls, self._holds, strict=True))

    def _shared(self, alone: Floats, able: NDArray[np.bool_], share: Floats) -> Given:
        """Every engine's part where they are able, `alone` by the lead engine where they are not."""
        by_engine = [share * np.where(share > 0.0, pull, hold) for pull, hold in self._pairs]
        if not np.all(able):
            by_engine = [np.where(able, part, 0.0) for part in by_engine]
            by_engine[0] = np.where(able, by_engine[0], alone)
            share = np.where(able, share, np.where(alone == 0.0, 0.0, np.copysign(np.inf, alone)))
        return Given(share, by_engine)
