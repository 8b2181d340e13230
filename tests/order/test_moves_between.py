"""Moves of a yard crew from one standing order to another."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consist.order import Move
from consist.order.moves import moved_cars, moves_between

__all__: list[str] = []

orders = st.integers(0, 9).flatmap(
    lambda n: st.tuples(st.permutations("ABCDEFGHI"[:n]), st.permutations("ABCDEFGHI"[:n]))
)


def _carry_out(before: Sequence[str], moves: Sequence[Move]) -> list[str]:
    """What stands in the yard when a crew has made the moves one by one."""
    standing = list(before)
    for move in moves:
        at = standing.index(move.cars[0])
        # a cut is picked up as it stands, without taking it apart
        assert tuple(standing[at : at + len(move.cars)]) == move.cars
        del standing[at : at + len(move.cars)]
        behind = 0 if move.after is None else standing.index(move.after) + 1
        standing[behind:behind] = move.cars
    return standing


def _fewest_by_trying(before: Sequence[str], after: Sequence[str]) -> int:
    """The smallest set of cars without which both orders read the same."""
    for count in range(len(before) + 1):
        for moved in itertools.combinations(before, count):
            if [c for c in before if c not in moved] == [c for c in after if c not in moved]:
                return count
    raise AssertionError("all cars taken out always read the same")


@given(orders)
def test_moves_made_one_by_one_turn_the_one_order_into_the_other(both: tuple[list[str], list[str]]) -> None:
    before, after = both
    assert _carry_out(before, moves_between(before, after)) == after


@given(orders.filter(lambda both: len(both[0]) <= 7))
def test_no_fewer_cars_could_be_moved(both: tuple[list[str], list[str]]) -> None:
    before, after = both
    assert len(moved_cars(before, after)) == _fewest_by_trying(before, after)


def test_nothing_moves_where_the_orders_are_the_same() -> None:
    assert moves_between("ABC", "ABC") == ()
    assert moves_between("", "") == ()


def test_neighbours_that_move_together_are_one_cut() -> None:
    assert moves_between("ABCDE", "CDEAB") == (Move(("A", "B"), "E"),)


def test_a_cut_to_the_head_end_goes_behind_no_car() -> None:
    assert moves_between("ABCD", "DABC") == (Move(("D",), None),)


@pytest.mark.parametrize("order", list(itertools.permutations("ABCD")))
def test_every_order_of_four(order: tuple[str, ...]) -> None:
    moves = moves_between("ABCD", order)
    assert _carry_out("ABCD", moves) == list(order)
