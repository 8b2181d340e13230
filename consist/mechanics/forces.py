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
    if train.behind:
        given, drawn = engines.balanced(cut)
    else:
        drawn = cut.through()
        given = engines.given(drawn.front)
    rear = -sum(given.by_engine[train.ahead :], np.zeros(standing.share.shape[1:]))
    tension = np.empty_like(standing.ahead)
    first = max(train.ahead, 1)
    tension[first - 1 : train.ahead + len(train.cars) - 1] = drawn.ahead[first - train.ahead :]
    _along_engines(train, given.by_engine, drawn.front, tension)
    return Forces(tension, drawn.front - rear, engines.usable, given.share)


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


@dataclass(frozen=True)
class Drawn:
    """A cut drawn along: the force ahead of each car and of the first, and what one gram behind adds to that."""

    ahead: Floats
    front: Floats
    gain: Floats


class Cut:
    """The cars of a train, ready to be drawn along: what each takes, and how its two couplings drag on it."""

    def __init__(self, train: Vehicles, standing: Standing, flange_drag: float) -> None:
        first, end = train.ahead, train.ahead + len(train.cars)
        self._nothing = np.zeros(standing.share.shape[1:])
        # everything from the rear end forward; there is no coupling ahead of a first vehicle, nor behind a last
        self._demand = car_resistance(train.weight_g[first:end], standing.share[first:end], train.rolling[first:end])[
            ::-1
        ]
        front, rear = np.zeros_like(self._demand), np.zeros_like(self._demand)
        if end > first:
            np.abs(standing.behind[max(first - 1, 0) : end - 1][::-1], out=front[: end - max(first, 1)])
            np.abs(standing.ahead[first:end][::-1], out=rear[max(end - len(train) + 1, 0) :])
        front *= flange_drag
        rear *= flange_drag
        self._front, self._rear = front, rear

    def through(self, rear: Floats | None = None, like: Floats | None = None) -> Drawn:
        """The cut drawn along by what is ahead of it, with a force of `rear`, if any, behind its last car.

        The force T ahead of a car takes what is behind it, what the car takes, and the drag of both: since T's own
        part of the drag has T's size, T·(1 ∓ drag) is known. With the signs of all forces known, each is so what is
        behind it, times something, and something more. Signs are at first those of forces `like` these, or of a train
        that is pulled throughout; then those of the forces found, until none changes: behind a wrong one all are
        right, so that each round puts one more right.
        """
        behind = self._nothing if rear is None else rear
        if not len(self._demand):
            return Drawn(self._demand, behind, np.ones_like(behind))
        if like is not None:
            force, gain = _with_signs(self._demand, self._front, self._rear, like[::-1], behind)
            return Drawn(force[::-1], force[-1], gain)
        force, gain = _drawn(self._demand, 1.0 - self._front, 1.0 + self._rear, behind)
        wrong = np.flatnonzero(np.any(force < 0.0, axis=0))
        if len(wrong):
            demand, front, rear_end, near = (
                part.reshape(len(force), -1)[:, wrong] for part in (self._demand, self._front, self._rear, force)
            )
            found = _with_signs(demand, front, rear_end, near, behind.reshape(-1)[wrong])
            force.reshape(len(force), -1)[:, wrong], gain.reshape(-1)[wrong] = found
        return Drawn(force[::-1], force[-1], gain)


def _with_signs(demand: Floats, front: Floats, rear: Floats, force: Floats, behind: Floats) -> tuple[Floats, Floats]:
    """Forces and gains where some push, from forces whose signs are right where they are all right behind."""
    pushed = force < 0.0
    while True:
        cost = np.copysign(rear, np.concatenate((behind[None], force[:-1])))
        cost += 1.0
        force, gain = _drawn(demand, 1.0 - np.copysign(front, force), cost, behind)
        before, pushed = pushed, force < 0.0
        if np.array_equal(before, pushed):
            return force, gain


def _drawn(demand: Floats, kept: Floats, cost: Floats, behind: Floats) -> tuple[Floats, Floats]:
    """Forces ahead of cars, from the last, and what one gram more behind comes to ahead of the first."""
    cost /= kept
    forces = demand / kept
    before = behind
    for times, force in zip(cost, forces, strict=True):
        force += times * before
        before = force
    return forces, np.multiply.reduce(cost, axis=0)


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

    def balanced(self, cut: Cut) -> tuple[Given, Drawn]:
        """What engines at both ends give so that the force ahead of the first car is that of the lead engines.

        Whatever is left over falls as the share grows, so that there is one share, found by Newton's rule; where
        engines that weigh down one another have none, the lead engine takes all.
        """
        drawn = cut.through()
        pulling = drawn.front > 0.0
        lead, helpers = (
            sum((np.where(pulling, pull, hold) for pull, hold in each), self._nothing)
            for each in (self._pairs[: self._ahead], self._pairs[self._ahead :])
        )
        able, share, rear = np.ones(pulling.shape, dtype=bool), self._nothing.copy(), self._nothing
        alone = (1.0, 0.0) if self._ahead else (0.0, 1.0)
        for _ in range(MOST_ROUNDS):
            slope = drawn.gain * helpers + lead
            unable = slope <= LEAST_G
            if np.any(unable):
                able &= ~unable
                lead, helpers = (
                    np.where(unable, part, own) for part, own in zip(alone, (lead, helpers), strict=True)
                )
                share = np.where(unable, 0.0, share)
            else:
                step = (drawn.front - share * lead) / slope
                share += step
                if np.all(np.abs(step) <= BALANCED * np.abs(share)):
                    break
            rear, before = -share * helpers, rear
            drawn = cut.through(rear, drawn.ahead + (rear - before))
        return self._shared(share, able, share), drawn

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
