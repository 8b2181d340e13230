"""Which pieces to put into a car: a small search that is exact.

What is wanted, the first first:
1. The car ends on its target or a little over; failing that near enough under it; failing that over the band, but
   within what standards allow; failing that as near under as the pieces reach. Outside the first, the nearest counts.
2. The two trucks get near enough the same. Up to two pieces more than the fewest may be spent on that.
3. Few pieces.
4. Nearest to the target.
5. The smallest difference between the trucks.
6. More of the heavier pieces.

All sums are whole milligrams, so that nothing hangs on the last place of a number. Of a car that lacks more than
twice `SEARCHED_MG` the rest is laid in first, in pairs of the heaviest pieces, one over each truck.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from consist.bench.results import Choice
from consist.bench.target import band
from consist.intake import PieceKind
from consist.lengths import longer
from consist.stock import OVER_ENOUGH

__all__ = ["EVEN_ENOUGH", "PIECES_FOR_EVEN", "choose"]

EVEN_ENOUGH = 0.05
"""The trucks' shares may differ by this share of the car's target and still be even. Common practice, no source."""
PIECES_FOR_EVEN = 2
"""This many pieces more than the fewest may be spent on an even split. Common practice, no source."""
MOST_PIECES = 1000
"""More pieces than this in one car are not looked at: nobody sticks in as many."""


SEARCHED_MG = 500_000
"""Twice this weight at most is searched, so that it takes no longer than a blink; few cars lack as much."""


@dataclass(frozen=True)
class _Kinds:
    """The kinds of piece to choose from, heaviest first: weights in milligrams, and the most of each."""

    names: tuple[str, ...]
    mg: tuple[int, ...]
    most: tuple[int, ...]

    def weight_mg(self, counts: Sequence[int]) -> int:
        """What so many of each weigh."""
        return sum(count * mg for count, mg in zip(counts, self.mg, strict=True))


def choose(
    weight_g: float,
    target_g: float,
    pieces: Sequence[PieceKind],
    left: Mapping[str, int] | None = None,
    half_length_mm: float | None = None,
) -> Choice | None:
    """The pieces that bring a car from a weight to its target; None where none of them makes it better.

    `left` says how many of a kind are left where that is fewer than are on hand. A piece whose known length is over
    `half_length_mm`, the room over one truck, is not chosen.
    """
    low, high = band(target_g)
    weight, low_mg, aim, high_mg, most = (
        round(1000 * grams) for grams in (weight_g, low, target_g, high, (1 + OVER_ENOUGH) * target_g)
    )
    if weight >= aim:
        return None
    even = round(1000 * EVEN_ENOUGH * target_g)
    kinds = _kinds(pieces, left or {}, half_length_mm, most - weight)
    laid = _laid(kinds, aim - weight)
    weight += 2 * kinds.weight_mg(laid)
    rest = replace(kinds, most=tuple(count - 2 * pairs for count, pairs in zip(kinds.most, laid, strict=True)))
    # past the most that is searched a little over is enough, and how much over does not matter
    room, little_over = (min(over - weight, aim - weight + SEARCHED_MG) for over in (most, high_mg))
    window = _window(_sums(rest, room), aim - weight, little_over, low_mg - weight)
    if window is None and not any(laid):
        return None
    none = (0,) * len(laid)
    more, side = (none, none) if window is None else _best(rest, *window, even)
    counts = [count + 2 * pairs for count, pairs in zip(more, laid, strict=True)]
    return _choice(kinds, counts, [count + pairs for count, pairs in zip(side, laid, strict=True)], even)


def _laid(kinds: _Kinds, wanted: int) -> tuple[int, ...]:
    """Pairs of each kind that are laid in before the search, the heaviest first."""
    laid = []
    for mg, most in zip(kinds.mg, kinds.most, strict=True):
        pairs = min(most // 2, (wanted - SEARCHED_MG) // (2 * mg)) if wanted > 2 * SEARCHED_MG else 0
        laid.append(pairs)
        wanted -= 2 * mg * pairs
    return tuple(laid)


def _kinds(pieces: Sequence[PieceKind], left: Mapping[str, int], half_length_mm: float | None, room: int) -> _Kinds:
    usable = []
    for piece in pieces:
        mg = round(1000 * piece.weight_g)
        on_hand = room if piece.on_hand is None else piece.on_hand
        most = min(on_hand, left.get(piece.piece, on_hand), room // mg if mg > 0 else 0, MOST_PIECES)
        fits = half_length_mm is None or piece.length_mm is None or not longer(piece.length_mm, half_length_mm)
        if most > 0 and fits:
            usable.append((piece.piece, mg, most))
    usable.sort(key=lambda kind: -kind[1])
    return _Kinds(tuple(k[0] for k in usable), tuple(k[1] for k in usable), tuple(k[2] for k in usable))


def _sums(kinds: _Kinds, room: int) -> int:
    """Every sum up to `room` that the pieces reach, as the bits of a number: bit s is set where some weigh s."""
    mask = (1 << (room + 1)) - 1
    sums = 1
    for mg, most in zip(kinds.mg, kinds.most, strict=True):
        step = 1
        while most > 0:
            taken = min(step, most)
            sums |= (sums << (taken * mg)) & mask
            most -= taken
            step *= 2
    return sums


def _window(sums: int, wanted: int, little_over: int, near: int) -> tuple[int, int] | None:
    """The least and greatest sum to look at: a range on the target, else the one sum that is nearest."""
    if _between(sums, wanted, little_over):
        return wanted, little_over
    under = (sums & ((1 << wanted) - 1)).bit_length() - 1
    over = sums >> wanted
    if over and under < near:
        nearest = wanted + _lowest(over)
        return nearest, nearest
    return (under, under) if under > 0 else None


def _between(sums: int, low: int, high: int) -> int:
    return (sums >> low) & ((1 << (high - low + 1)) - 1)


def _lowest(sums: int) -> int:
    return (sums & -sums).bit_length() - 1


def _best(kinds: _Kinds, low: int, high: int, even: int) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """The counts of the best pieces with sums from `low` to `high`, and those of them over one truck."""
    first, layers = _fewest(kinds, low, high)
    tried = (
        _evenest(kinds, layers, number, total)
        for number in range(first, min(first + PIECES_FOR_EVEN + 1, len(layers[0])))
        for total in _totals(layers[0][number], low, high)
    )
    fewest = next(tried)
    return next((found for found in itertools.chain([fewest], tried) if found[0] <= even), fewest)[1:]


def _fewest(kinds: _Kinds, low: int, high: int) -> tuple[int, list[list[int]]]:
    """The fewest pieces with such a sum, and what is reached with as many and those for an even split more."""
    cap = -(-low // kinds.mg[0]) + PIECES_FOR_EVEN
    while True:
        layers = _layers(kinds, high, cap)
        first = next((number for number, sums in enumerate(layers[0]) if _between(sums, low, high)), None)
        if first is not None and first + PIECES_FOR_EVEN <= cap:
            return first, layers
        cap = 2 * cap if first is None else first + PIECES_FOR_EVEN


def _layers(kinds: _Kinds, room: int, cap: int) -> list[list[int]]:
    """By kind and number of pieces up to `cap`, the sums that this kind and those after it reach, as bits."""
    mask = (1 << (room + 1)) - 1
    layers = [[1]]
    for mg, most in zip(reversed(kinds.mg), reversed(kinds.most), strict=True):
        after = layers[0]
        layer = []
        for number in range(min(len(after) - 1 + most, cap) + 1):
            sums = 0
            for own in range(max(0, number - len(after) + 1), min(most, number) + 1):
                sums |= after[number - own] << (own * mg)
            layer.append(sums & mask)
        layers.insert(0, layer)
    return layers


def _totals(sums: int, low: int, high: int) -> Iterator[int]:
    inside = _between(sums, low, high)
    while inside:
        lowest = _lowest(inside)
        yield low + lowest
        inside &= inside - 1


def _evenest(
    kinds: _Kinds, layers: Sequence[Sequence[int]], number: int, total: int
) -> tuple[int, tuple[int, ...], tuple[int, ...]]:
    """Of as many pieces of that sum those with the smallest difference between trucks, and one truck's share."""
    best: tuple[int, tuple[int, ...], tuple[int, ...]] | None = None
    for counts in _with_sum(kinds, layers, 0, number, total):
        reach = _shares(kinds, counts)
        side = (reach[0] & ((1 << (total // 2 + 1)) - 1)).bit_length() - 1
        difference = total - 2 * side
        if best is None or difference < best[0]:
            best = difference, counts, _share(kinds, counts, reach, side)
        if difference == total % 2:
            break
    assert best is not None
    return best


def _with_sum(
    kinds: _Kinds, layers: Sequence[Sequence[int]], kind: int, number: int, total: int
) -> Iterator[tuple[int, ...]]:
    """Counts of the kinds from `kind` on, as many pieces of that sum, most of the heaviest first."""
    if kind == len(kinds.mg):
        yield ()
        return
    after = layers[kind + 1]
    for own in range(min(kinds.most[kind], number, total // kinds.mg[kind]), -1, -1):
        rest, weight = number - own, total - own * kinds.mg[kind]
        if rest < len(after) and after[rest] >> weight & 1:
            for counts in _with_sum(kinds, layers, kind + 1, rest, weight):
                yield own, *counts


def _shares(kinds: _Kinds, counts: Sequence[int]) -> list[int]:
    """By kind, the sums that the pieces counted from this kind on reach, as bits."""
    reach = [1]
    for mg, count in zip(reversed(kinds.mg), reversed(counts), strict=True):
        sums = 0
        for own in range(count + 1):
            sums |= reach[0] << (own * mg)
        reach.insert(0, sums)
    return reach


def _share(kinds: _Kinds, counts: Sequence[int], reach: Sequence[int], side: int) -> tuple[int, ...]:
    """Pieces counted that weigh `side` together, of each kind as near half as can be."""
    share = []
    for kind, count in enumerate(counts):
        for own in sorted(range(count + 1), key=lambda own: abs(2 * own - count)):
            weight = side - own * kinds.mg[kind]
            if weight >= 0 and reach[kind + 1] >> weight & 1:
                share.append(own)
                side = weight
                break
    return tuple(share)


def _choice(kinds: _Kinds, counts: Sequence[int], one_side: Sequence[int], even: int) -> Choice:
    other_side = [count - own for count, own in zip(counts, one_side, strict=True)]
    # the heavier side is named first
    sides = [(kinds.weight_mg(side), side) for side in (other_side, one_side)]
    trucks = tuple({name: own for name, own in zip(kinds.names, side, strict=True) if own} for _, side in sides)
    grams = sides[0][0] / 1000, sides[1][0] / 1000
    return Choice((trucks[0], trucks[1]), sum(grams), grams, sides[0][0] - sides[1][0] <= even)
