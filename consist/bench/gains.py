"""What tonight's trains gain when cars are brought to other weights: wider margins, and engines that are spared.

A margin is 1 / the greatest side use of a train's cars, infinite where they feel no side pull. Trains are run behind
the same engines before and after.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import inf, isfinite

from consist.bench.results import BenchCar, ExtraEngine
from consist.session import CarInTrain, Session, Train
from consist.stock import FAR_UNDER, Car
from consist.tolerances import lighter
from consist.trains import Trip, prepared

__all__ = ["Evening", "extra_engines", "reweighed", "shown"]


@dataclass(frozen=True)
class Evening:
    """Tonight's trains as they stand, each run once."""

    session: Session

    @cached_property
    def trips(self) -> dict[str, Trip]:
        """Each train run as it stands."""
        return {train.name: prepared(self.session, train).run() for train in self.session.trains}

    @cached_property
    def standing(self) -> dict[str, float]:
        """Each train's margin as it stands."""
        return {name: _margin(trip) for name, trip in self.trips.items()}

    def trains_of(self, car: str) -> list[Train]:
        """The trains that a car rides in, in the session's order."""
        return [train for train in self.session.trains if any(place.car.name == car for place in train.cars)]

    def margin(self, train: Train, weights_g: Mapping[str, float]) -> float:
        """A train's margin with those cars at those weights, empty."""
        return _margin(self._trip(train, weights_g))

    def _trip(self, train: Train, weights_g: Mapping[str, float]) -> Trip:
        return prepared(self.session, train).with_train(reweighed(train, weights_g)).run()

    def with_gain(self, car: BenchCar) -> BenchCar:
        """The car with what bringing it alone to its target gains: its worst train, and the worst of all trains.

        A gain from or to a margin without end is None. The useful gain counts only as far as the house's care margin:
        past it a train has all it needs.
        """
        trips = {train.name: self._trip(train, {car.car: car.target_g}) for train in self.trains_of(car.car)}
        if not trips:
            return car
        new = {name: _margin(trip) for name, trip in trips.items()}
        worst = min(new, key=self.standing.__getitem__)
        before, after = self.standing[worst], min(new.values())
        house = self.session.house
        care = house.care_margin
        # where the margin falls, it is the car pulled harder then that feels it
        worst_car, worst_place = _worst_of(
            trips[min(new, key=new.__getitem__)] if after < before else self.trips[worst]
        )
        return replace(
            car,
            worst_train=worst,
            margin=shown(before),
            margin_after=shown(after),
            gain=_difference(before, after),
            useful_gain=min(after, care) - min(before, care),
            evening_gain=_difference(min(self.standing.values()), min({**self.standing, **new}.values())),
            worst_car=worst_car,
            worst_place=worst_place,
            level=house.level_of(self.trips[worst].worst_use),
            level_after=house.level_of(max(trip.worst_use for trip in trips.values())),
            far_under_in=tuple(
                train.name
                for train in self.trains_of(car.car)
                if any(one.car.name == car.car and _far_under(one) for one in train.cars)
            ),
        )


def _far_under(car: CarInTrain) -> bool:
    """Whether the check takes care of a car because of its weight as it runs."""
    return lighter(car.weight_g, (1.0 - FAR_UNDER) * car.car.target_g)


def _margin(trip: Trip) -> float:
    return 1.0 / trip.worst_use if trip.worst_use > 0 else inf


def _worst_of(trip: Trip) -> tuple[str | None, str | None]:
    """The car that a train's margin is that of, and where it is then."""
    if trip.worst_car is None:
        return None, None
    leg, vehicle, head_mm = trip.worst_car
    return leg.cars[vehicle - leg.first_car].car.name, trip.place_of(leg, vehicle, head_mm)


def extra_engines(session: Session, heavy: Collection[str]) -> tuple[ExtraEngine, ...]:
    """By train the cars of those named whose weight over their target costs engines.

    Each car is tried alone; where none alone saves an engine, all of them together. The engines are of the lead
    engine's class, or of the class that needs the fewest where the train has none.
    """
    found: list[ExtraEngine] = []
    for train in session.trains:
        cars = [place.car for place in train.cars if place.car.name in heavy]
        alone = [one for car in cars if (one := _saving(session, train, [car]))]
        found += alone or filter(None, [_saving(session, train, cars)])
    return tuple(found)


def _saving(session: Session, train: Train, cars: Sequence[Car]) -> ExtraEngine | None:
    of = prepared(session, train)
    needed = {name: inf if number is None else number for name, number in of.needed.items()}
    own = (engine.engine_class for engine in (*train.engines, *train.helpers) if engine.engine_class in needed)
    name = next(own, min(needed, key=lambda name: (needed[name], name), default=None))
    if name is None or not cars:
        return None
    without = of.with_train(reweighed(train, {car.name: car.target_g for car in cars})).fewest(name)
    if without is None or without >= needed[name]:
        return None
    excess = sum(car.weight_g - car.target_g for car in cars)
    return ExtraEngine(train.name, tuple(car.name for car in cars), excess, name, of.needed[name], without)


def reweighed(train: Train, weights_g: Mapping[str, float]) -> Train:
    """The train with those cars at those weights, empty; loads stay as they are."""
    cars = tuple(
        replace(place, car=replace(place.car, weight_g=weights_g[place.car.name]))
        if place.car.name in weights_g
        else place
        for place in train.cars
    )
    return replace(train, cars=cars)


def shown(margin: float) -> float | None:
    """A margin as results hold it: None where it has no end."""
    return margin if isfinite(margin) else None


def _difference(before: float, after: float) -> float | None:
    if before == after:
        return 0.0
    return after - before if isfinite(before) and isfinite(after) else None
