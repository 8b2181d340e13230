"""The combinations of classes that move a train, with no engine to spare."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from consist.power.results import Combo
from consist.power.train_pull import MOST_TOGETHER, TrainPull
from consist.stock import Engine
from consist.trains import weakest

__all__ = ["ComboList", "in_order", "made_up", "minimal_combos"]

MOST_COMBOS = 250
"""As many are listed for one train: more than any four classes have, fewer than engines without classes may."""
MOST_TRIED = 6000


@dataclass(frozen=True)
class ComboList:
    """The minimal combinations of one train; `complete` is false where there may be more than were looked for."""

    combos: tuple[Combo, ...]
    complete: bool


def minimal_combos(train: TrainPull, classes: Mapping[str, Sequence[Engine]]) -> ComboList:
    """Every combination of classes that moves the train all the way and of which no part does.

    No class is used past the engines owned, and no more than six engines go together. All stand at the head end,
    in order of their classes' names, and the weakest engine of a class stands for each of it. Fewest engines
    first, equals by class.
    """
    weak = {name: weakest(owned) for name, owned in sorted(classes.items()) if owned}
    combos: list[Combo] = []
    tried = 0
    sets = (itertools.combinations_with_replacement(weak, total) for total in range(1, MOST_TOGETHER + 1))
    for names in itertools.chain.from_iterable(sets):
        number = Counter(names)
        too_many = any(count > len(classes[name]) for name, count in number.items())
        if too_many or any(number >= Counter(combo.classes) for combo in combos):
            continue
        if tried == MOST_TRIED or len(combos) == MOST_COMBOS:
            return ComboList(tuple(combos), complete=False)
        tried += 1
        worst = train.moved_by([weak[name] for name in names])
        if worst is not None:
            combos.append(Combo(dict(number), worst.use, worst.clears_g, train.tightest(worst)))
    return ComboList(tuple(combos), complete=True)


def in_order(engines: Iterable[Engine]) -> tuple[Engine, ...]:
    """Engines in order of class and name."""
    return tuple(sorted(engines, key=lambda engine: (engine.engine_class, engine.name)))


def made_up(combo: Combo, *pools: Sequence[Engine]) -> list[Engine] | None:
    """Engines for a combination, those of the first pool before those of the next; None where there are too few."""
    of_classes = [
        [engine for pool in pools for engine in pool if engine.engine_class == name][:number]
        for name, number in combo.classes.items()
    ]
    found = [engine for engines in of_classes for engine in engines]
    return found if len(found) == combo.engines else None
