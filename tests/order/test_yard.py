"""What a yard may change: blocks, holds, ties, and what contradicts."""

from __future__ import annotations

import itertools
import sys
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from builders import car, spot
from hypothesis import given
from hypothesis import strategies as st

from consist.order import HoldError, Yard, yard_of
from consist.order.yard import every_order
from consist.session import CarInTrain

__all__: list[str] = []

Order = tuple[int, ...]
Row = tuple[str | None, str | None]


def standing(*rows: Row) -> list[CarInTrain]:
    """Cars C0, C1, … of these blocks and holds."""
    return [spot(car(f"C{k}", 100.0), k + 1, block=block, hold=hold) for k, (block, hold) in enumerate(rows)]


def all_allowed(yard: Yard) -> set[Order]:
    return {order for order in itertools.permutations(range(len(yard.start))) if yard.allowed(order)}


def test_without_blocks_or_holds_every_order_is_allowed() -> None:
    assert len(all_allowed(yard_of("T", standing(*[(None, None)] * 4)))) == 24


def test_what_is_not_an_order_of_the_trains_cars_is_not_allowed() -> None:
    yard = yard_of("T", standing(*[(None, None)] * 3))
    assert not any(yard.allowed(order) for order in [(0, 1), (0, 1, 1), (0, 1, 3), (0, 1, 2, 3)])


def test_blocks_stay_together_and_in_their_order() -> None:
    yard = yard_of("T", standing(("Dock", None), ("Dock", None), ("Mill", None), ("Mill", None)))
    assert all_allowed(yard) == {(0, 1, 2, 3), (1, 0, 2, 3), (0, 1, 3, 2), (1, 0, 3, 2)}


def test_free_blocks_may_change_places_whole() -> None:
    cars = standing(("Dock", None), ("Dock", None), ("Mill", None))
    assert all_allowed(yard_of("T", cars, free_blocks=True)) == {(0, 1, 2), (1, 0, 2), (2, 0, 1), (2, 1, 0)}


def test_held_cars_stand_where_they_are_held() -> None:
    yard = yard_of("T", standing((None, None), (None, "front"), (None, "stay"), (None, "rear"), (None, None)))
    assert yard.start == (1, 0, 2, 4, 3)
    assert all_allowed(yard) == {(1, 0, 2, 4, 3), (1, 4, 2, 0, 3)}


def test_several_cars_held_at_an_end_keep_the_order_they_have() -> None:
    rows = [(None, "rear"), (None, "front"), (None, None), (None, "rear"), (None, "front"), (None, None)]
    assert yard_of("T", standing(*rows)).start == (1, 4, 2, 5, 0, 3)


def test_tied_cars_move_as_one() -> None:
    yard = yard_of("T", standing((None, None), (None, "with C2"), (None, None)))
    assert all_allowed(yard) == {(0, 1, 2), (1, 2, 0)}


def test_a_car_tied_to_a_held_one_is_held_with_it() -> None:
    yard = yard_of("T", standing((None, "front"), (None, "with C0"), (None, None), (None, None)))
    assert all_allowed(yard) == {(0, 1, 2, 3), (0, 1, 3, 2)}


def test_three_cars_tied_are_one_run() -> None:
    yard = yard_of("T", standing((None, None), (None, "with C2"), (None, None), (None, "with C2"), (None, None)))
    assert yard.tie_lengths == {3}
    assert all_allowed(yard) == {
        tuple(itertools.chain(*runs)) for runs in itertools.permutations([(0,), (1, 2, 3), (4,)])
    }


def test_a_train_of_any_length_may_be_tied_or_held_all_through() -> None:
    count = 2 * sys.getrecursionlimit()
    tied = yard_of("T", standing(*[(None, f"with C{k}") for k in range(1, count)], (None, None)))
    assert tied.tie_lengths == {count}
    held = yard_of("T", standing(*[(None, "stay")] * count))
    for yard in (tied, held):
        (orders,) = every_order(yard, np.arange(count))
        assert orders.tolist() == [list(range(count))]


def test_all_cars_tied_in_a_row_are_held_where_one_of_them_is() -> None:
    yard = yard_of("T", standing((None, None), (None, "with C2"), (None, "with C3"), (None, "stay"), (None, None)))
    assert yard.pinned == {1, 2, 3}


def test_cars_picked_up_together_stay_together() -> None:
    cars = [
        spot(car("C0", 20.0), 1, leaves=2),
        spot(car("C1", 90.0), 2, joins=1, leaves=2),
        spot(car("C2", 30.0), 3, joins=1, leaves=2),
    ]
    assert all_allowed(yard_of("T", cars)) == {(0, 1, 2), (0, 2, 1)}


def test_cars_of_no_block_are_one_where_they_join_and_leave_together() -> None:
    stops = [(0, 2), (0, 2), (0, 1), (1, 2), (1, 2)]
    cars = [spot(car(f"C{k}"), k + 1, joins=joins, leaves=leaves) for k, (joins, leaves) in enumerate(stops)]
    for free in (False, True):
        yard = yard_of("T", cars, free_blocks=free)
        assert (yard.block, yard.group) == ((0, 0, 1, 2, 2), (0, 0, 1, 2, 2))


def test_cars_that_join_or_leave_elsewhere_are_not_mixed() -> None:
    cars = [
        spot(car("C0", 20.0), 1, leaves=2),
        spot(car("C1", 90.0), 2, leaves=2),
        spot(car("C2", 200.0), 3, leaves=1),
        spot(car("C3", 30.0), 4, joins=1, leaves=2),
    ]
    assert all_allowed(yard_of("T", cars)) == {(0, 1, 2, 3), (1, 0, 2, 3)}


def test_a_car_of_one_block_that_joins_later_is_a_group_of_its_own() -> None:
    cars = [
        spot(car("C0", 20.0), 1, block="Mill", leaves=2),
        spot(car("C1", 90.0), 2, block="Mill", joins=1, leaves=2),
    ]
    assert all_allowed(yard_of("T", cars)) == {(0, 1)}


def in_two_parts(*holds: str | None) -> list[CarInTrain]:
    """Block X of C0 from the start and C1 from the second stop, and block Y of C2 to C4."""
    blocks = [("X", 0), ("X", 1), ("Y", 0), ("Y", 0), ("Y", 0)]
    return [
        spot(car(f"C{k}", 30.0 + 40.0 * k), k + 1, block=block, hold=hold, joins=joins, leaves=2)
        for k, ((block, joins), hold) in enumerate(itertools.zip_longest(blocks, holds))
    ]


def test_free_blocks_do_not_part_a_block_whose_cars_join_at_different_stops() -> None:
    yard = yard_of("T", in_two_parts(), free_blocks=True)
    assert not yard.allowed((0, 2, 3, 4, 1))
    mills = list(itertools.permutations((2, 3, 4)))
    parts = [(0, 1), (1, 0)]
    assert all_allowed(yard) == {
        order for one, other in itertools.product(parts, mills) for order in ((*one, *other), (*other, *one))
    }


def test_a_held_car_brings_its_whole_block_to_its_end_though_it_joins_alone() -> None:
    assert yard_of("T", in_two_parts(None, "rear"), free_blocks=True).start == (2, 3, 4, 0, 1)
    assert yard_of("T", in_two_parts("rear"), free_blocks=True).start == (2, 3, 4, 1, 0)
    assert yard_of("T", in_two_parts(None, "front"), free_blocks=True).start == (1, 0, 2, 3, 4)


def test_cars_that_join_together_stay_so_when_one_of_them_is_brought_to_an_end() -> None:
    cars = [
        spot(car(f"C{k}"), k + 1, block="X", joins=int(k > 1), leaves=2, hold="front" if k == 3 else None)
        for k in range(4)
    ]
    assert yard_of("T", cars[2:] + cars[:2], free_blocks=True).start == (1, 0, 2, 3)
    cars = [replace(one, hold="rear" if one.car.name == "C0" else None) for one in cars]
    assert yard_of("T", cars, free_blocks=True).start == (2, 3, 1, 0)


def test_a_block_that_stands_in_two_runs_is_noted_and_each_run_kept() -> None:
    yard = yard_of("T", standing(("Dock", None), ("Mill", None), ("Mill", None), ("Dock", None)))
    (note,) = yard.notes
    assert "Dock" in note
    assert "Mill" not in note
    assert "spots 1 and 4" in note
    assert all_allowed(yard) == {(0, 1, 2, 3), (0, 2, 1, 3)}


def test_each_block_in_several_runs_has_one_note_with_all_its_spots() -> None:
    blocks = ["Dock", "Mill", "Mill", "Dock", "Mill", "Dock", None, "Pier", None]
    notes = yard_of("T", standing(*((block, None) for block in blocks))).notes
    assert len(notes) == 2
    assert "spots 1, 4 and 6" in notes[0]
    assert "spots 2 to 3 and 5" in notes[1]


def test_a_block_in_one_run_is_not_noted_nor_are_cars_of_no_block() -> None:
    assert yard_of("T", standing((None, None), ("Dock", None), ("Dock", None), (None, None))).notes == ()
    assert yard_of("T", in_two_parts()).notes == ()


@pytest.mark.parametrize(
    ("rows", "names"),
    [
        ([("Dock", None), ("Mill", "front")], ["C1"]),
        ([("Dock", "rear"), ("Mill", None)], ["C0"]),
        ([("Dock", "front"), ("Mill", "front")], ["C0", "C1", "stand in different blocks"]),
        ([(None, "with C7"), (None, None)], ["C0", "C7"]),
        ([(None, "with C0"), (None, None)], ["C0"]),
        ([("Dock", "with C1"), ("Mill", None)], ["C0", "C1"]),
        ([(None, "with C2"), (None, None), (None, None)], ["C0", "C2"]),
        ([(None, None), (None, "stay"), (None, "front")], ["C1"]),
        ([(None, "with C1"), (None, "front"), (None, None)], ["C0", "C1"]),
        ([(None, None), (None, "with C2"), (None, None), (None, "front"), (None, "with C1")], ["C1", "C4"]),
    ],
    ids=[
        "front in the second block",
        "rear in the first block",
        "front in two blocks",
        "tied to no car",
        "tied to itself",
        "tied across blocks",
        "tied but not coupled",
        "stay moved by front",
        "tie parted by front",
        "tied to two, one of them not coupled",
    ],
)
def test_contradictory_holds_are_named(rows: list[Row], names: list[str]) -> None:
    with pytest.raises(HoldError) as raised:
        yard_of("T", standing(*rows))
    text = str(raised.value)
    assert "'T'" in text
    assert all(name in text for name in names)
    assert len(raised.value.problems) == len(text.splitlines())


def test_front_and_rear_in_one_block_of_several_cannot_be_though_blocks_are_free() -> None:
    rows: list[Row] = [("Dock", "front"), ("Dock", "rear"), ("Mill", None)]
    for order in (rows, rows[::-1]):
        with pytest.raises(HoldError) as raised:
            yard_of("T", standing(*order), free_blocks=True)
        assert "opposite ends" in str(raised.value)


def test_free_blocks_bring_a_held_block_to_its_end() -> None:
    yard = yard_of("T", standing(("Dock", None), ("Mill", "front")), free_blocks=True)
    assert yard.start == (1, 0)
    assert all_allowed(yard) == {(1, 0)}


rows = st.lists(
    st.tuples(
        st.sampled_from([None, None, "Dock", "Mill"]),
        st.sampled_from([None, None, None, "front", "rear", "stay", "with C1", "with C3"]),
    ),
    min_size=1,
    max_size=6,
)


def kept(order: Order, cars: Sequence[CarInTrain], free_blocks: bool) -> bool:
    """Said anew from the design, for blocks of one run each whose cars all ride as far."""
    blocks = [block for block, _ in itertools.groupby(cars[number].block for number in order)]
    if free_blocks:
        if len(blocks) != len(set(blocks)):
            return False
    elif any(cars[number].block != cars[place].block for place, number in enumerate(order)):
        return False
    front, rear = (sum(one.hold == where for one in cars) for where in ("front", "rear"))
    for place, number in enumerate(order):
        hold = cars[number].hold or ""
        if hold == "stay" and place != number:
            return False
        if (hold == "front" and place >= front) or (hold == "rear" and place < len(order) - rear):
            return False
        if hold.startswith("with "):
            other = int(hold.removeprefix("with C"))
            if order.index(other) - place != other - number:
                return False
    # cars held at one end keep the order they have
    for where in ("front", "rear"):
        held = [number for number in order if cars[number].hold == where]
        if held != sorted(held):
            return False
    return True


@given(rows, st.booleans())
def test_what_a_yard_may_do_is_what_the_design_says(of: list[Row], free: bool) -> None:
    cars = standing(*of)
    runs = [block for block, _ in itertools.groupby(one.block for one in cars)]
    try:
        yard = yard_of("T", cars, free_blocks=free)
    except HoldError:
        return
    assert yard.allowed(yard.start)
    if len(runs) == len(set(runs)):
        assert all_allowed(yard) == {
            order for order in itertools.permutations(range(len(cars))) if kept(order, cars, free)
        }


@given(rows, st.booleans())
def test_orders_of_a_batch_are_allowed_as_each_is_alone(of: list[Row], free: bool) -> None:
    try:
        yard = yard_of("T", standing(*of[:5]), free_blocks=free)
    except HoldError:
        return
    orders = list(itertools.permutations(range(len(of[:5]))))
    assert yard.allows(np.array(orders, dtype=np.intp)).tolist() == [yard.allowed(order) for order in orders]


@given(rows, st.booleans())
def test_there_are_no_more_orders_than_are_counted(of: list[Row], free: bool) -> None:
    try:
        yard = yard_of("T", standing(*of), free_blocks=free)
    except HoldError:
        return
    allowed = len(all_allowed(yard))
    assert allowed <= yard.count(10_000) <= 10_000
    if not yard.follows and not (free and yard.pinned):
        assert yard.count(10_000) == allowed
    assert yard.count(3) == min(yard.count(10_000), 3)


@pytest.mark.parametrize(
    ("blocks", "joins", "why"),
    [("AB", (0, 0), "stand in different blocks"), ("AA", (0, 1), "join or leave at different stops")],
)
def test_cars_that_cannot_come_to_one_end_together_are_named_with_the_reason(
    blocks: str, joins: tuple[int, int], why: str
) -> None:
    cars = [
        spot(car(f"C{k}"), k + 1, block=block, joins=at, leaves=2, hold="rear")
        for k, (block, at) in enumerate(zip(blocks, joins, strict=True))
    ]
    with pytest.raises(HoldError, match=why) as caught:
        yard_of("T", cars)
    assert "C0 and C1" in str(caught.value)
