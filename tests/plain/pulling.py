"""The forces along a train that stands somewhere, and what its engines give."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from plain.stock import House, Vehicle

__all__ = ["Pulling"]

NEGLIGIBLE = 1e-13
"""What may be left over at the head of a train, as a share of what its cars take."""
MOST_SHARE = 1e9
"""Where a share would be greater than this, the engines have no usable pull."""


class Pulling:
    """What a train's cars take and its engines give, and the forces between them.

    `shares` is slope and curve resistance of each vehicle as a share of its weight, `sine_front` and `sine_rear` the
    sines of its two couplings to its axis, 0 where it has none.
    """

    def __init__(
        self,
        train: Sequence[Vehicle],
        shares: Sequence[float],
        sine_front: Sequence[float],
        sine_rear: Sequence[float],
        house: House,
    ) -> None:
        self.train, self.shares, self.house = train, shares, house
        # W·(slope + rolling + curve) of each car; what an engine takes itself is taken off its usable pull
        self.asked = [
            0.0 if vehicle.engine else vehicle.weight_g * (share + vehicle.rolling)
            for vehicle, share in zip(train, shares, strict=True)
        ]
        drags = [0.0 if vehicle.engine else house.flange_drag for vehicle in train]
        self.drag_front = [drag * abs(sine) for drag, sine in zip(drags, sine_front, strict=True)]
        self.drag_rear = [drag * abs(sine) for drag, sine in zip(drags, sine_rear, strict=True)]

    def able(self, sign: float) -> list[float]:
        """What each engine can pull (`sign` 1) or hold back (-1): P·(1 - reserve) ∓ W·(slope + curve)."""
        return [
            vehicle.pull_g * (1.0 - self.house.reserve) - sign * vehicle.weight_g * share if vehicle.engine else 0.0
            for vehicle, share in zip(self.train, self.shares, strict=True)
        ]

    def tensions(self, given: Sequence[float]) -> list[float]:
        """The force in the coupling ahead of each vehicle, worked out from the rear end forward.

        `given` is what each engine pulls, negative where it holds back. Ahead of a car is the force behind it, with
        W·(slope + rolling + curve) and drag·(|T ahead·sin front| + |T behind·sin rear|) added. What comes out ahead
        of the first vehicle is left over: nothing, where the engines give as much as the cars take.
        """
        ahead = [0.0] * len(self.train)
        force = 0.0
        for k in reversed(range(len(self.train))):
            # all but what the coupling ahead adds, since T ahead is on both sides: T - d·|T| = rest
            rest = force + self.asked[k] - given[k] + self.drag_rear[k] * abs(force)
            # d being under 1, T has the sign of the rest
            force = rest / (1.0 - self.drag_front[k]) if rest >= 0.0 else rest / (1.0 + self.drag_front[k])
            ahead[k] = force
        return ahead

    def engines(self) -> tuple[list[float], float, float]:
        """What each vehicle gives so that nothing is left over at the head, the power use and the hold use.

        Cars that have to be pulled are pulled by every engine with the same share of what it can pull; cars that push
        are held back by every engine with the same share of what it can hold; or with `part` times that share. The
        use is what all give of what all can. Where the engines have nothing together, or no share of it is enough,
        the lead engine takes everything and the use is infinite.
        """
        if not self.train:
            return [], 0.0, 0.0
        left_over = self.tensions([0.0] * len(self.train))[0]
        sign = 1.0 if left_over > 0.0 else -1.0
        able_all = self.able(sign)
        able = [most * vehicle.part for most, vehicle in zip(able_all, self.train, strict=True)]
        share = self._share(able, sign) if sum(able) > 0.0 and sum(able_all) > 0.0 else None
        use = math.inf if share is None else share * (sum(able) / sum(able_all))
        if share is None:
            lead = next((k for k, vehicle in enumerate(self.train) if vehicle.engine), None)
            able = [1.0 if k == lead else 0.0 for k in range(len(self.train))]
            share = None if lead is None else self._share(able, sign)
        given = [0.0 if share is None else sign * share * most for most in able]
        return (given, use, 0.0) if sign > 0.0 else (given, 0.0, use)

    def _share(self, able: Sequence[float], sign: float) -> float | None:
        """The share of what each can do that leaves nothing over at the head; none where no share does.

        What is left over falls as the share grows: evenly without side loads, and with every engine ahead of every
        car; else by pieces of straight lines. The share lies between one too small and one too great, and these are
        brought together by turns: to where an even fall would have it, and halfway.
        """

        def left_over(share: float) -> float:
            return sign * self.tensions([sign * share * most for most in able])[0]

        negligible = NEGLIGIBLE * sum(map(abs, self.asked))
        small, at_small = 0.0, left_over(0.0)
        great = at_small / sum(able)
        at_great = left_over(great)
        while at_great > negligible and great < MOST_SHARE:
            great *= 2.0
            at_great = left_over(great)
        if at_great > negligible:
            # with one engine that cannot carry itself it may fall and rise again
            great = _lowest(left_over, great)
            at_great = left_over(great)
            if at_great > negligible:
                return None
        halve = False
        while at_great < -negligible and great - small > 1e-15 * great:
            even = small + (great - small) * at_small / (at_small - at_great)
            between = (small + great) / 2.0 if halve else even
            at_between = left_over(between)
            if at_between > negligible:
                small, at_small = between, at_between
            else:
                great, at_great = between, at_between
            halve = not halve
        return great


def _lowest(falls_then_rises: Callable[[float], float], most: float) -> float:
    """Where from 0 to `most` a function that only falls up to a place, and only rises after it, is lowest."""
    least = 0.0
    for _ in range(200):
        third = (most - least) / 3.0
        if falls_then_rises(least + third) > falls_then_rises(most - third):
            least += third
        else:
            most -= third
    return most
