"""Forces along a train in steady running, worked out from its rear end forward.

What a car takes is its weight on the slope, rolling and curve, and what its side loads cost it: a flange drawn
against the rail drags. A train so grows harder to pull along a curve, as a rope does round a post. With engines at
the rear end their part is not known beforehand: the share that all engines give is found so that the forces add up.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.resistance import car_resistance, holding_pull, usable_pull
from consist.mechanics.vehicles import Vehicles

__all__ = ["LEAST_G", "Cut", "Engines", "Forces", "Standing", "forces"]

Floats = NDArray[np.float64]

MOST_ROUNDS = 24
"""Signs are right after a few."""
LEAST_G = 1e-9
"""Engines that have less to give than this (gram-force) have nothing."""


@dataclass(frozen=True)
class Standing:
    """How a train stands; the first axis is its vehicles or its couplings, the others are positions.

    `share` is slope plus curve resistance as a share of weight. `ahead` and `behind` are the sines that each coupling
    makes with the vehicle ahead of it and the one behind, 0 where it cannot stand: where its `strain`, None where
    none can come near to it, is over 1.
    """

    share: Floats
    ahead: Floats
    behind: Floats
    strain: Floats | None = None


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


def forces(train: Vehicles, standing: Standing, flange_drag: float | Floats) -> Forces:
    """The forces of a train, its fields as columns, its engines pulling or holding back as is asked of them."""
    cut = Cut(train, standing, flange_drag)
    engines = Engines(train, standing.share)
    by_hand = train.hand_behind and not train.engines
    if train.behind or by_hand:
        given, along = engines.balanced(cut)
    else:
        along = cut.through()
        given = engines.given(along[-1] if len(along) else cut.nothing)
    rear = -sum(given.by_engine[train.ahead :], cut.nothing) if given.by_hand is None else -given.by_hand
    front = along[-1] if len(along) else rear
    tension = np.empty_like(standing.ahead)
    first = max(train.ahead, 1)
    tension[first - 1 : train.ahead + len(train.cars) - 1] = along[::-1][first - train.ahead :]
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
    """The cars of a train, ready to be drawn along: what each takes, and how its two couplings drag on it.

    The force T ahead of a car takes what is behind it, what the car takes, and the drag of both: since its own part
    of the drag has its size, T·(1 ∓ drag) is known. With the signs of all forces known, each is so what is behind it,
    times something, and something more. Everything in here goes from the rear end forward.
    """

    def __init__(self, train: Vehicles, standing: Standing, flange_drag: float | Floats) -> None:
        first, end = train.ahead, train.ahead + len(train.cars)
        cars = slice(first, end)
        self.nothing = np.zeros(standing.share.shape[1:])
        self.demand = car_resistance(train.weight_g[cars], standing.share[cars], train.rolling[cars])[::-1]
        # there is no coupling ahead of a first vehicle, nor behind a last
        front, rear = np.zeros_like(self.demand), np.zeros_like(self.demand)
        if end > first:
            np.abs(standing.behind[max(first - 1, 0) : end - 1][::-1], out=front[: end - max(first, 1)])
            np.abs(standing.ahead[first:end][::-1], out=rear[max(end - len(train) + 1, 0) :])
        front *= flange_drag
        rear *= flange_drag
        self._front, self._rear = front, rear

    def through(self) -> Floats:
        """The force ahead of each car with nothing behind the last.

        Signs are at first those of a train that is pulled throughout, then those of the forces found, until none
        changes: behind a wrong one all are right, so that each round puts one more right.
        """
        if not len(self.demand):
            return self.demand
        force = _drawn(self.demand, 1.0 - self._front, 1.0 + self._rear)
        wrong = np.flatnonzero(np.any(force < 0.0, axis=0))
        if len(wrong):
            count = len(force)
            own = (part.reshape(count, -1)[:, wrong] for part in (self.demand, self._front, self._rear, force))
            force.reshape(count, -1)[:, wrong] = _with_signs(*own)
        return force

    def with_signs(self, like: Floats, behind: Floats) -> tuple[Floats, Floats]:
        """Forces ahead of cars with nothing behind the last, and what one gram there would add to each.

        Signs are those of forces `like` these, and of what is `behind` the last car.
        """
        cost = np.copysign(self._rear, np.concatenate((behind[None], like[:-1])))
        cost += 1.0
        kept = 1.0 - np.copysign(self._front, like)
        force, gain = _drawn(self.demand, kept, cost), cost
        for before, after in itertools.pairwise(gain):
            after *= before
        return force, gain


def _with_signs(demand: Floats, front: Floats, rear: Floats, force: Floats) -> Floats:
    """Forces where some push, from forces whose signs are right where they are all right behind."""
    pushed = force < 0.0
    while True:
        cost = rear.copy()
        np.copysign(rear[1:], force[:-1], out=cost[1:])
        cost += 1.0
        force = _drawn(demand, 1.0 - np.copysign(front, force), cost)
        before, pushed = pushed, force < 0.0
        if np.array_equal(before, pushed):
            return force


def _drawn(demand: Floats, kept: Floats, cost: Floats) -> Floats:
    """Forces ahead of cars; `cost` is left with what each force is of that behind it, beside what its car takes."""
    cost /= kept
    forces: Floats = demand / kept
    for (behind, force), times in zip(itertools.pairwise(forces), cost[1:], strict=True):
        force += times * behind
    return forces


@dataclass(frozen=True)
class Given:
    """The engines' common share, and what each gives, negative where it holds back; what a hand behind the last car
    gives without them."""

    share: Floats
    by_engine: list[Floats]
    by_hand: Floats | None = None


class Engines:
    """What a train's engines can pull and hold at each position."""

    def __init__(self, train: Vehicles, track_share: Floats) -> None:
        self._ahead = train.ahead
        self._part = train.helper_part if train.behind else None
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

    def balanced(self, cut: Cut) -> tuple[Given, Floats]:
        """What engines at both ends give so that the force ahead of the first car is that of the lead engines.

        With it the force ahead of each car, from the last forward. With the signs of all forces known, what is left
        over falls evenly as the share grows, so that one share leaves nothing; signs are at first those of forces
        without drag, then those found, until none changes. Where engines that weigh down one another have nothing to
        give, the lead engine takes all.
        """
        if not len(cut.demand) and not self._pulls:
            return Given(self._nothing, [], self._nothing), cut.demand
        if not len(cut.demand):
            return self._shared(self._nothing, self._nothing == 0.0, self._nothing), cut.demand
        able = np.ones(self._nothing.shape, dtype=bool)
        force = np.cumsum(cut.demand, axis=0)
        pulling = force[-1] > 0.0
        lead, helpers = self._both_ends(pulling, able)
        share = np.divide(force[-1], lead + helpers, out=np.zeros_like(lead), where=lead + helpers > LEAST_G)
        rear = -share * helpers
        force += rear
        for _ in range(MOST_ROUNDS):
            before, pushing = force < 0.0, rear < 0.0
            alone, gain = cut.with_signs(force, rear)
            slope = gain[-1] * helpers + lead
            if np.any(slope <= LEAST_G):
                # engines that can hold nothing may well pull what is asked of them, where signs were wrong
                pulling = np.where(slope <= LEAST_G, alone[-1] > 0.0, pulling)
                lead, helpers = self._both_ends(pulling, able)
                able &= gain[-1] * helpers + lead > LEAST_G
                lead, helpers = self._both_ends(pulling, able)
                slope = gain[-1] * helpers + lead
            share = alone[-1] / slope
            rear = -share * helpers
            force = gain * rear
            force += alone
            was, pulling = pulling, share > 0.0
            if not np.array_equal(was, pulling):
                lead, helpers = self._both_ends(pulling, able)
            elif np.array_equal(before, force < 0.0) and np.array_equal(pushing, rear < 0.0):
                break
        if not self._pulls:
            return Given(self._nothing, [], share), force
        return self._shared(share, able, share), force

    def _both_ends(self, pulling: NDArray[np.bool_], able: NDArray[np.bool_]) -> tuple[Floats, Floats]:
        """What lead engines and helpers have; of engines that have nothing the lead engine alone takes part."""
        ends = (self._pairs[: self._ahead], self._pairs[self._ahead :])
        lead, helpers = (sum((np.where(pulling, pull, hold) for pull, hold in each), self._nothing) for each in ends)
        if np.all(able):
            return lead, helpers
        alone = (1.0, 0.0) if self._ahead else (0.0, 1.0)
        return np.where(able, lead, alone[0]), np.where(able, helpers, alone[1])

    @cached_property
    def _pairs(self) -> list[tuple[Floats, Floats]]:
        pairs = list(zip(self._pulls, self._holds, strict=True))
        if self._part is not None:
            helpers = pairs[self._ahead :]
            pairs[self._ahead :] = [(self._part * pull, self._part * hold) for pull, hold in helpers]
        return pairs

    def _of_all(self, share: Floats) -> Floats:
        """What lead engines give of what they can as the share that all give of what all can."""
        both = zip(self._pairs, zip(self._pulls, self._holds, strict=True), strict=True)
        given, have = self._nothing, self._nothing
        for own, even in both:
            given, have = (at + np.where(share > 0.0, *pair) for at, pair in ((given, own), (have, even)))
        return share * np.divide(given, have, out=np.full_like(share, np.inf), where=have > LEAST_G)

    def _shared(self, alone: Floats, able: NDArray[np.bool_], share: Floats) -> Given:
        """Every engine's part where they are able, `alone` by the lead engine where they are not."""
        by_engine = [share * np.where(share > 0.0, pull, hold) for pull, hold in self._pairs]
        if not np.all(able):
            by_engine = [np.where(able, part, 0.0) for part in by_engine]
            by_engine[0] = np.where(able, by_engine[0], alone)
            share = np.where(able, share, np.where(alone == 0.0, 0.0, np.copysign(np.inf, alone)))
        return Given(share if self._part is None else self._of_all(share), by_engine)
