"""Which pieces to put into a car: a small search that is exact.

What is wanted, the first first:
1. The car ends on its target or a little over; failing that near enough under it; failing that over the band, but
   within what standards allow; failing that as near under as the pieces reach. Outside the first, the nearest counts.
2. The two trucks get near enough the same.
3. Nearest to the target, in steps of `NEARER` of it: nobody lays in more pieces for less.
4. Few pieces. Up to two pieces more than the fewest may be spent on the first three.
5. Nearest to the target.
6. The smallest difference between the trucks.
7. More of the heavier pieces.

All sums are whole milligrams, so that nothing hangs on the last place of a number. Of a car that lacks more than
twice `SEARCHED_MG` the rest is laid in first, in pairs of the heaviest pieces, one over each truck.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from consist.bench.results import Choice
from consist.bench.target import band
from consist.intake import PieceKind
from consist.stock import OVER_ENOUGH
from consist.tolerances import longer

__all__ = ["EVEN_ENOUGH", "NEARER", "PIECES_FOR_EVEN", "choose"]

EVEN_ENOUGH = 0.05
"""The trucks' shares may differ by this share of the car's target and still be even. Common practice, no source."""
NEARER = 0.02
"""A set is nearer to the target than another by steps of this share of it. Common practice, no source."""
PIECES_FOR_EVEN = 2
"""So many pieces more than the fewest may be spent on an even split or a nearer set. Common practice, no source."""
UNSEEN_MG = 10
"""So much under its target no scale tells from on it; ounces of pieces in whole milligrams do not add up closer."""
MOST_PIECES = 1000
"""More pieces than this in one car are not looked at: nobody sticks in as many."""
SEARCHED_MG = 500_000
"""Twice this weight at most is searched, so that it takes no longer than a blink; few cars lack as much."""

Counts = Sequence[int]
"""How many of each kind."""


class _Kind(NamedTuple):
    """A kind of piece to choose from: what one weighs in milligrams, and the most of it."""

    name: str
    mg: int
    most: int


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
    aim -= UNSEEN_MG
    if weight >= aim:
        return None
    even, step = (max(1, round(1000 * share * target_g)) for share in (EVEN_ENOUGH, NEARER))
    kinds = _kinds(pieces, left or {}, half_length_mm, most - weight)
    laid = _laid(kinds, aim - weight)
    weight += 2 * _weight_mg(kinds, laid)
    rest = [kind._replace(most=kind.most - 2 * pairs) for kind, pairs in zip(kinds, laid, strict=True)]
    # past the most that is searched a little over is enough, and how much over does not matter
    room, little_over = (min(over - weight, aim - weight + SEARCHED_MG) for over in (most, high_mg))
    window = _window(_reach(rest, room)[0], aim - weight, little_over, low_mg - weight)
    if window is None and not any(laid):
        return None
    none = [0] * len(laid)
    more, side = (none, none) if window is None else _best(rest, *window, even, step)
    counts = [count + 2 * pairs for count, pairs in zip(more, laid, strict=True)]
    return _choice(kinds, counts, [count + pairs for count, pairs in zip(side, laid, strict=True)], even)


def _kinds(
    pieces: Sequence[PieceKind], left: Mapping[str, int], half_length_mm: float | None, room: int
) -> list[_Kind]:
    """The kinds of which there are some that fit, heaviest first."""
    usable = []
    for piece in pieces:
        mg = round(1000 * piece.weight_g)
        on_hand = room if piece.on_hand is None else piece.on_hand
        most = min(on_hand, left.get(piece.piece, on_hand), room // mg if mg > 0 else 0, MOST_PIECES)
        fits = half_length_mm is None or piece.length_mm is None or not longer(piece.length_mm, half_length_mm)
        if most > 0 and fits:
            usable.append(_Kind(piece.piece, mg, most))
    return sorted(usable, key=lambda kind: -kind.mg)


def _weight_mg(kinds: Sequence[_Kind], counts: Counts) -> int:
    return sum(count * kind.mg for count, kind in zip(counts, kinds, strict=True))


def _laid(kinds: Sequence[_Kind], wanted: int) -> Counts:
    """Pairs of each kind that are laid in before the search, the heaviest first."""
    laid = []
    for _, mg, most in kinds:
        laid.append(min(most // 2, (wanted - SEARCHED_MG) // (2 * mg)) if wanted > 2 * SEARCHED_MG else 0)
        wanted -= 2 * mg * laid[-1]
    return laid


def _reach(kinds: Sequence[_Kind], room: int) -> list[int]:
    """By kind, every sum up to `room` of pieces from it on, as bits of a number: bit s is set where some weigh s."""
    mask = (1 << (room + 1)) - 1
    reach = [1]
    for _, mg, most in reversed(kinds):
        sums, step = reach[0], 1
        while most > 0:
            taken = min(step, most)
            sums |= (sums << (taken * mg)) & mask
            most -= taken
            step *= 2
        reach.insert(0, sums)
    return reach


def _window(sums: int, wanted: int, little_over: int, near: int) -> tuple[int, int] | None:
    """The least and greatest sum to look at: a range on the target, else the one sum that is nearest."""
    if any(_within(sums, wanted, little_over)):
        return wanted, little_over
    under = (sums & ((1 << wanted) - 1)).bit_length() - 1
    over = sums >> wanted
    if over and under < near:
        nearest = next(_within(sums, wanted, sums.bit_length()))
        return nearest, nearest
    return (under, under) if under > 0 else None


def _within(sums: int, low: int, high: int) -> Iterator[int]:
    """The sums from `low` to `high`, least first."""
    inside = (sums >> low) & ((1 << (high - low + 1)) - 1)
    while inside:
        yield low + (inside & -inside).bit_length() - 1
        inside &= inside - 1


def _best(kinds: Sequence[_Kind], low: int, high: int, even: int, step: int) -> tuple[Counts, Counts]:
    """The counts of the best pieces with sums from `low` to `high`, and those of them over one truck.

    Sums in the same `step` from `low` on are as near to the target as each other.
    """
    first, layers = _fewest(kinds, low, high)
    tried = (
        _evenest(kinds, layers, number, total)
        for near in range(low, high + 1, step)
        for number in range(first, min(first + PIECES_FOR_EVEN + 1, len(layers[0])))
        for total in _within(layers[0][number], near, min(near + step - 1, high))
    )
    fewest = next(tried)
    return next((found for found in itertools.chain([fewest], tried) if found[0] <= even), fewest)[1:]


def _fewest(kinds: Sequence[_Kind], low: int, high: int) -> tuple[int, list[list[int]]]:
    """The fewest pieces with such a sum, and what is reached with as many and those for an even split more."""
    cap = -(-low // kinds[0].mg) + PIECES_FOR_EVEN
    while True:
        layers = _layers(kinds, high, cap)
        first = next((number for number, sums in enumerate(layers[0]) if any(_within(sums, low, high))), None)
        if first is not None and first + PIECES_FOR_EVEN <= cap:
            return first, layers
        cap = 2 * cap if first is None else first + PIECES_FOR_EVEN


def _layers(kinds: Sequence[_Kind], room: int, cap: int) -> list[list[int]]:
    """By kind and number of pieces up to `cap`, the sums that this kind and those after it reach, as bits."""
    mask = (1 << (room + 1)) - 1
    layers = [[1]]
    for _, mg, most in reversed(kinds):
        after = layers[0]
        layer = []
        for number in range(min(len(after) - 1 + most, cap) + 1):
            sums = 0
            for own in range(max(0, number - len(after) + 1), min(most, number) + 1):
                sums |= after[number - own] << (own * mg)
            layer.append(sums & mask)
        layers.insert(0, layer)
    return layers


def _evenest(
    kinds: Sequence[_Kind], layers: Sequence[Sequence[int]], number: int, total: int
) -> tuple[int, Counts, Counts]:
    """Of as many pieces of that sum those with the smallest difference between trucks, and one truck's share."""
    best: tuple[int, Counts, Counts] | None = None
    for counts in _with_sum(kinds, layers, number, total):
        reach = _reach([kind._replace(most=count) for kind, count in zip(kinds, counts, strict=True)], total // 2)
        side = reach[0].bit_length() - 1
        difference = total - 2 * side
        if best is None or difference < best[0]:
            best = difference, counts, _share(kinds, counts, reach, side)
        if difference == total % 2:
            break
    assert best is not None
    return best


def _with_sum(
    kinds: Sequence[_Kind], layers: Sequence[Sequence[int]], number: int, total: int
) -> Iterator[tuple[int, ...]]:
    """Counts of the kinds, as many pieces of that sum, most of the heaviest first."""
    if not kinds:
        yield ()
        return
    (_, mg, most), after = kinds[0], layers[1]
    for own in range(min(most, number, total // mg), -1, -1):
        rest, weight = number - own, total - own * mg
        if rest < len(after) and after[rest] >> weight & 1:
            for counts in _with_sum(kinds[1:], layers[1:], rest, weight):
                yield own, *counts


def _share(kinds: Sequence[_Kind], counts: Counts, reach: Sequence[int], side: int) -> Counts:
    """Pieces counted that weigh `side` together, of each kind as near half as can be."""
    share = []
    for kind, count, after in zip(kinds, counts, reach[1:], strict=True):
        nearest_half = sorted(range(min(count, side // kind.mg) + 1), key=lambda own: abs(2 * own - count))
        share.append(next(own for own in nearest_half if after >> (side - own * kind.mg) & 1))
        side -= share[-1] * kind.mg
    return share


def _choice(kinds: Sequence[_Kind], counts: Counts, one_side: Counts, even: int) -> Choice:
    other_side = [count - own for count, own in zip(counts, one_side, strict=True)]
    # the heavier side is named first
    heavier, lighter = (
        {kind.name: own for kind, own in zip(kinds, side, strict=True) if own} for side in (other_side, one_side)
    )
    heavier_mg, lighter_mg = _weight_mg(kinds, other_side), _weight_mg(kinds, one_side)
    grams = heavier_mg / 1000, lighter_mg / 1000
    return Choice((heavier, lighter), sum(grams), grams, heavier_mg - lighter_mg <= even)
