"""A train without times, planned by itself.

Without times no engine can be shown to be free or elsewhere. So the rule is: a train without times may have any
engine whose home is its first place, or that has no home. Of these it takes a combination with the fewest engines,
those first that have the fewest other trips.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from consist.power.results import Combo
from consist.session import Train
from consist.stock import Engine

__all__ = ["alone"]


def alone(
    train: Train, combos: Iterable[Combo], engines: Iterable[Engine], trips: Mapping[str, int]
) -> tuple[Engine, ...]:
    """The engines for a train without times, none where those of its first place make up no combination.

    `trips` counts the trips each engine has already, by name.
    """
    there = [engine for engine in engines if engine.home in ("", train.route.stops[0])]
    there.sort(key=lambda engine: (trips.get(engine.name, 0), not engine.home, engine.name))
    found: list[tuple[Engine, ...]] = []
    for combo in combos:
        picked = [
            engine
            for name, number in combo.classes.items()
            for engine in [one for one in there if one.engine_class == name][:number]
        ]
        if len(picked) == combo.engines:
            found.append(tuple(sorted(picked, key=lambda engine: (engine.engine_class, engine.name))))
    return min(found, key=lambda picked: (len(picked), sum(trips.get(one.name, 0) for one in picked)), default=())
