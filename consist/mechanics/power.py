"""How hard a train's engines work over a stretch of route, whoever asks: the check, the need for engines, a plan.

What the cars of a train take does not depend on the engines ahead of them, but for the coupling between the two. A
cut of cars is so worked out once, by where its first car stands, and any engines are put ahead of it after.
"""

from __future__ import annotations

from dataclasses import dataclass

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
        first = int(np.floor((from_mm - most_ahead_mm) / tables.step_mm))
        self._first = first
        faces = tables.step_mm * np.arange(first, int(np.ceil(to_mm / tables.step_mm)) + 1, dtype=np.float64)
        self._asked = np.concatenate([self._at(faces[part]) for part in batches(cars, faces)])

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
        places = np.rint((heads[1:-1] - ahead_mm) / self._tables.step_mm).astype(np.intp) - self._first
        ends = self._at(heads[[0, -1]] - ahead_mm)
        return self._behind(engines, heads, np.concatenate((ends[:1], self._asked[places], ends[1:])))

    def _behind(self, engines: Vehicles, heads_mm: Floats, asked: Floats) -> Hauling:
        columns, drag = engines.columns, self._tables.flange_drag
        own = Engines(columns, track_share(columns, self._tables, heads_mm))
        if len(self._cars) and len(engines):
            last = engines.pick(slice(len(engines) - 1, None))
            both = self._cars.pick(slice(0, 1)).behind_engines(last).columns
            sine = stand(both, self._tables, heads_mm - float(engines.length_mm[:-1].sum())).behind[0]
            asked = asked / (1.0 - np.copysign(drag * np.abs(sine), asked))
        return Hauling(heads_mm, own.given(asked).share, asked, own.usable)


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
