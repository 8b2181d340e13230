"""Orders near one: none that the yard forbids, none missing, and what is drawn at random is of them."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

import numpy as np
import pytest
from builders import car, spot
from random_yards import random_yard

from consist.order import Yard, yard_of
from consist.order.neighbours import MOST_CELLS, Neighbours

__all__: list[str] = []

Order = tuple[int, ...]


def unlike(yard: Yard) -> Neighbours:
    return Neighbours(yard, np.arange(len(yard.start)))


def told(orders: np.ndarray) -> list[Order]:
    return [tuple(int(number) for number in order) for order in orders]


def an_order(yard: Yard, seed: int) -> Order:
    """One that is allowed, often far from the start."""
    allowed = [order for order in itertools.permutations(range(len(yard.start))) if yard.allowed(order)]
    return allowed[seed * 7919 % len(allowed)]


def rearranged(items: Sequence[Order], longest: int) -> Iterator[list[Order]]:
    """A row with a cut of it set in elsewhere, or two of it changed over, in plain loops."""
    for length in range(1, longest + 1):
        for start in range(len(items) - length + 1):
            rest = [*items[:start], *items[start + length :]]
            for gap in range(len(rest) + 1):
                yield [*rest[:gap], *items[start : start + length], *rest[gap:]]
    for one, other in itertools.combinations(range(len(items)), 2):
        changed = list(items)
        changed[one], changed[other] = changed[other], changed[one]
        yield changed


def by_hand(yard: Yard, order: Order) -> set[Order]:
    """Cuts of 1 to 3 cars and swaps within each group, the held cars left where they are; and blocks, where free."""
    loose = [place for place, number in enumerate(order) if number not in yard.pinned]
    found = set()

    def take(cars: Sequence[int]) -> None:
        changed = list(order)
        for place, number in zip(loose, cars, strict=True):
            changed[place] = number
        if tuple(changed) != order and yard.allowed(tuple(changed)):
            found.add(tuple(changed))

    cars = [order[place] for place in loose]
    runs = [tuple(run) for _, run in itertools.groupby(cars, key=yard.group.__getitem__)]
    for at, run in enumerate(runs):
        before, behind = itertools.chain(*runs[:at]), itertools.chain(*runs[at + 1 :])
        ends = [*before], [*behind]
        for changed in rearranged([(number,) for number in run], 3):
            take([*ends[0], *itertools.chain(*changed), *ends[1]])
    if yard.free_blocks:
        blocks = [tuple(run) for _, run in itertools.groupby(cars, key=yard.block.__getitem__)]
        for changed in rearranged(blocks, 1):
            take([*itertools.chain(*changed)])
        for at, block in enumerate(blocks):
            groups = [tuple(run) for _, run in itertools.groupby(block, key=yard.group.__getitem__)]
            for changed in rearranged(groups, 1):
                take([*itertools.chain(*blocks[:at], *changed, *blocks[at + 1 :])])
    return found


@pytest.mark.parametrize("free_blocks", [False, True])
def test_all_of_them_are_there_and_all_are_allowed(free_blocks: bool) -> None:
    met = 0
    for seed in range(150):
        yard = random_yard(seed, 2 + seed % 5, free_blocks=free_blocks)
        order = an_order(yard, seed)
        near = told(unlike(yard).every(order))
        assert all(yard.allowed(one) for one in near)
        assert order not in near
        missing = by_hand(yard, order) - set(near)
        assert not missing, (seed, order, missing)
        if max(yard.tie_lengths, default=1) <= 3:
            assert set(near) == by_hand(yard, order), seed
        met += len(near)
    assert met > 600


def test_eight_cars_that_may_all_change_places() -> None:
    yard = yard_of("T", [spot(car(f"C{k}"), k + 1) for k in range(8)])
    order = (3, 1, 4, 0, 5, 7, 2, 6)
    near = told(unlike(yard).every(order))
    assert len(near) == len(set(near))
    assert set(near) == by_hand(yard, order)


def test_a_run_of_five_tied_cars_moves_whole() -> None:
    cars = [spot(car(f"C{k}"), k + 1, hold=f"with C{k - 1}" if 1 < k < 6 else None) for k in range(8)]
    near = told(unlike(yard_of("T", cars)).every(tuple(range(8))))
    assert (1, 2, 3, 4, 5, 0, 6, 7) in near
    assert (0, 6, 1, 2, 3, 4, 5, 7) in near


def test_a_step_never_parts_a_block_that_joins_at_two_stops() -> None:
    cars = [spot(car(f"C{k}"), k + 1, block="XXYYY"[k], joins=1 if k == 1 else 0, leaves=2) for k in range(5)]
    yard = yard_of("T", cars, free_blocks=True)
    near = unlike(yard)
    met: set[Order] = set()
    fresh: set[Order] = {(0, 1, 2, 3, 4)}
    while fresh:
        met |= fresh
        fresh = {one for order in fresh for one in told(near.every(order))} - met
    # all that are allowed are reached, two ways each for X and for the two blocks, six for Y
    assert len(met) == 2 * 2 * 6
    assert all(abs(order.index(0) - order.index(1)) == 1 for order in met)


@pytest.mark.parametrize("free_blocks", [False, True])
def test_what_is_drawn_at_random_is_of_them_and_in_time_all_of_them(free_blocks: bool) -> None:
    for seed in range(40):
        yard = random_yard(seed, 3 + seed % 4, free_blocks=free_blocks)
        if not len(yard.slots):
            continue
        order = an_order(yard, seed)
        near, chance = unlike(yard), np.random.default_rng(seed)
        every = set(told(near.every(order)))
        drawn = {
            one
            for place in range(len(order))
            for one in told(near.some(np.array([order]), chance, 400, np.array([place]))[0])
        }
        assert drawn <= every
        assert len(drawn) >= 0.9 * len(every), seed


def test_the_draws_favour_what_stands_where_they_are_asked_to() -> None:
    yard = yard_of("T", [spot(car(f"C{k}"), k + 1) for k in range(20)])
    order = tuple(range(20))
    drawn = told(unlike(yard).some(np.array([order]), np.random.default_rng(1), 400, np.array([13]))[0])
    moved = sum(one[13] != 13 for one in drawn)
    elsewhere = sum(one[2] != 2 for one in drawn)
    assert moved > 0.5 * len(drawn) > elsewhere


def test_changing_over_cars_that_are_alike_is_no_other_order() -> None:
    yard = yard_of("T", [spot(car(f"C{k}"), k + 1) for k in range(4)])
    near = Neighbours(yard, np.array([0, 1, 0, 3]))
    kinds = (0, 1, 0, 3)
    same = tuple(kinds)
    found = told(near.every((0, 1, 2, 3)))
    assert found
    assert all(tuple(kinds[number] for number in order) != same for order in found)
    assert {tuple(kinds[number] for number in order) for order in found} == {
        tuple(kinds[number] for number in order)
        for order in by_hand(yard, (0, 1, 2, 3))
        if tuple(kinds[number] for number in order) != same
    }


@pytest.mark.parametrize("count", [14, 40])
def test_blocks_of_one_car_have_as_many_near_as_cars_have(count: int) -> None:
    cars = [spot(car(f"C{k}"), k + 1, block=f"Block {k}") for k in range(count)]
    near = told(unlike(yard_of("T", cars, free_blocks=True)).every(tuple(range(count))))
    # each set in at every other place, each two changed over; of neighbours these are the same
    moves = (count - 1) ** 2 + (count - 1) * (count - 2) // 2
    assert len(near) == len(set(near)) == moves


@pytest.mark.parametrize("tied", [False, True])
def test_of_a_very_long_train_no_more_are_made_than_fit_at_once(tied: bool) -> None:
    count = 400
    cars = [
        spot(car(f"C{k}"), k + 1, hold=f"with C{k + 1}" if tied and k < count // 2 else None) for k in range(count)
    ]
    yard = yard_of("T", cars)
    near = unlike(yard)
    made = near.every(yard.start)
    assert 0 < made.size <= MOST_CELLS
    assert near.too_many(yard.start)
    assert yard.allows(made).all()
    short = yard_of("T", cars[-12:])
    assert not unlike(short).too_many(short.start)


@pytest.mark.parametrize("free_blocks", [False, True])
def test_no_more_are_drawn_than_were_asked_for(free_blocks: bool) -> None:
    cars = [spot(car(f"C{k}"), k + 1, block="XXXYYYZZZ"[k]) for k in range(9)]
    near = unlike(yard_of("T", cars, free_blocks=free_blocks))
    for asked in (1, 7, 50):
        moves = near._drawn(np.arange(9), np.random.default_rng(asked), asked, 4)
        assert len(moves) <= asked


@pytest.mark.parametrize("free_blocks", [False, True])
def test_most_of_those_asked_for_are_drawn(free_blocks: bool) -> None:
    """One draw in as many takes the same car, or block, twice: of eight cars, of two in a block, of four blocks."""
    cars = [spot(car(f"C{k}"), k + 1, block="AABBCCDD"[k] if free_blocks else None) for k in range(8)]
    near = unlike(yard_of("T", cars, free_blocks=free_blocks))
    drawn = near._drawn(np.arange(8), np.random.default_rng(3), 2000, 4)
    assert len(drawn) == pytest.approx(2000 * (0.6 * 0.5 + 0.4 * 0.75 if free_blocks else 0.875), rel=0.05)
