"""How hard a train's engines work over a stretch of route, whoever asks: the check, the need for engines, a plan.

What the cars of a train take does not depend on the engines ahead of them, but for the coupling between the two. A
cut of cars is so worked out once, by where its first car stands, and any engines are put ahead of it after.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.between import Between, Leaps, bends_between, even_heads, may_pass
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
        self._cars, self._tables, self._from_mm, self._to_mm = cars, tables, from_mm, to_mm
        self._first = int(np.floor((from_mm - most_ahead_mm) / tables.step_mm))
        last = int(np.ceil(to_mm / tables.step_mm)) + 1
        self._faces = tables.step_mm * np.arange(self._first, last, dtype=np.float64)
        self._asked = np.concatenate([self._at(self._faces[part]) for part in batches(cars, self._faces)])
        self._shares: dict[tuple[float, float], Floats] = {}
        self._drags: dict[tuple[float, float, float], Floats] = {}

    def _at(self, faces_mm: Floats) -> Floats:
        """What the cut takes ahead of its first car, the drag of its front coupling left aside."""
        if not len(self._cars):
            return np.zeros(len(faces_mm))
        columns = self._cars.columns
        return Cut(columns, stand(columns, self._tables, faces_mm), self._tables.flange_drag).through(
            np.zeros(len(faces_mm))
        )

    def seen(self, engines: Vehicles, from_mm: float | None = None, to_mm: float | None = None) -> Hauling:
        """The cut behind engines, at every table step: never harder than it is."""
        ahead_mm = engines.total_length_mm
        start = self._from_mm if from_mm is None else from_mm
        heads = even_heads(self._tables, start, self._to_mm if to_mm is None else to_mm, ahead_mm)
        first = int(np.rint((heads[1] - ahead_mm) / self._tables.step_mm)) - self._first if len(heads) > 2 else 0
        even = slice(first, first + len(heads) - 2)
        ends = heads[[0, -1]] - ahead_mm
        return self._hauling(
            engines,
            heads,
            _between_ends(self._at(ends), self._asked[even]),
            [
                _between_ends(self._share(engines, k, ends), self._kept_share(engines, k)[even])
                for k in range(len(engines))
            ],
            _between_ends(self._drag(engines, ends), self._kept_drag(engines)[even]),
        )

    def _hauling(
        self, engines: Vehicles, heads_mm: Floats, asked: Floats, shares: list[Floats], drag: Floats
    ) -> Hauling:
        asked = asked / (1.0 - np.copysign(drag, asked))
        own = Engines(engines.columns, np.array(shares).reshape(len(engines), len(heads_mm)))
        return Hauling(heads_mm, own.given(asked).share, asked, own.usable)

    def _share(self, engines: Vehicles, number: int, faces_mm: Floats) -> Floats:
        """What the track asks of an engine, the first car's face being at each of some places."""
        alone = replace(engines.pick(slice(number, number + 1)), ahead=0)
        middle_mm = faces_mm + engines.total_length_mm - engines.middle_mm[number]
        share: Floats = track_share(alone.columns, self._tables, middle_mm + alone.middle_mm[0])[0]
        return share

    def _kept_share(self, engines: Vehicles, number: int) -> Floats:
        """The same at every step, kept for others of its kind."""
        offset = float(engines.total_length_mm - engines.middle_mm[number])
        key = (float(engines.truck_centers_mm[number]), offset)
        if key not in self._shares:
            self._shares[key] = self._share(engines, number, self._faces)
        return self._shares[key]

    def _drag(self, engines: Vehicles, faces_mm: Floats) -> Floats:
        """What the coupling to the last engine costs the first car, as a share of its force."""
        if not len(self._cars) or not len(engines):
            return np.zeros(len(faces_mm))
        last = engines.pick(slice(len(engines) - 1, None))
        both = self._cars.pick(slice(0, 1)).behind_engines(last).columns
        standing = stand(both, self._tables, faces_mm + float(last.length_mm[0]))
        drag: Floats = self._tables.flange_drag * np.abs(standing.behind[0])
        return drag

    def _kept_drag(self, engines: Vehicles) -> Floats:
        """The same at every step, kept for others of its kind."""
        columns = (engines.length_mm, engines.truck_centers_mm, engines.pivot_mm)
        length, centers, pivot = (float(column[-1]) if len(engines) else 0.0 for column in columns)
        if (length, centers, pivot) not in self._drags:
            self._drags[length, centers, pivot] = self._drag(engines, self._faces)
        return self._drags[length, centers, pivot]


def _between_ends(ends: Floats, inner: Floats) -> Floats:
    return np.concatenate((ends[:1], inner, ends[1:]))


def even_hauling(train: Vehicles, tables: RouteTables, from_mm: float, to_mm: float) -> Hauling:
    """Any train, helpers and all, at every table step."""
    heads = even_heads(tables, from_mm, to_mm, float(train.length_mm[: train.ahead].sum()))
    columns = train.columns
    parts = [
        forces(columns, stand(columns, tables, heads[part]), tables.flange_drag) for part in batches(train, heads)
    ]
    share, resistance, usable = (
        np.concatenate([getattr(part, name) for part in parts]) for name in ("engine_share", "resistance", "usable")
    )
    return Hauling(heads, share, resistance, usable)


def closely(train: Vehicles, tables: RouteTables, between: Between, seen: Hauling) -> Hauling:
    """A train seen at even heads, with more heads between them wherever its engines may have to give more."""
    able = np.where(np.isfinite(seen.engine_share), seen.engine_share, 0.0)[None, :]
    bends = bends_between(able, straight=True)
    leaps = between.together
    cells = leaps.cells
    each = np.maximum(np.abs(able[:, cells]), np.abs(able[:, cells + 1]))
    least = np.minimum(np.abs(seen.usable[cells]), np.abs(seen.usable[cells + 1]))
    leaps = Leaps(cells, leaps.most * (1.0 + each) / np.maximum(least, LEAST_G))
    doubtful = may_pass(able, bends, leaps) | may_pass(-able, bends, leaps)
    heads = between.closer(doubtful, seen.engine_share)
    if not len(heads):
        return seen
    columns = train.columns
    along = forces(columns, stand(columns, tables, heads), tables.flange_drag)
    return Hauling(
        np.concatenate((seen.heads_mm, heads)),
        np.concatenate((seen.engine_share, along.engine_share)),
        np.concatenate((seen.resistance, along.resistance)),
        np.concatenate((seen.usable, along.usable)),
    )
