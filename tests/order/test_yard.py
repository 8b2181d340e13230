"""What a yard may change: blocks, holds, ties, and what contradicts."""

from __future__ import annotations

import itertools

import pytest
from builders import car, spot
from hypothesis import given
from hypothesis import strategies as st

from consist.order import HoldError, yard_of
from consist.order.exact import _next_ahead
from consist.order.trial import Order
from consist.order.yard import Yard
from consist.session import CarInTrain

__all__: list[str] = []


def standing(*rows: tuple[str | None, str | None]) -> list[CarInTrain]:
    """Cars C0, C1, … of these blocks and holds."""
    return [spot(car(f"C{k}", 100.0), k + 1, block=block, hold=hold) for k, (block, hold) in enumerate(rows)]


def all_allowed(yard: Yard) -> set[Order]:
    return {order for order in itertools.permutations(range(len(yard.start))) if yard.allowed(order)}


def test_without_blocks_or_holds_every_order_is_allowed() -> None:
    assert len(all_allowed(yard_of("T", standing(*[(None, None)] * 4)))) == 24


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


def test_tied_cars_move_as_one() -> None:
    yard = yard_of("T", standing((None, None), (None, "with C2"), (None, None)))
    assert all_allowed(yard) == {(0, 1, 2), (1, 2, 0)}


def test_cars_picked_up_together_stay_together() -> None:
    cars = [
        spot(car("C0", 20.0), 1, leaves=2),
        spot(car("C1", 90.0), 2, joins=1, leaves=2),
        spot(car("C2", 30.0), 3, joins=1, leaves=2),
    ]
    assert all_allowed(yard_of("T", cars)) == {(0, 1, 2), (0, 2, 1)}


def test_a_car_of_one_block_that_joins_later_is_a_group_of_its_own() -> None:
    cars = [
        spot(car("C0", 20.0), 1, block="Mill", leaves=2),
        spot(car("C1", 90.0), 2, block="Mill", joins=1, leaves=2),
    ]
    assert all_allowed(yard_of("T", cars)) == {(0, 1)}


@pytest.mark.parametrize(
    ("rows", "names"),
    [
        ([("Dock", None), ("Mill", "front")], ["C1"]),
        ([("Dock", "rear"), ("Mill", None)], ["C0"]),
        ([("Dock", "front"), ("Mill", "front")], ["C0", "C1"]),
        ([(None, "with C7"), (None, None)], ["C0", "C7"]),
        ([(None, "with C0"), (None, None)], ["C0"]),
        ([("Dock", "with C1"), ("Mill", None)], ["C0", "C1"]),
        ([(None, "with C2"), (None, None), (None, None)], ["C0", "C2"]),
        ([(None, None), (None, "stay"), (None, "front")], ["C1"]),
        ([(None, "with C1"), (None, "front"), (None, None)], ["C0", "C1"]),
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
    ],
)
def test_contradictory_holds_are_named(rows: list[tuple[str | None, str | None]], names: list[str]) -> None:
    with pytest.raises(HoldError) as raised:
        yard_of("T", standing(*rows))
    text = str(raised.value)
    assert "'T'" in text
    assert all(name in text for name in names)
    assert len(raised.value.problems) == len(text.splitlines())


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
    max_size=5,
)


@given(rows, st.booleans())
def test_every_move_leads_to_an_allowed_order(of: list[tuple[str | None, str | None]], free: bool) -> None:
    try:
        yard = yard_of("T", standing(*of), free_blocks=free)
    except HoldError:
        return
    assert yard.allowed(yard.start)
    for place in range(len(of)):
        for order in (*yard.cuts(yard.start, place, (1, 2)), *yard.swaps(yard.start, place)):
            assert yard.allowed(order)
    assert all(yard.allowed(order) for order in yard.block_orders(yard.start))


@given(rows, st.booleans())
def test_the_search_from_the_rear_meets_every_allowed_order_once(
    of: list[tuple[str | None, str | None]], free: bool
) -> None:
    """Cars all unlike, so that none is left out for its twin."""
    try:
        yard = yard_of("T", standing(*of), free_blocks=free)
    except HoldError:
        return

    class Unlike:
        cars = len(of)

        @staticmethod
        def alike(_one: int, _other: int) -> bool:
            return False

    met: list[Order] = []

    def go_on(cars: Order) -> None:
        if len(cars) == len(of):
            met.append(cars)
        else:
            for one in _next_ahead(Unlike, yard, cars):  # type: ignore[arg-type]
                go_on((one, *cars))

    go_on(())
    assert len(met) == len(set(met))
    assert set(met) == all_allowed(yard)
