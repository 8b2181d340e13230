"""How sure a train's figures are: their ranges over draws of what was not measured, and what to measure first."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from consist.house import House
from consist.learning.effects import Effects
from consist.learning.spread import COUNT, HOLDS, Unknowns, What, unknowns_of
from consist.mechanics import MOVES
from consist.trains import AtDraws, Prepared, Trip, at_draws
from consist.wording import percent

__all__ = ["Figure", "ToMeasure", "TrainRange", "narrowing", "range_of"]

Floats = NDArray[np.float64]

Figure = Literal["margin", "power use", "hold use"]
Ends = tuple[float | None, float | None]
FIRST, LAST = (round((COUNT - 1) * share) for share in (0.5 - 0.5 * HOLDS, 0.5 + 0.5 * HOLDS))
"""The numbers of the draws, from the least, between which nine tenths lie."""
TOLD, MOST_TOLD = 0.02, 8
"""What narrows a range by less than this share of it is not told, nor more than so many things."""
LEAST, MOST = 1e-6, 1e3
"""Shares below and above these are as these where their logarithms are taken."""
BY_HAND: frozenset[What] = frozenset({"rolling", "weight", "truck centers", "pull"})
"""What can be measured with what a hobbyist has; running alone teaches the rest."""
WORDS: dict[What, tuple[str, str]] = {
    "rolling": ("how its cars roll", "how {} rolls"),
    "weight": ("what its cars weigh", "what {} weighs"),
    "truck centers": ("its cars' truck centers", "the truck centers of {}"),
    "pull": ("what its engines pull", "what engine {} pulls"),
    "curve resistance": ("what curves add", ""),
    "flange drag": ("what side loads cost", ""),
    "flange friction": ("the friction of flanges", ""),
    "flange angle": ("the angle of flanges", ""),
    "helper's part": ("the helper's part of the load", ""),
}
"""What may be measured, of all and of one."""


@dataclass(frozen=True)
class ToMeasure:
    """Something that is not known, and by what share the range of a figure (`of`) narrows once it is.

    `name` is a car's or an engine's, None for what all have in common; of `rolling` that is of all cars together.
    """

    what: What
    name: str | None
    narrows: float
    of: Figure

    @property
    def by_hand(self) -> bool:
        """Whether it can be measured with what a hobbyist has."""
        return self.what in BY_HAND

    @property
    def words(self) -> str:
        """What is to be measured.

        >>> ToMeasure("rolling", "QTR 1", 0.2, "margin").words, ToMeasure("rolling", None, 0.2, "margin").words
        ('how QTR 1 rolls', 'how its cars roll')
        """
        of_all, of_one = WORDS[self.what]
        return of_all if self.name is None else of_one.format(self.name)


@dataclass(frozen=True)
class TrainRange:
    """Between what figures nine tenths of a train's draws lie, from the least to the greatest, and how many hold.

    `margin` is None where no car feels any side pull, `power_use` where no engine is named; an end without a figure
    is None. `hold_share` is the share of draws on hold by the house's hold_margin, or since engines of the train's
    own cannot pull or hold it; what else holds a train is not drawn. `measure` tells what would narrow the range
    most, of the one figure that comes nearest to holding the train.
    """

    margin: Ends | None
    hold_share: float
    power_use: Ends | None
    measure: tuple[ToMeasure, ...]

    @property
    def first(self) -> ToMeasure | None:
        """What to measure first, None where nothing that can be measured would narrow the range."""
        return next((one for one in self.measure if one.by_hand), None)

    @property
    def to_do(self) -> str:
        """What would make the verdict surer, in words after a semicolon."""
        first, most = self.first, next(iter(self.measure), None)
        if first is None:
            main = "much of it" if most is None else f"{most.words} most of all"
            return f"{main} is what running alone teaches, so watch its first run"
        told = f"measure {first.words}, which narrows the range of its {first.of} by {percent(first.narrows)}"
        if most is None or most.by_hand:
            return told
        return f"{told}, where {most.words}, which running alone teaches, narrows it by {percent(most.narrows)}"


def range_of(of: Prepared, trip: Trip) -> TrainRange:
    """The ranges of a train's figures, from its trip as it is.

    >>> import consist
    >>> from consist.trains import prepared
    >>> session = consist.load("sample_sessions/sunday_shelf")
    >>> train = prepared(session, session.train("Quarry Mixed 3"))
    >>> found = range_of(train, train.run())
    >>> [round(end, 1) for end in found.margin], round(found.hold_share, 1)
    ([0.8, 1.9], 0.3)
    """
    known = unknowns_of(of)
    return ranged(of, known, at_draws(of, trip, known.draws))


def ranged(of: Prepared, known: Unknowns, at: AtDraws) -> TrainRange:
    """The ranges, from what a train comes to in each draw."""
    house = of.session.house
    named = any(not engine.stands_in for engine in (*of.engines, *of.train.helpers))
    nearness: dict[Figure, Floats] = {"margin": at.side_use * house.hold_margin}
    if named and (of.train.engines or of.train.helpers):
        nearness |= {"power use": at.power_use, "hold use": at.hold_use}
    engine_use = np.max([np.zeros(COUNT), *(use for figure, use in nearness.items() if figure != "margin")], axis=0)
    nearest = max(nearness, key=lambda figure: _ends(nearness[figure])[1])
    least, most = _ends(at.side_use)
    return TrainRange(
        margin=(1.0 / most, 1.0 / least if least > 0.0 else None) if most > 0.0 else None,
        hold_share=sum(map(partial(_holds, house), at.side_use.tolist(), engine_use.tolist())) / COUNT,
        power_use=_told_ends(at.power_use) if named else None,
        measure=narrowing(known, np.log(np.clip(nearness[nearest], LEAST, MOST)), nearest),
    )


def _holds(house: House, side_use: float, engine_use: float) -> bool:
    return house.level_of(side_use) == "hold" or engine_use > MOVES


def narrowing(known: Unknowns, logs: Floats, of: Figure) -> tuple[ToMeasure, ...]:
    """What narrows the range of a figure most once it is known, from the figure's logarithm in each draw.

    What each thing does to the figure in each draw is fitted (`effects.py`) and taken off: that leaves the draws as
    they would be with that thing at its middle, and `narrows` is by what share nine tenths of them then lie closer
    together. A car's rolling is taken off with its part of what all cars share, as it is once the roster has it.
    """
    wide = _wide(logs)
    if wide <= LEAST:
        return ()
    of_each = Effects(known, logs).of_each
    found = [ToMeasure(*key, 1.0 - _wide(logs - effect) / wide, of) for key, effect in of_each.items()]
    first = sorted((one for one in found if one.narrows >= TOLD), key=lambda one: -one.narrows)
    return tuple(first[:MOST_TOLD])


def _ends(values: Floats) -> tuple[float, float]:
    ordered = np.sort(values)
    return float(ordered[FIRST]), float(ordered[LAST])


def _told_ends(values: Floats) -> Ends:
    least, most = (end if np.isfinite(end) else None for end in _ends(values))
    return least, most


def _wide(values: Floats) -> float:
    least, most = _ends(values)
    return most - least
