"""Which spots of a train a guest car may ride in.

The car is set in, or moved, into every spot, all others as they stand: blocks and holds are left aside. A spot does
where it keeps the guests' least margin, its coupler and those coupled to it swing no farther than they can, the
engines still move the train, and no other car is put below that margin. A car below it already may not be put lower.
Spots are tried all at once at the hard places of the route; one that is not far within every limit there is run in
full.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from functools import cached_property
from math import asin, degrees

from consist.mechanics import swing_peaks
from consist.screening.keep_out import keep_out_of_lines, keep_out_of_places
from consist.screening.refusals import Asked, Figures, Refused, refused
from consist.screening.results import KeepOut, RefusalCode, TrainRide
from consist.screening.setting_in import guest_in, lines_ridden, places_ridden, spots_in, train_with, train_without
from consist.screening.trial import SpotTrial, TrainStanding
from consist.session import CarInTrain, Session, Train
from consist.stock import Car
from consist.trains import Prepared, Trip, prepared

__all__ = ["TrainTonight"]

BARS: dict[str, RefusalCode] = {"radius": "radius", "height": "height", "width": "width"}
"""What on the route keeps a car out of a train whatever its spot."""
FAR_WITHIN = 0.8
"""A figure seen at hard places below this share of its limit is within it: they miss a sixth at most."""


class TrainTonight:
    """A train of the session, ready to be tried with guests."""

    def __init__(self, session: Session, train: Train) -> None:
        self._session, self._train = session, train
        self._standing: dict[str | None, TrainStanding] = {}
        self._swings: dict[tuple[float, ...], tuple[float, float]] = {}

    def ride(self, guest: CarInTrain) -> TrainRide:
        """Where a guest car may ride in this train."""
        own, in_train = guest_in(self._train, guest)
        others = self._without(own, in_train)
        spots = spots_in(others.of.train)
        barred = self._barred(own)
        if barred is not None:
            found = Refused(BARS[barred.code], f"{barred.fact}.")
            return self._ride(len(spots), in_train, {}, found, found)
        asked = self._asked(others, own)
        does: dict[int, float] = {}
        fault: Refused | None = None
        for spot, trial in zip(spots, others.tried(own, spots), strict=True):
            no, use = self._judged(asked, others, own, spot, trial)
            if no is None and not does:
                # the foremost is told with its margin, so with exact figures
                no, use = self._judged(asked, others, own, spot, None)
            if no is None:
                does[spot] = use
            elif spot == in_train:
                fault = self._judged(asked, others, own, spot, None)[0] or no
        # a refusal is told of the last spot, with exact figures
        last = None if does else self._judged(asked, others, own, spots[-1], None)[0]
        return self._ride(len(spots), in_train, does, last, fault)

    def _ride(
        self,
        spots: int,
        in_train: int | None,
        does: Mapping[int, float],
        no: Refused | None,
        fault: Refused | None,
    ) -> TrainRide:
        use = next(iter(does.values()), 0.0)
        return TrainRide(
            train=self._train.name,
            stands=tuple(does),
            spots=spots,
            margin=1.0 / use if use > 0.0 else None,
            in_train=in_train,
            refusal=no.code if no else None,
            why_not=no.say if no else None,
            stands_well=None if in_train is None else fault is None,
            standing_fault=fault.say if fault and in_train is not None else None,
        )

    @cached_property
    def _whole(self) -> Prepared:
        return prepared(self._session, self._train)

    def _without(self, own: CarInTrain, in_train: int | None) -> TrainStanding:
        """The train without the guest, as it stands."""
        key = None if in_train is None else own.car.name
        if key not in self._standing:
            others = train_without(self._train, own.car.name)
            self._standing[key] = TrainStanding(self._whole.with_train(others))
        return self._standing[key]

    def _barred(self, own: CarInTrain) -> KeepOut | None:
        """The first line or place of the route that the car must not pass."""
        layout = self._session.layout
        places = [layout.places[name] for name in places_ridden(self._train, own)]
        passed = [
            *keep_out_of_lines(own.car, lines_ridden(self._train, own), layout.unit),
            *keep_out_of_places(own.car, places, layout.unit),
        ]
        return next((each for each in passed if each.barred and each.code in BARS), None)

    def _asked(self, others: TrainStanding, own: CarInTrain) -> Asked:
        cars = others.of.train.cars
        limits = {car.car.name: car.car.max_swing_deg for car in (*cars, own)}
        before = (
            Figures(others.trip.uses, _engines(others.trip), self._swings_in(others.of.train, None)) if cars else None
        )
        return Asked(
            guest=own.car.name,
            train=self._train.name,
            least_margin=self._session.house.guest_margin,
            before=before or Figures({}),
            swing_limits_deg={name: limit for name, limit in limits.items() if limit is not None},
            engines_given=bool(self._train.engines or self._train.helpers),
        )

    def _judged(
        self,
        asked: Asked,
        others: TrainStanding,
        own: CarInTrain,
        spot: int,
        trial: SpotTrial | None,
    ) -> tuple[Refused | None, float]:
        """Why a spot will not do, None where it does, and the car's own side use there; in full without a trial."""
        train = train_with(others.of.train, own, spot)
        words = "the last spot" if spot == len(train.cars) else f"spot {spot}"
        swings = self._swings_in(train, own.car)
        if trial is not None:
            seen = Figures(trial.uses, trial.engine_share, swings)
            no = refused(asked, words, seen)
            if no is not None or _far_within(asked, seen):
                return no, trial.uses[own.car.name]
        trip = others.of.with_train(train).run()
        figures = Figures(trip.uses, _engines(trip), swings)
        return refused(asked, words, figures), trip.uses[own.car.name]

    def _swings_in(self, train: Train, guest: Car | None) -> dict[str, float]:
        """How far couplers swing at most, in degrees by car, where a car has a limit: at the guest, or anywhere."""
        swings: dict[str, float] = {}
        for leg in train.legs:
            ahead_mm = sum(engine.coupled_length_mm for engine in self._whole.engines)
            for ahead, behind in itertools.pairwise([None, *leg.cars, None]):
                pair = [None if car is None else car.car for car in (ahead, behind)]
                limits = [None if car is None else car.max_swing_deg for car in pair]
                ahead_mm += 0.0 if pair[0] is None else pair[0].coupled_length_mm
                if (guest is not None and guest not in pair) or not any(limits):
                    continue
                found = self._pair_swings(ahead, behind, None)
                if any(limit is not None and swing > limit for swing, limit in zip(found, limits, strict=True)):
                    # on the whole route it may swing farther than where it comes to in this train
                    from_mm, to_mm = train.leg_mm(leg)
                    found = self._pair_swings(ahead, behind, (from_mm - ahead_mm, to_mm - ahead_mm))
                for car, swing in zip(pair, found, strict=True):
                    if car is not None:
                        swings[car.name] = max(swings.get(car.name, 0.0), swing)
        return swings

    def _pair_swings(
        self, ahead: CarInTrain | None, behind: CarInTrain | None, faces_mm: tuple[float, float] | None
    ) -> tuple[float, float]:
        """How far the coupling of two cars, or of a car and an engine, swings at most, in degrees.

        The face between them goes from one distance along the route to another, or all along it.
        """
        lead = self._whole.engines[-1:] if ahead is None else ()
        rear = self._train.helpers[:1] if behind is None else ()
        pair = self._whole.arrays(lead, [car for car in (ahead, behind) if car is not None], rear)
        if len(pair) < 2:
            return 0.0, 0.0
        first, last = (-pair.total_length_mm, self._train.route.length_mm) if faces_mm is None else faces_mm
        key = tuple(map(float, (*pair.length_mm, *pair.truck_centers_mm, *pair.pivot_mm, first, last)))
        if key not in self._swings:
            length = float(pair.length_mm[0])
            peaks = swing_peaks(pair, 0, self._whole.tables, first + length, last + length)
            self._swings[key] = _degrees(peaks[0][0]), _degrees(peaks[1][0])
        return self._swings[key]


def _engines(trip: Trip) -> float:
    """The greatest share that a train's engines give of what they can pull or hold back."""
    return max(trip.power_use, trip.hold_use)


def _far_within(asked: Asked, seen: Figures) -> bool:
    """Whether every figure is so far within its limit that a full run can only confirm it."""
    powered = not asked.engines_given or asked.before.power_use > 1.0 or seen.power_use <= FAR_WITHIN
    return powered and all(use * asked.least_margin <= FAR_WITHIN for use in seen.uses.values())


def _degrees(sine: float) -> float:
    return degrees(asin(min(sine, 1.0)))
