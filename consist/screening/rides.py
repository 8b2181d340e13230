"""Which spots of a train a guest car may ride in.

The car is set in, or moved, into every spot, all others as they stand: blocks and holds are left aside. A spot does
where it keeps the guests' least margin, its coupler and those coupled to it swing no farther than they can, the
engines still move the train, and no other car is put below that margin. A car below it already may not be put lower.
Spots are tried all at once at few places of the route; one that is not far within every limit there is run in full.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np

from consist.screening.keep_out import keep_out_of
from consist.screening.refusals import Asked, Refused
from consist.screening.results import RefusalCode, TooLong, TrainRide
from consist.screening.tonight import TrainTonight
from consist.screening.trial import Trial
from consist.session import CarInTrain
from consist.tolerances import lighter, longer
from consist.trains import Prepared

__all__ = ["Rides"]

BARS: dict[str, RefusalCode] = {"radius": "radius", "height": "height", "width": "width"}
"""What on the route keeps a car out of a train whatever its spot."""
FAR_WITHIN, WITHIN_HELPED = 0.9, 0.75
"""A figure seen at few places below this share of its limit is within it; below the second in a train with helpers,
whose part of the load is not known beforehand."""
SWINGS_WITHIN = 0.95
"""Likewise of a swing."""
NEAR = 0.01
"""The guest's own use that comes so near to its limit, when looked for closely, is worked out in full."""
LITTLE = 0.1
"""A share of what is allowed that is little."""


class Rides:
    """A train of the session, ready to be tried with guests."""

    def __init__(self, of: Prepared) -> None:
        self._of, self._session, self._train = of, of.session, of.train
        self._tonight = TrainTonight(of)

    def of(self, guest: CarInTrain) -> TrainRide:
        """Where a guest car may ride in this train."""
        asked = Asked(self._tonight, guest)
        barred = self._barred(asked.guest)
        stands, no, use = self._tried(asked) if barred is None else ((), barred, 0.0)
        fault = None
        if asked.in_train is not None and asked.in_train not in stands:
            # what is said of the spot it stands in is what the check says of the train
            fault = barred or asked.in_full(asked.in_train)[0]
        return TrainRide(
            train=self._train.name,
            stands=stands,
            spots=asked.spots,
            margin=1.0 / use if use else None,
            in_train=asked.in_train,
            refusal=no.code if no else None,
            why_not=no.say if no else None,
            stands_well=None if asked.in_train is None else fault is None,
            standing_fault=fault.say if fault else None,
            at_target=self._at_target(asked, stands) if self._may_gain(asked, stands, no, fault) else (),
            too_long=self._too_long(asked),
        )

    def _may_gain(self, asked: Asked, stands: tuple[int, ...], *no: Refused | None) -> bool:
        """Whether more spots may do at the target: where its own margin refuses it, or the house calls it light."""
        car, weight_g, house = asked.guest.car, asked.guest.weight_g, self._session.house
        if not car.weighed or not lighter(weight_g, car.target_g) or len(stands) == asked.spots:
            return False
        codes = {each.code for each in no if each is not None}
        return "margin" in codes or (not codes and house.guests.weight_level(weight_g, car.target_g) != "go")

    def _at_target(self, asked: Asked, stands: tuple[int, ...]) -> tuple[int, ...]:
        """The spots at which a guest may ride once it weighs its target, tried as any other car is; none where those
        are no others than it has."""
        car, lacks_g = asked.guest.car, asked.guest.car.target_g - asked.guest.weight_g
        heavier = replace(asked.guest, car=replace(car, weight_g=car.weight_g + lacks_g))
        cars = [heavier if each.car.name == car.name else each for each in self._train.cars]
        rides = self if asked.in_train is None else Rides(self._of.in_order(cars))
        then = rides.of(heavier).stands
        return then if set(then) - set(stands) else ()

    def _too_long(self, asked: Asked) -> tuple[TooLong, ...]:
        """The stops at which the train is too long with a guest, and would not be without it."""
        found = []
        with_it, without = self._of.in_order(asked.cars), self._of.in_order(asked.cars[:-1])
        for number, stop in enumerate(self._train.route.stops):
            standing = self._session.layout.places[stop].standing_mm
            if standing is not None and not longer(without.length_at(number), standing):
                length = with_it.length_at(number)
                found += [TooLong(stop, length - standing)] if longer(length, standing) else []
        return tuple(found)

    def _barred(self, own: CarInTrain) -> Refused | None:
        """What the first line or place of the route is that the car must not pass."""
        layout, train = self._session.layout, self._train
        places = [layout.places[name] for name in train.places_ridden(own)]
        passed = keep_out_of(own.car, (*train.lines_ridden(own), *places), layout.unit)
        barred = (each for each in passed if each.barred and each.code in BARS)
        return next((Refused(BARS[each.code], f"{each.fact}.") for each in barred), None)

    def _tried(self, asked: Asked) -> tuple[tuple[int, ...], Refused | None, float]:
        """The spots that do and the guest's own side use in the foremost, or why none does."""
        if any(leg.backing for leg in self._train.legs):
            return _tried_in_full(asked)
        trial = Trial(self._tonight, asked)
        seen = trial.seen()
        shares = asked.shares(seen)
        swings = shares.swings.max(axis=1)
        others = np.maximum(shares.power, shares.others.max(axis=1, initial=0.0))
        helped = bool(self._train.helpers)
        far_within = WITHIN_HELPED if helped else FAR_WITHIN

        @cache
        def closely(spot: int) -> tuple[Refused | None, float]:
            """Likewise as far as the guest's own use and swings tell, where less than a full run will do: guesses are
            too rough for that where helpers give a part, or where a guest is hardly pulled aside."""
            if helped or shares.own[spot - 1] < LITTLE:
                return asked.in_full(spot)
            after = trial.closely(spot)
            return asked.refused(spot, after), float(max(after.uses[0, -1], seen.uses[spot - 1, -1]))

        def will_do(spot: int) -> bool:
            own, swing, other = shares.own[spot - 1], swings[spot - 1], others[spot - 1]
            if max(own, swing, other) > 1.0:
                return False
            if other > far_within:
                return asked.in_full(spot)[0] is None
            if own <= far_within and swing <= SWINGS_WITHIN:
                return True
            no, use = closely(spot)
            near = abs(use * asked.least_margin - 1.0) <= NEAR
            return (asked.in_full(spot)[0] if near else no) is None

        stands = tuple(
            spot
            for spot in range(1, asked.spots + 1)
            if will_do(spot) or (spot == asked.in_train and asked.in_full(spot)[0] is None)
        )
        if stands:
            return stands, None, closely(stands[0])[1]
        # a refusal is told of the last spot
        no = closely(asked.spots)[0] or asked.in_full(asked.spots)[0]
        return ((), no, 0.0) if no else ((asked.spots,), None, asked.in_full(asked.spots)[1])


def _tried_in_full(asked: Asked) -> tuple[tuple[int, ...], Refused | None, float]:
    """The same by a full run for every spot: where a train backs, guesses tell too little."""
    stands = tuple(spot for spot in range(1, asked.spots + 1) if asked.in_full(spot)[0] is None)
    no, use = asked.in_full(stands[0] if stands else asked.spots)
    return stands, no, use if stands else 0.0
