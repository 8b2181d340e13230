"""Which spots of a train a guest car may ride in.

The car is set in, or moved, into every spot, all others as they stand: blocks and holds are left aside. A spot does
where it keeps the guests' least margin, its coupler and those coupled to it swing no farther than they can, the
engines still move the train, and no other car is put below that margin. A car below it already may not be put lower.
Spots are tried all at once at few places of the route; one that is not far within every limit there is run in full.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from functools import cache
from math import asin, degrees

import numpy as np

from consist.screening.keep_out import keep_out_of_lines, keep_out_of_places
from consist.screening.refusals import Asked, Figures, Refused
from consist.screening.results import KeepOut, RefusalCode, TrainRide
from consist.screening.setting_in import guest_in, lines_ridden, places_ridden, train_with, train_without
from consist.screening.tonight import TrainTonight
from consist.screening.trial import Trial
from consist.session import CarInTrain, Session, Train
from consist.stock import Car
from consist.trains import Trip, prepared

__all__ = ["Rides"]

BARS: dict[str, RefusalCode] = {"radius": "radius", "height": "height", "width": "width"}
"""What on the route keeps a car out of a train whatever its spot."""
FAR_WITHIN, WITHIN_HELPED = 0.9, 0.75
"""A figure seen at few places below this share of its limit is within it; below the second in a train with helpers,
whose part of the load is not known beforehand."""
NEAR = 0.01
"""The guest's own use that comes so near to its limit, when looked for closely, is worked out in full."""
LITTLE = 0.1
"""A share of what is allowed that is little."""


class Rides:
    """A train of the session, ready to be tried with guests."""

    def __init__(self, session: Session, train: Train) -> None:
        self._session, self._train = session, train
        self._tonight = TrainTonight(prepared(session, train))

    def of(self, guest: CarInTrain) -> TrainRide:
        """Where a guest car may ride in this train."""
        own, in_train = guest_in(self._train, guest)
        others = train_without(self._train, own.car.name)
        spots = len(others.cars) + 1
        barred = self._barred(own)
        if barred is not None:
            return self._ride(spots, in_train, (), None, *[Refused(BARS[barred.code], f"{barred.fact}.")] * 2)
        asked = self._asked(others, own)

        def told(spot: int) -> str:
            return "the last spot" if spot == spots else f"spot {spot}"

        @cache
        def in_full(spot: int) -> tuple[Refused | None, float]:
            """Why a spot will not do, None where it does, and the guest's own side use there."""
            train = train_with(others, own, spot)
            after = _figures(self._tonight.of.with_train(train).run(), own.car)
            return asked.refused(told(spot), after), after.of(own.car.name)[0]

        trial = Trial(self._tonight, others, own, asked)
        seen = trial.seen()
        shares = asked.shares(seen)
        far_within = WITHIN_HELPED if self._train.helpers else FAR_WITHIN

        @cache
        def closely(spot: int) -> tuple[Refused | None, float]:
            """Likewise as far as the guest's own use and swings tell, where less than a full run will do: guesses are
            too rough for that where helpers give a part, or where a guest is hardly pulled aside."""
            if self._train.helpers or shares[spot - 1][0] < LITTLE:
                return in_full(spot)
            after = trial.closely(spot)
            return asked.refused(told(spot), after), max(after.of(own.car.name)[0], float(seen.uses[spot - 1, -1]))

        def will_do(spot: int) -> bool:
            if shares[spot - 1].max() > 1.0:
                return False
            # swings do not hang on forces: what is seen of them is all there is
            own_share, most = shares[spot - 1][0], shares[spot - 1][1 + len(seen.cars) :].max()
            if most > far_within:
                return in_full(spot)[0] is None
            if own_share <= far_within:
                return True
            use = closely(spot)[1] * asked.least_margin
            return use <= 1.0 - NEAR or (use <= 1.0 + NEAR and in_full(spot)[0] is None)

        does = [spot for spot in range(1, spots + 1) if will_do(spot)]
        # what is said of the spot it stands in is what the check says of the train
        fault = in_full(in_train)[0] if in_train is not None and in_train not in does else None
        if in_train is not None and in_train not in does and fault is None:
            does = sorted([*does, in_train])
        if does:
            return self._ride(spots, in_train, does, closely(does[0])[1], None, fault)
        # a refusal is told of the last spot
        no = closely(spots)[0] or in_full(spots)[0]
        if no is None:
            return self._ride(spots, in_train, [spots], in_full(spots)[1], None, fault)
        return self._ride(spots, in_train, (), None, no, fault)

    def _ride(
        self,
        spots: int,
        in_train: int | None,
        does: Iterable[int],
        use: float | None,
        no: Refused | None,
        fault: Refused | None,
    ) -> TrainRide:
        told = fault if in_train is not None else None
        return TrainRide(
            train=self._train.name,
            stands=tuple(does),
            spots=spots,
            margin=1.0 / use if use and not no else None,
            in_train=in_train,
            refusal=no.code if no else None,
            why_not=no.say if no else None,
            stands_well=None if in_train is None else told is None,
            standing_fault=told.say if told else None,
        )

    def _barred(self, own: CarInTrain) -> KeepOut | None:
        """The first line or place of the route that the car must not pass."""
        layout = self._session.layout
        places = [layout.places[name] for name in places_ridden(self._train, own)]
        passed = [
            *keep_out_of_lines(own.car, lines_ridden(self._train, own), layout.unit),
            *keep_out_of_places(own.car, places, layout.unit),
        ]
        return next((each for each in passed if each.barred and each.code in BARS), None)

    def _asked(self, others: Train, own: CarInTrain) -> Asked:
        @cache
        def before() -> Figures:
            alone = len(others.cars) == len(self._train.cars)
            trip = self._tonight.trip if alone else self._tonight.of.with_train(others).run()
            return _figures(trip, None)

        limits = {car.car.name: car.car.max_swing_deg for car in (*others.cars, own)}
        return Asked(
            guest=own.car.name,
            train=self._train.name,
            least_margin=self._session.house.guest_margin,
            before=before,
            swing_limits_deg={name: limit for name, limit in limits.items() if limit is not None},
            engines_given=bool(self._train.engines or self._train.helpers),
        )


def _figures(trip: Trip, guest: Car | None) -> Figures:
    """What a train comes to, run in full; couplers are looked at next to the guest, or everywhere without one."""
    swings = dict.fromkeys(trip.uses, 0.0)
    for leg in trip.legs:
        for coupling, pair in enumerate(itertools.pairwise((None, *leg.cars, None)), start=leg.first_car - 1):
            cars = [None if each is None else each.car for each in pair]
            limited = any(car is not None and car.max_swing_deg is not None for car in cars)
            if not limited or (guest is not None and guest not in cars) or not 0 <= coupling < len(leg.names) - 1:
                continue
            for car, swing in zip(cars, leg.swings(coupling), strict=True):
                if car is not None:
                    swings[car.name] = max(swings[car.name], degrees(asin(min(swing.sine, 1.0))))
    uses, engines = trip.uses, max(trip.power_use, trip.hold_use)
    return Figures(list(uses), np.array([[*uses.values()]]), np.array([[*swings.values()]]), np.array([engines]))
