"""How far forward a guest car may ride in a train.

The car is set in, or moved, spot by spot from the head end, all others as they stand: blocks and holds are left
aside. At the foremost spot that does, it keeps the guests' least margin, its coupler and those coupled to it swing no
farther than they can, the engines still pull the train, and no other car is put below that margin. A car below it
already may not be put lower. A spot is ruled out by a quick trial where that is sure, and every other one is run in
full, so that the spot told is the one that running every spot in full finds.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from consist.mechanics import RouteTables
from consist.screening.keep_out import keep_out_of_lines, keep_out_of_places
from consist.screening.refusals import Asked, Figures, Refused, refused
from consist.screening.results import KeepOut, RefusalCode, TrainRide
from consist.screening.running import Seen, run_in_full, tables_for
from consist.screening.setting_in import guest_in, lines_ridden, places_ridden, spots_in, train_with, train_without
from consist.screening.trial import SURELY
from consist.session import CarInTrain, Session, Train
from consist.stock import Engine

__all__ = ["TrainTonight"]

BARS: dict[str, RefusalCode] = {"radius": "radius", "height": "height", "width": "width"}
"""What on the route keeps a car out of a train whatever its spot."""


class TrainTonight:
    """A train of the session, ready to be tried with guests; `engines` are those it runs behind."""

    def __init__(
        self, session: Session, train: Train, engines: Sequence[Engine], guests: Sequence[CarInTrain]
    ) -> None:
        self._session, self._train, self._engines = session, train, tuple(engines)
        self._guests = tuple(guests)
        self._known: dict[tuple[str, ...], Figures] = {}

    def ride(self, guest: CarInTrain) -> TrainRide:
        """Where a guest car may ride in this train."""
        others = train_without(self._train, guest.car.name)
        own, in_train = guest_in(self._train, guest)
        spots = spots_in(others)
        barred = self._barred(own)
        if barred is not None:
            found: Refused | None = Refused(BARS[barred.code], f"{barred.fact}.")
            return self._ride(spots, in_train, found, found)
        asked = self._asked(others, own)
        fault = None if in_train is None else self._in_full(asked, others, own, in_train)[0]
        found = None
        for spot in spots:
            # the last spot is run in full in any case, so that a refusal is told with exact figures
            if spot != spots[-1] and self._ruled_out(asked, others, own, spot):
                continue
            found, use = self._in_full(asked, others, own, spot)
            if found is None:
                return self._ride(spots, in_train, None, fault, spot, use)
        return self._ride(spots, in_train, found, fault)

    def _ride(
        self,
        spots: range,
        in_train: int | None,
        found: Refused | None,
        fault: Refused | None,
        spot: int | None = None,
        use: float = 0.0,
    ) -> TrainRide:
        return TrainRide(
            train=self._train.name,
            spot=spot,
            spots=len(spots),
            margin=1.0 / use if use > 0.0 else None,
            in_train=in_train,
            refusal=found.code if found else None,
            why_not=found.say if found else None,
            stands_well=None if in_train is None else fault is None,
            standing_fault=fault.say if fault and in_train is not None else None,
        )

    @cached_property
    def _tables(self) -> RouteTables:
        return tables_for(self._session, self._train, self._guests)

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
        names = tuple(car.car.name for car in others.cars)
        if names not in self._known:
            self._known[names] = run_in_full(self._session, others, self._tables, self._engines)
        limits = {car.car.name: car.car.max_swing_deg for car in (*others.cars, own)}
        return Asked(
            guest=own.car.name,
            train=self._train.name,
            least_margin=self._session.house.guest_margin,
            before=self._known[names],
            swing_limits_deg={name: limit for name, limit in limits.items() if limit is not None},
            engines_given=bool(self._train.engines or self._train.helpers),
        )

    def _in_full(self, asked: Asked, others: Train, own: CarInTrain, spot: int) -> tuple[Refused | None, float]:
        """Why a spot will not do, by a full run, and the car's own side use there."""
        train = train_with(others, own, spot)
        figures = run_in_full(self._session, train, self._tables, self._engines, own.car)
        words = "the last spot" if spot == len(train.cars) else f"spot {spot}"
        return refused(asked, words, figures), figures.uses[own.car.name]

    def _ruled_out(self, asked: Asked, others: Train, own: CarInTrain, spot: int) -> bool:
        """Whether a trial is sure that a spot will not do. It looks at the car itself first, which is quicker."""
        seen = Seen(self._session, train_with(others, own, spot), self._tables, self._engines, own.car)
        if refused(asked, "", seen.of_guest, SURELY) is not None:
            return True
        return refused(asked, "", seen.of_all, SURELY) is not None
