"""What a railroad's log teaches, as values. Ranges are low, middle and high, and hold ninety per cent."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from consist.frames import Columns, Framed

__all__ = ["EngineTold", "Learned", "Margins", "Range", "Shifted"]

Range = tuple[float, float, float]


@dataclass(frozen=True)
class Shifted:
    """A car, or a stretch of track, and how often it was come off (at) against how often it should have been.

    `expected` is what would be off with nothing wrong with it; `shift` is by how much the logarithm of every use is
    raised by it. `worse` is whether that is surely more than nothing.
    """

    name: str
    off: int
    expected: float
    shift: Range
    worse: bool


@dataclass(frozen=True)
class EngineTold:
    """An engine, how often trains behind it stalled against how often they should have, and what it really pulls.

    `pulls` is a share of what its table says.
    """

    name: str
    stalled: int
    expected: float
    pulls: Range


@dataclass(frozen=True)
class Margins:
    """The margins at which a car stays on 99 times in 100 between two places (`care`), and 9 times in 10 (`hold`)."""

    care: Range
    hold: Range


@dataclass(frozen=True)
class Learned(Framed):
    """What a log teaches. As frames: its `track`, `cars` and `engines`.

    `bias` is by how much the logarithm of a use is more than the model says, `scatter` its deviation. `enough` is
    whether the margins are known to within a fifth or so; `runs_wanted` about how many more it takes, None where that
    cannot be told. Of runs predicted by an older model, `older`, so many were `recomputed` and the rest left out.
    """

    _tables: ClassVar = {
        "track": Columns("track", "name off expected shift worse"),
        "cars": Columns("cars", "name off expected shift worse"),
        "engines": Columns("engines", "name stalled expected pulls"),
    }

    runs: int
    off: int
    stalled: int
    parted: int
    bias: Range
    scatter: Range
    margins: Margins
    track: tuple[Shifted, ...]
    cars: tuple[Shifted, ...]
    engines: tuple[EngineTold, ...]
    enough: bool
    runs_wanted: int | None
    older: int
    recomputed: int
    chances: tuple[tuple[float, Range], ...]
    """The chance to come off between two places, in a hundred, at margins from small to great."""
