"""How hard a train's engines work over a stretch of route, whoever asks: the check, the need for engines, a plan.

What the cars of a train take does not depend on the engines ahead of them, but for the coupling between the two. A
cut of cars is so worked out once, by where its first car stands, and any engines are put ahead of it after.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.between import Between, bars, bends_between, even_heads, may_pass
from consist.mechanics.evaluate import batches, stand, track_share
from consist.mechanics.forces import LEAST_G, Cut, Engines, forces
from consist.mechanics.peaks import Peak
from consist.mechanics.tables import RouteTables
from consist.mechanics.vehicles import Vehicles

__all__ = ["MOVES", "Hauled", "Hauling", "closely", "even_hauling"]

Floats = NDArray[np.float64]

MOVES = 1.0 + 1e-9
"""The share of what engines can give up to which they move a train, rounding left aside."""


@dataclass(frozen=True)
class Hauling:
    """A train behind its engines at each of some heads (mm), each field of shape (heads,).

    `engine_share` is what engines give, `resistance` what cars take and `usable` what the engines have.
    """

    heads_mm: Floats
    engine_share: Floats
    resistance: Floats
    usable: Floats

    @property
    def use(self) -> Floats:
        """The share of their usable pull that engines give at each head, 0 where they hold back."""
        return np.maximum(self.engine_share, 0.0)

    @property
    def clears_g(self) -> Floats:
        """By how much the usable pull is over the cars' resistance at each head."""
        return self.usable - self.resistance

    @property
    def moves(self) -> bool:
        """Whether the engines pull the train, and hold it, at every head."""
        return bool(np.all(np.abs(self.engine_share) <= MOVES))

    @classmethod
    def joined(cls, parts: Sequence[Hauling]) -> Hauling:
        """Several, of one train at some heads each, as one."""
        names = ("heads_mm", "engine_share", "resistance", "usable")
        return cls(*(np.concatenate([np.zeros(0), *(getattr(part, name) for part in parts)]) for name in names))

    def part(self, part: slice) -> Hauling:
        """At some of the heads."""
        return Hauling(self.heads_mm[part], self.engine_share[part], self.resistance[part], self.usable[part])

    def peaks(self) -> tuple[Peak, Peak]:
        """The greatest shares that engines give of what they can pull and of what they can hold, of shape (1,)."""
        found = []
        for shares in (self.engine_share, -self.engine_share):
            at = int(np.argmax(shares))
            found.append(Peak(np.maximum(shares[[at]], 0.0), self.heads_mm[[at]]))
        return found[0], found[1]


class Hauled:
    """A cut of cars without helpers, ready for any engines ahead of it.

    Engines together are at most `most_ahead_mm` long. The head goes from one distance to another.
    """

    def __init__(
        self, cars: Vehicles, tables: RouteTables, from_mm: float, to_mm: float, most_ahead_mm: float
    ) -> None:
        self.cars, self._tables, self._from_mm, self._to_mm = cars, tables, from_mm, to_mm
        self._first = int(np.floor((from_mm - most_ahead_mm) / tables.step_mm))
        last = int(np.ceil(to_mm / tables.step_mm)) + 1
        self._faces = tables.step_mm * np.arange(self._first, last, dtype=np.float64)
        self._asked = np.concatenate([self._ahead(self._faces[part]) for part in batches(cars, self._faces)])
        self._shares: dict[tuple[float, float], Floats] = {}
        self._drags: dict[tuple[float, ...], Floats] = {}

    def _ahead(self, faces_mm: Floats) -> Floats:
        """What the cut takes ahead of its first car, the drag of its front coupling left aside."""
        if not len(self.cars):
            return np.zeros(len(faces_mm))
        columns = self.cars.columns
        along: Floats = Cut(columns, stand(columns, self._tables, faces_mm), self._tables.flange_drag).through()[-1]
        return along

    def seen(self, engines: Vehicles, from_mm: float | None = None, to_mm: float | None = None) -> Hauling:
        """The cut behind engines at every table step inside a stretch: never harder than it is."""
        ahead_mm = engines.total_length_mm
        start = self._from_mm if from_mm is None else from_mm
        heads = even_heads(self._tables, start, self._to_mm if to_mm is None else to_mm, ahead_mm)[1:-1]
        first = int(np.rint((heads[0] - ahead_mm) / self._tables.step_mm)) - self._first if len(heads) else 0
        even = slice(first, first + len(heads))
        asked = self._asked[even]
        asked = asked / (1.0 - np.copysign(self._drag(engines)[even], asked))
        shares = [self._share(engines, number)[even] for number in range(len(engines))]
        own = Engines(engines.columns, np.array(shares).reshape(len(engines), len(heads)))
        return Hauling(heads, own.given(asked).share, asked, own.usable)

    def _share(self, engines: Vehicles, number: int) -> Floats:
        """What the track asks of an engine with the first car's face at every step, kept for others of its kind."""
        offset = float(engines.total_length_mm - engines.middle_mm[number])
        key = (float(engines.truck_centers_mm[number]), offset)
        if key not in self._shares:
            alone = replace(engines.pick(slice(number, number + 1)), ahead=0).columns
            heads = self._faces + offset + alone.middle_mm[0]
            self._shares[key] = track_share(alone, self._tables, heads)[0]
        return self._shares[key]

    def _drag(self, engines: Vehicles) -> Floats:
        """What the coupling to the last engine costs the first car, as a share of its force, likewise."""
        if not len(self.cars) or not len(engines):
            return np.zeros(len(self._faces))
        last = engines.pick(slice(len(engines) - 1, None))
        key = tuple(float(column[0]) for column in (last.length_mm, last.truck_centers_mm, last.pivot_mm))
        if key not in self._drags:
            both = self.cars.pick(slice(0, 1)).behind_engines(last).columns
            standing = stand(both, self._tables, self._faces + float(last.length_mm[0]))
            self._drags[key] = self._tables.flange_drag * np.abs(standing.behind[0])
        return self._drags[key]


def even_hauling(train: Vehicles, tables: RouteTables, from_mm: float, to_mm: float) -> Hauling:
    """Any train, helpers and all, at every table step inside a stretch."""
    heads = even_heads(tables, from_mm, to_mm, float(train.length_mm[: train.ahead].sum()))[1:-1]
    return Hauling.joined([_at(train, tables, heads[part]) for part in batches(train, heads)])


def _at(train: Vehicles, tables: RouteTables, heads_mm: Floats) -> Hauling:
    columns = train.columns
    along = forces(columns, stand(columns, tables, heads_mm), tables.flange_drag)
    return Hauling(heads_mm, along.engine_share, along.resistance, along.usable)


def closely(
    train: Vehicles, tables: RouteTables, between: Between, seen: Hauling, over: float | None = None
) -> Hauling:
    """A train seen at the even heads inside a stretch, with its ends, and more heads wherever more may be asked.

    More than the most that was seen, or than the share `over`, where only what passes that matters. `between` is what
    lies between all its even heads, the ends included; next to those is looked in any case.
    """
    share = np.pad(np.where(np.isfinite(seen.engine_share), seen.engine_share, 0.0), 1)
    if len(seen.heads_mm):
        share[[0, -1]] = share[[1, -2]]
    able = share[None, :]
    usable = np.pad(seen.usable, 1)
    bends = bends_between(able, straight=True)
    most, least = np.abs(able), np.abs(usable)
    asked = 1.0 + np.maximum(most[:, :-1], most[:, 1:])
    leaps = between.together * asked / np.maximum(np.minimum(least[:-1], least[1:]), LEAST_G)
    doubtful = np.zeros(able.shape[1] - 1, dtype=bool)
    for each in (able, -able):
        doubtful |= may_pass(each, bends, bars(each.max(axis=1) if over is None else np.array([over])), leaps)
    doubtful[[0, -1]] = True
    heads = np.concatenate((between.ends_mm, between.closer(doubtful, share)))
    return Hauling.joined([seen, _at(train, tables, heads)])
