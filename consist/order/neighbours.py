"""Orders near one that a yard may make: cuts of a few cars set in elsewhere, two cars or two blocks changed over.

Every such order is the one it comes from with two stretches changed over: those from `lo` to `a` and from `b` to
`hi`, with what stands between them. Pinned cars are left out of the count of places: the others move around them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.order.yard import Batch, Yard

__all__ = ["Neighbours"]

Places = NDArray[np.intp]

LONGEST_CUT = 3
"""Cuts of so many cars at most are moved; a longer run of tied cars is moved whole."""
NEAR_THE_WORST = 0.5
"""Of orders drawn at random, so many move what stands where they are asked to."""
WHOLE_BLOCKS = 0.4
"""Where blocks are free, so many of the orders drawn move whole blocks."""
MOST_CELLS = 4_000_000
"""Orders near one times cars made at once: all near one of some hundred cars that may all change places."""
SEED = 1
"""Of what is drawn where they are more."""


@dataclass(frozen=True)
class _Units:
    """What stands in a row and may change places: the cars of groups, or whole blocks.

    Unit u takes the places from `edges[u]` to `edges[u + 1]`, and changes places with units `first[u]` to
    `last[u]`, the last left out. Cuts of as many of them as `lengths` says are moved.
    """

    edges: Places
    first: Places
    last: Places
    lengths: Places

    @classmethod
    def of(cls, edges: Places, label: Places, lengths: Places) -> _Units:
        """Units of those edges that change places where the places they start at have one label."""
        ends = _edges(label[edges[:-1]])
        run = np.repeat(np.arange(len(ends) - 1), np.diff(ends))
        return cls(edges, ends[:-1][run], ends[1:][run], lengths)

    @property
    def count(self) -> int:
        """How many stretches there are to change over, or a few more."""
        return int((self.last - self.first).sum()) * (len(self.lengths) + 1)

    def every(self) -> Places:
        """All stretches to change over, of shape (moves, 4)."""
        units = np.arange(len(self.first), dtype=np.intp)
        together = (self.first[:, None] <= units) & (units < self.last[:, None])
        one, other = np.nonzero(together & (units[:, None] != units))
        moves = [self._cuts(one, other, np.full_like(one, length)) for length in self.lengths]
        ahead = one + 1 < other
        return np.unique(np.concatenate([*moves, self._swaps(one[ahead], other[ahead])]), axis=0)

    def some(self, chance: np.random.Generator, count: int, near: int) -> Places:
        """Up to so many drawn at random, of shape (moves, 4), more of them of the unit at the place `near`."""
        one = chance.integers(len(self.first), size=count)
        there = min(int(np.searchsorted(self.edges, near, side="right")) - 1, len(self.first) - 1)
        one[chance.random(count) < NEAR_THE_WORST] = there
        first, last = self.first[one], self.last[one]
        other = first + (chance.random(count) * (last - first)).astype(np.intp)
        cuts = self._cuts(one, other, self.lengths[chance.integers(len(self.lengths), size=count)])
        moves = np.where((chance.random(count) < 0.5)[:, None], cuts, self._swaps(*np.sort((one, other), axis=0)))
        different: Places = moves[one != other]
        return different

    def _cuts(self, one: Places, other: Places, length: Places) -> Places:
        """Cuts of some units beginning with `one` set in beyond `other`, toward which the cut reaches."""
        ahead, behind = np.minimum(one, other), np.maximum(one, other)
        parted = np.where(one < other, np.minimum(one + length, other), np.maximum(one + 1 - length, other + 1))
        cuts: Places = self.edges[np.stack((ahead, parted, parted, behind + 1), axis=1)]
        return cuts

    def _swaps(self, ahead: Places, behind: Places) -> Places:
        """Two units changed over."""
        swaps: Places = self.edges[np.stack((ahead, ahead + 1, behind, behind + 1), axis=1)]
        return swaps


class Neighbours:
    """Orders near one, all allowed. Those in which only cars of one kind change places are left out.

    `kinds` tells by car which cars are alike, of shape (cars,). Cuts of `longest_cut` cars at most are moved, and of
    as many as are tied in a row.
    """

    def __init__(self, yard: Yard, kinds: NDArray[np.intp], longest_cut: int = LONGEST_CUT) -> None:
        self._yard, self._kinds = yard, kinds
        self._lengths = np.array(sorted({*range(1, longest_cut + 1), *yard.tie_lengths}), dtype=np.intp)
        self._labels = np.array([yard.group, yard.block], dtype=np.intp)
        self._known: dict[bytes, list[_Units]] = {}

    def every(self, order: Sequence[int] | Places) -> Batch:
        """All of them, of shape (orders, cars); so many drawn at random where they are too many to make at once."""
        standing = np.array([order], dtype=np.intp)
        if self.too_many(order):
            chance, place = np.random.default_rng(SEED), len(standing[0]) // 2
            moves = self._drawn(standing[0], chance, MOST_CELLS // len(standing[0]), place)
        else:
            moves = np.concatenate([units.every() for units in self._levels(standing[0])])
        return self._made(standing, np.zeros(len(moves), dtype=np.intp), moves)[0]

    def too_many(self, order: Sequence[int] | Places) -> bool:
        """Whether they are too many to make at once, so that `every` leaves some out."""
        levels = self._levels(np.array(order, dtype=np.intp))
        return sum(units.count for units in levels) * len(order) > MOST_CELLS

    def some(self, orders: Batch, chance: np.random.Generator, count: int, near: Places) -> tuple[Batch, Places]:
        """Up to so many of each order drawn at random, and the number of the one that each is near to.

        More often they are such as move what stands at an order's place `near`, of shape (orders,).
        """
        drawn = [self._drawn(order, chance, count, place) for order, place in zip(orders, near.tolist(), strict=True)]
        of = np.repeat(np.arange(len(orders), dtype=np.intp), [len(moves) for moves in drawn])
        return self._made(orders, of, np.concatenate(drawn))

    def _drawn(self, order: Places, chance: np.random.Generator, count: int, near: int) -> Places:
        levels = self._levels(order)
        of_cars = int((chance.random(count) > WHOLE_BLOCKS).sum()) if len(levels) > 1 else count
        shares = [of_cars, *(len(part) for part in np.array_split(np.arange(count - of_cars), len(levels) - 1 or 1))]
        slot = int(np.searchsorted(self._yard.slots, near))
        return np.concatenate([units.some(chance, share, slot) for units, share in zip(levels, shares, strict=False)])

    def _levels(self, order: Places) -> list[_Units]:
        """The cars of each group; where blocks are free, the groups of each block and the blocks too."""
        group, block = self._labels[:, order[self._yard.slots]]
        key = group.tobytes()
        if key not in self._known:
            levels = [_Units.of(np.arange(len(group) + 1, dtype=np.intp), group, self._lengths)]
            if self._yard.free_blocks:
                groups, blocks, one = _edges(group), _edges(block), np.ones(1, dtype=np.intp)
                levels.append(_Units.of(blocks, np.zeros_like(block), one))
                if len(groups) > len(blocks):
                    levels.append(_Units.of(groups, block, one))
            self._known[key] = levels
        return self._known[key]

    def _made(self, orders: Batch, of: Places, moves: Places) -> tuple[Batch, Places]:
        """Orders made by changing over stretches of others, less those not allowed and those no different.

        `of` are the numbers of the orders that those of `moves` are made of, and of those kept.
        """
        slots, standing = self._yard.slots, orders[of]
        made = standing.copy()
        made[:, slots] = np.take_along_axis(standing[:, slots], _changed_over(len(slots), moves), axis=1)
        different = (self._kinds[made] != self._kinds[standing]).any(axis=1)
        kept = different & self._yard.allows(made)
        return made[kept], of[kept]


def _changed_over(places: int, moves: Places) -> Places:
    """Which place each place's car comes from, of shape (moves, places).

    >>> _changed_over(6, np.array([[1, 2, 4, 6]])).tolist()
    [[0, 4, 5, 2, 3, 1]]
    """
    lo, a, b, hi = (column[:, None] for column in moves.T)
    here = np.arange(places, dtype=np.intp)[None, :]
    from_rear, from_front = b + here - lo, lo + here - (hi - (a - lo))
    between = a + here - lo - (hi - b)
    source = np.where(here < lo + (hi - b), from_rear, np.where(here >= hi - (a - lo), from_front, between))
    return np.where((here >= lo) & (here < hi), source, here)


def _edges(label: Places) -> Places:
    """Where runs of one label start, and the end of the last.

    >>> _edges(np.array([4, 4, 7, 4])).tolist()
    [0, 2, 3, 4]
    """
    starts = np.flatnonzero(label[1:] != label[:-1]) + 1
    return np.concatenate(([0], starts, [len(label)])).astype(np.intp) if len(label) else np.zeros(1, dtype=np.intp)
