"""Cars so heavy that a train needs another engine for them."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from math import inf

from consist.bench.gains import reweighed
from consist.bench.results import ExtraEngine
from consist.session import Session, Train
from consist.stock import Car
from consist.trains import prepared

__all__ = ["extra_engines"]


def extra_engines(session: Session, heavy: Collection[str]) -> tuple[ExtraEngine, ...]:
    """By train the cars of those named whose weight over their target costs engines.

    Each car is tried alone; where none alone saves an engine, all of them together. The engines are of the lead
    engine's class, or of the class that needs the fewest where the train has none.
    """
    found: list[ExtraEngine] = []
    for train in session.trains:
        cars = {place.car.name: place.car for place in train.cars if place.car.name in heavy}
        if not cars:
            continue
        now = prepared(session, train).needed
        name = _class(train, now)
        if name is None:
            continue
        alone = [one for car in cars.values() if (one := _saving(session, train, [car], name, now[name]))]
        if not alone and len(cars) > 1:
            together = _saving(session, train, list(cars.values()), name, now[name])
            alone = [together] if together is not None else []
        found.extend(alone)
    return tuple(found)


def _class(train: Train, needed: Mapping[str, int | None]) -> str | None:
    for engine in (*train.engines, *train.helpers):
        if engine.engine_class in needed:
            return engine.engine_class
    return min(needed, key=lambda name: (_count(needed[name]), name), default=None)


def _saving(session: Session, train: Train, cars: list[Car], name: str, now: int | None) -> ExtraEngine | None:
    lighter = reweighed(train, {car.name: car.target_g for car in cars})
    without = prepared(session, train).with_train(lighter).fewest(name)
    if without is None or without >= _count(now):
        return None
    excess = sum(car.weight_g - car.target_g for car in cars)
    return ExtraEngine(train.name, tuple(car.name for car in cars), excess, name, now, without)


def _count(engines: int | None) -> float:
    return inf if engines is None else engines
