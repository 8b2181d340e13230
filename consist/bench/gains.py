"""What tonight's trains gain when cars are brought to other weights: wider margins, and engines that are spared.

A margin is 1 / the greatest side use of a train's cars, infinite where they feel no side pull. Trains are run behind
the same engines before and after.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf, isfinite

from consist.bench.results import BenchCar, ExtraEngine
from consist.session import Session, Train
from consist.stock import Car
from consist.trains import prepared

__all__ = ["Evening", "extra_engines", "reweighed", "shown"]


@dataclass
class Evening:
    """Tonight's trains as they stand, each run once."""

    session: Session

    def __post_init__(self) -> None:
        self._standing: dict[str, float] = {}
        self._trains: dict[str, list[Train]] = {}
        for train in self.session.trains:
            for name in dict.fromkeys(car.car.name for car in train.cars):
                self._trains.setdefault(name, []).append(train)

    def trains_of(self, car: str) -> tuple[Train, ...]:
        """The trains that a car rides in, in the session's order."""
        return tuple(self._trains.get(car, ()))

    def standing(self, train: Train) -> float:
        """A train's margin as it stands."""
        if train.name not in self._standing:
            self._standing[train.name] = self.margin(train, {})
        return self._standing[train.name]

    def margin(self, train: Train, weights_g: Mapping[str, float]) -> float:
        """A train's margin with those cars at those weights, empty."""
        use = prepared(self.session, train).with_train(reweighed(train, weights_g)).run().worst_use
        return 1.0 / use if use > 0 else inf

    def with_gain(self, car: BenchCar) -> BenchCar:
        """The car with what bringing it alone to its target gains: its worst train, and the worst of all trains.

        A gain from or to a margin without end is None. The useful gain counts only as far as the house's care margin:
        past it a train has all it needs.
        """
        riding = self.trains_of(car.car)
        if not riding:
            return car
        worst = min(riding, key=self.standing)
        before = self.standing(worst)
        new = {train.name: self.margin(train, {car.car: car.target_g}) for train in riding}
        after = min(new.values())
        care = self.session.house.care_margin
        all_before = {train.name: self.standing(train) for train in self.session.trains}
        return replace(
            car,
            worst_train=worst.name,
            margin=shown(before),
            margin_after=shown(after),
            gain=_difference(before, after),
            useful_gain=min(after, care) - min(before, care),
            evening_gain=_difference(min(all_before.values()), min({**all_before, **new}.values())),
        )


def extra_engines(session: Session, heavy: Collection[str]) -> tuple[ExtraEngine, ...]:
    """By train the cars of those named whose weight over their target costs engines.

    Each car is tried alone; where none alone saves an engine, all of them together. The engines are of the lead
    engine's class, or of the class that needs the fewest where the train has none.
    """
    found: list[ExtraEngine] = []
    for train in session.trains:
        cars = [place.car for place in train.cars if place.car.name in heavy]
        tries = [[car] for car in cars], [cars] if len(cars) > 1 else []
        savings = ([one for few in each if (one := _saving(session, train, few))] for each in tries)
        found += next(filter(None, savings), [])
    return tuple(found)


def _class(train: Train, needed: Mapping[str, int | None]) -> str | None:
    for engine in (*train.engines, *train.helpers):
        if engine.engine_class in needed:
            return engine.engine_class
    return min(needed, key=lambda name: (_count(needed[name]), name), default=None)


def _saving(session: Session, train: Train, cars: Sequence[Car]) -> ExtraEngine | None:
    needed = prepared(session, train).needed
    name = _class(train, needed)
    if name is None:
        return None
    now = needed[name]
    lighter = reweighed(train, {car.name: car.target_g for car in cars})
    without = prepared(session, train).with_train(lighter).fewest(name)
    if without is None or without >= _count(now):
        return None
    excess = sum(car.weight_g - car.target_g for car in cars)
    return ExtraEngine(train.name, tuple(car.name for car in cars), excess, name, now, without)


def _count(engines: int | None) -> float:
    return inf if engines is None else engines


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
