"""How many engines of each class a train needs."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from consist.mechanics import RouteTables
from consist.mechanics.pulling import pulling
from consist.session import Session, Train
from consist.stock import Engine
from consist.trip import MOST_ENGINES, leg_vehicles

__all__ = ["engines_needed", "fewest_class", "weakest"]


def weakest(engines: tuple[Engine, ...]) -> Engine:
    """The engine of a class with the least pull, so that any of the class will do in its place."""
    return min(engines, key=lambda engine: (engine.pull_g, -engine.weight_g, engine.name))


def engines_needed(session: Session, train: Train, tables: RouteTables) -> dict[str, int | None]:
    """For each class of the roster, the fewest engines of it that move the train all the way; None if no number.

    All stand at the head end and are part of the train, and what they can use covers the cars' resistance at
    every position of the head, on every leg.
    """
    return {name: _fewest(session, train, tables, weakest(engines)) for name, engines in session.classes.items()}


def fewest_class(needed: Mapping[str, int | None]) -> tuple[str, int] | None:
    """The class that needs the fewest engines, and how many; of equals the first by name."""
    possible = [(number, name) for name, number in needed.items() if number is not None]
    if not possible:
        return None
    number, name = min(possible)
    return name, number


def _fewest(session: Session, train: Train, tables: RouteTables, engine: Engine) -> int | None:
    number = 1
    for leg in train.legs:
        while True:
            arrays = leg_vehicles(session, [engine] * number, leg.cars, [])
            seen = pulling(arrays, tables, *train.leg_mm(leg))
            tightest = float(np.max(seen.use, initial=0.0))
            if tightest <= 1.0:
                break
            # on a short bump one engine may have no pull to use where two have some, so go on even then
            if number >= MOST_ENGINES:
                return None
            number += 1
    return number
