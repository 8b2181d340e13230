"""Lawler (1973), Management Science 19(5), 544-546: the cheapest job last gives the least possible maximum cost.

Here the place last of all is the head end: a car's 'completion time' is the resistance of itself and all behind it,
and its cost there, in the simplified problem, is that pull times its length over its weight.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
import pytest
from builders import car, spot
from hypothesis import given
from hypothesis import strategies as st

from consist.order import Yard, yard_of
from consist.order.lawler import lawler_order

__all__: list[str] = []

Order = tuple[int, ...]
Size = tuple[float, float]
sizes = st.lists(st.tuples(st.floats(10.0, 300.0), st.floats(80.0, 300.0)), min_size=1, max_size=6)


def _worst(order: Sequence[int], of: Sequence[Size]) -> float:
    behind = worst = 0.0
    for number in reversed(order):
        weight, length = of[number]
        behind += weight
        worst = max(worst, behind * length / weight)
    return worst


def _by_rule(of: Sequence[Size], yard: Yard) -> Order:
    columns = np.array(of, dtype=np.float64)
    return lawler_order(yard, columns[:, 1], columns[:, 0])


def _yard(of: Sequence[Size], block: Sequence[str | None], hold: Sequence[str | None], free: bool = False) -> Yard:
    each = zip(of, block, hold, strict=True)
    cars = [
        spot(car(f"C{k}", weight, length), k + 1, block=where, hold=held)
        for k, ((weight, length), where, held) in enumerate(each)
    ]
    return yard_of("Freight 1", cars, free_blocks=free)


@given(sizes)
def test_no_permutation_does_better_on_the_simplified_problem(of: list[Size]) -> None:
    nothing = [None] * len(of)
    found = _by_rule(of, _yard(of, nothing, nothing))
    best = min(_worst(order, of) for order in itertools.permutations(range(len(of))))
    assert _worst(found, of) == pytest.approx(best, rel=1e-12)


@given(sizes, st.booleans(), st.data())
def test_nor_with_blocks(of: list[Size], free: bool, data: st.DataObject) -> None:
    """The same within blocks: whatever stands in a block, all behind it takes the same. Whole blocks are jobs too."""
    split = data.draw(st.integers(0, len(of)))
    block = ["Mill" if k < split else "Dock" for k in range(len(of))]
    found = _by_rule(of, _yard(of, block, [None] * len(of), free))
    allowed = [
        order
        for order in itertools.permutations(range(len(of)))
        for runs in [[where for where, _ in itertools.groupby(block[number] for number in order)]]
        if len(runs) == len(set(block)) and (free or runs == list(dict.fromkeys(block)))
    ]
    assert found in allowed
    assert _worst(found, of) == pytest.approx(min(_worst(order, of) for order in allowed), rel=1e-12)


@given(sizes, st.data())
def test_held_cars_stay_where_they_are(of: list[Size], data: st.DataObject) -> None:
    held = data.draw(st.sets(st.integers(0, len(of) - 1)))
    found = _by_rule(of, _yard(of, [None] * len(of), ["stay" if k in held else None for k in range(len(of))]))
    assert sorted(found) == list(range(len(of)))
    assert all(found[place] == place for place in held)
