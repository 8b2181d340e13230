"""A train with a guest car in it, run in full or tried quickly, and what it comes to."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from math import asin, degrees

from consist.mechanics import RouteTables
from consist.screening.refusals import Figures
from consist.screening.setting_in import guest_in, train_with
from consist.screening.trial import LegTrial
from consist.session import CarInTrain, Leg, Session, Train
from consist.stock import Car, Engine
from consist.trip import LegRun, leg_vehicles, limits_of, run_trip, tables_of

__all__ = ["Seen", "run_in_full", "tables_for"]


def tables_for(session: Session, train: Train, guests: Sequence[CarInTrain]) -> RouteTables:
    """Tables of a train's route that serve it with any of the guests; they read as the train's own do."""
    whole = train
    for guest in guests:
        own, in_train = guest_in(train, guest)
        if in_train is None:
            whole = train_with(whole, own, len(whole.cars) + 1)
    return tables_of(session, whole)


def run_in_full(
    session: Session, train: Train, tables: RouteTables, engines: Sequence[Engine], guest: Car | None = None
) -> Figures:
    """What a train comes to over its trip; nothing where it has no cars. Swings are those at the guest, if named."""
    if not train.cars:
        return Figures({})
    uses: dict[str, float] = {}
    swings: dict[str, float] = {}
    power = 0.0
    for leg in run_trip(session, train, tables, engines).legs:
        for vehicle, car in enumerate(leg.cars, start=leg.first_car):
            uses[car.car.name] = max(uses.get(car.car.name, 0.0), float(leg.peaks.use.value[vehicle]))
        power = max(power, float(leg.peaks.power_use.value[0]))
        _widen(swings, _swings_of(leg, guest))
    return Figures(uses, power, swings)


class Seen:
    """What a quick trial sees of a train with a guest in it; see `trial` for what that is worth."""

    def __init__(
        self, session: Session, train: Train, tables: RouteTables, engines: Sequence[Engine], guest: Car
    ) -> None:
        self._first_car, self._guest = len(engines), guest
        limits = limits_of(session)
        self._legs = [
            (
                leg,
                LegTrial(leg_vehicles(session, engines, leg.cars, train.helpers), tables, *train.leg_mm(leg), limits),
            )
            for leg in train.legs
            if leg.cars
        ]

    @cached_property
    def of_guest(self) -> Figures:
        """The guest's own side use, the engines' and the swings at the guest."""
        uses = self._uses([self._guest.name])
        power = max((trial.power_use for _, trial in self._legs), default=0.0)
        swings: dict[str, float] = {}
        for leg, trial in self._legs:
            for coupling, ahead, behind in _limited_couplings(leg, self._first_car, self._guest, len(trial.vehicles)):
                sines = trial.swing_sines(coupling)
                _widen(swings, _in_degrees(zip((ahead, behind), sines, strict=True)))
        return Figures(uses, power, swings)

    @cached_property
    def of_all(self) -> Figures:
        """The side use of every car."""
        return Figures(self._uses([car.car.name for leg, _ in self._legs for car in leg.cars]))

    def _uses(self, names: Sequence[str]) -> dict[str, float]:
        wanted = set(names)
        uses: dict[str, float] = {}
        for leg, trial in self._legs:
            for vehicle, car in enumerate(leg.cars, start=self._first_car):
                if car.car.name in wanted:
                    uses[car.car.name] = max(uses.get(car.car.name, 0.0), trial.use(vehicle))
        return uses


def _swings_of(leg: LegRun, guest: Car | None) -> dict[str, float]:
    """How far couplers swing on a leg, by car, at the guest's couplings or all, where one car has a limit."""
    swings: dict[str, float] = {}
    for coupling, ahead, behind in _limited_couplings(leg.leg, leg.first_car, guest, len(leg.vehicles)):
        sines = (float(peak.value[coupling]) for peak in (leg.peaks.swing_ahead, leg.peaks.swing_behind))
        _widen(swings, _in_degrees(zip((ahead, behind), sines, strict=True)))
    return swings


def _limited_couplings(
    leg: Leg, first_car: int, guest: Car | None, vehicles: int
) -> Iterator[tuple[int, Car | None, Car | None]]:
    """Couplings by number with the cars ahead and behind, where one of the two has a limit of swing.

    They are those of the guest, or all of the leg's where no guest is named.
    """
    cars = [car.car for car in leg.cars]
    for behind in range(len(cars) + 1):
        pair = [cars[k] if 0 <= k < len(cars) else None for k in (behind - 1, behind)]
        if guest is not None and guest not in pair:
            continue
        limited = any(car is not None and car.max_swing_deg is not None for car in pair)
        coupling = first_car + behind - 1
        if limited and 0 <= coupling < vehicles - 1:
            yield coupling, pair[0], pair[1]


def _in_degrees(sines: Iterator[tuple[Car | None, float]]) -> dict[str, float]:
    return {car.name: degrees(asin(min(sine, 1.0))) for car, sine in sines if car is not None}


def _widen(swings: dict[str, float], more: dict[str, float]) -> None:
    for car, swing in more.items():
        swings[car] = max(swings.get(car, 0.0), swing)
