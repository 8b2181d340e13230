"""The combinations of classes that move a train, with no engine to spare."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from consist.power.results import Combo
from consist.power.train_pull import MOST_TOGETHER, TrainPull
from consist.stock import Engine
from consist.trains import weakest

__all__ = ["ComboList", "combo_engines", "in_order", "made_up", "minimal_combos"]

MOST_COMBOS = 250
"""As many are listed for one train: more than any four classes have, fewer than engines without classes may."""
MOST_TRIED = 6000

Counts = tuple[int, ...]


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
    names = sorted(name for name, owned in classes.items() if owned)
    found: list[Counts] = []
    combos: list[Combo] = []
    tried = 0
    for counts in _counts([min(len(classes[name]), MOST_TOGETHER) for name in names]):
        if any(all(part <= whole for part, whole in zip(less, counts, strict=True)) for less in found):
            continue
        if tried == MOST_TRIED or len(combos) == MOST_COMBOS:
            return ComboList(tuple(combos), complete=False)
        tried += 1
        number = {name: count for name, count in zip(names, counts, strict=True) if count}
        combo = _tried(train, number, combo_engines(number, classes))
        if combo is not None:
            found.append(counts)
            combos.append(combo)
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


def combo_engines(number: Mapping[str, int], classes: Mapping[str, Sequence[Engine]]) -> tuple[Engine, ...]:
    """The engines that stand for a combination: as many as it has of the weakest of each class."""
    return tuple(weakest(tuple(classes[name])) for name in sorted(number) for _ in range(number[name]))


def _counts(most: Sequence[int]) -> Iterator[Counts]:
    """Every choice of counts up to those, fewest in all first, and of equals the most of the first class first."""
    for total in range(1, MOST_TOGETHER + 1):
        yield from _summing_to(total, most)


def _summing_to(total: int, most: Sequence[int]) -> Iterator[Counts]:
    if not most:
        if total == 0:
            yield ()
        return
    for count in range(min(total, most[0]), -1, -1):
        for rest in _summing_to(total - count, most[1:]):
            yield (count, *rest)


def _tried(train: TrainPull, number: Mapping[str, int], engines: Sequence[Engine]) -> Combo | None:
    worst = train.moved_by(engines)
    return None if worst is None else Combo(number, worst.use, worst.clears_g, train.tightest(worst))
