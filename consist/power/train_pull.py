"""What any engines have in hand over the whole route of one train, and which combinations of classes move it."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from consist.mechanics import MOVES, Hauling
from consist.power.results import Combo, Tightest
from consist.session import CarInTrain, Train
from consist.stock import Engine
from consist.trains import Prepared, weakest

__all__ = ["ComboList", "TrainPull", "Worst", "in_order", "made_up", "minimal_combos"]

MOST_TOGETHER = 6
"""The most engines that are put on one train together."""
MOST_COMBOS = 250
"""As many are listed for one train: more than any four classes have, fewer than engines without classes may."""
MOST_TRIED = 6000


@dataclass(frozen=True)
class Worst:
    """The greatest share of what engines can pull, or hold back where it `holds`, that is asked of them.

    It is infinite where they can do nothing. `clears_g` is the least pull to spare in gram-force, and `head_mm` where
    the head is then along the route.
    """

    use: float
    clears_g: float
    head_mm: float
    holds: bool = False

    @property
    def moves(self) -> bool:
        """Whether the engines move the train, and hold it, everywhere."""
        return self.use <= MOVES


@dataclass(frozen=True)
class TrainPull:
    """One train of a session, ready to be tried behind any engines."""

    of: Prepared

    @property
    def train(self) -> Train:
        """The train."""
        return self.of.train

    def with_cars(self, cars: Sequence[CarInTrain]) -> TrainPull:
        """The same train with some of its cars only."""
        return TrainPull(self.of.in_order(cars))

    def worst(
        self, engines: Sequence[Engine], helpers: Sequence[Engine] = (), between: tuple[float, float] | None = None
    ) -> Worst:
        """The worst of the route, or of its stretch from one distance to another (mm), behind those engines."""
        return _worst(self.of.hauled(engines, helpers, between))

    def short_at(self, engines: Sequence[Engine], helpers: Sequence[Engine]) -> list[float]:
        """The heads (mm) that were looked at where the engines cannot move the train or hold it."""
        along = self.of.hauled(engines, helpers)
        return [float(head) for leg in along for head in leg.heads_mm[np.abs(leg.engine_share) > MOVES]]

    def tightest(self, worst: Worst) -> Tightest:
        """Where that is."""
        return Tightest(self.train.route.place_at(worst.head_mm), worst.head_mm)

    def moved_by(self, engines: Sequence[Engine]) -> Worst | None:
        """The worst of the route behind engines that move the train; None for engines that do not."""
        along = self.of.moved_by(engines)
        return None if along is None else _worst(along)

    def use(self, engines: Sequence[Engine], helpers: Sequence[Engine]) -> tuple[float | None, Tightest | None]:
        """The greatest use and where that is; None for both without an engine, for use where they have no pull."""
        if not engines and not helpers:
            return None, None
        worst = self.worst(engines, helpers)
        return worst.use if np.isfinite(worst.use) else None, self.tightest(worst)

    def strongest(self, engines: Iterable[Engine]) -> tuple[Engine, ...]:
        """The engines of those that do the most together: strongest first, as long as one more lowers the use."""
        chosen: list[Engine] = []
        least = np.inf
        for engine in sorted(engines, key=lambda engine: (-engine.pull_g, engine.name))[:MOST_TOGETHER]:
            use = self.worst([*chosen, engine]).use
            if use < least:
                chosen.append(engine)
                least = use
        return in_order(chosen)


def _worst(along: Sequence[Hauling]) -> Worst:
    """The worst of all legs; where nothing is asked of the engines, the place with the least pull to spare."""
    if not along:
        return Worst(0.0, np.inf, 0.0)
    heads, shares, clears = (
        np.concatenate(arrays)
        for arrays in zip(*((leg.heads_mm, leg.engine_share, leg.clears_g) for leg in along), strict=True)
    )
    asked = np.abs(shares)
    at = int(np.argmax(asked)) if asked.any() else int(np.argmin(clears))
    return Worst(float(asked[at]), float(clears.min()), float(heads[at]), bool(shares[at] < 0.0))


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
