"""The simplified problem of order against an optimum found independently.

Source: the CP-SAT solver of OR-tools, a general-purpose reference. The rule is Lawler's (1973), Management Science
19(5), 544-546: filling places from the last one in time, here from the head end, with the car that is cheapest there
gives the least possible greatest cost. A car's cost is its own factor times the resistance of itself and all behind
it; blocks stand in their order, which is a precedence constraint.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from builders import car, spot

from consist.order import yard_of
from consist.order.lawler import by_rule

__all__: list[str] = []

cp_model = pytest.importorskip("ortools.sat.python.cp_model", reason="OR-tools is in the extra `test`")


def _greatest(order: Sequence[int], factor: Sequence[int], resistance: Sequence[int]) -> int:
    behind, greatest = 0, 0
    for number in reversed(order):
        behind += resistance[number]
        greatest = max(greatest, factor[number] * behind)
    return greatest


def _least_by_cp_sat(factor: Sequence[int], resistance: Sequence[int], block: Sequence[str | None]) -> int:
    """The least greatest cost over all orders that keep blocks together and in their order."""
    model = cp_model.CpModel()
    count, total = len(factor), sum(resistance)
    greatest = model.new_int_var(0, max(factor) * total, "greatest")
    ahead = {(a, b): model.new_bool_var(f"{a} ahead of {b}") for a in range(count) for b in range(count) if a != b}
    for a in range(count):
        for b in range(a + 1, count):
            model.add(ahead[a, b] + ahead[b, a] == 1)
            if block[a] != block[b]:
                model.add(ahead[a, b] == 1)
            for c in range(count):
                if c not in (a, b):
                    model.add(ahead[a, b] + ahead[b, c] + ahead[c, a] <= 2)
                    model.add(ahead[b, a] + ahead[a, c] + ahead[c, b] <= 2)
    for a in range(count):
        behind = sum(resistance[b] * ahead[a, b] for b in range(count) if b != a)
        model.add(greatest >= factor[a] * (resistance[a] + behind))
    model.minimize(greatest)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return int(solver.objective_value)


@pytest.mark.parametrize("blocks", [1, 3])
@pytest.mark.parametrize("seed", range(4))
def test_filling_from_the_head_end_gives_the_least_greatest_cost(seed: int, blocks: int) -> None:
    random = np.random.default_rng(seed)
    count = 9
    factor = [int(value) for value in random.integers(1, 40, count)]
    resistance = [int(value) for value in random.integers(1, 60, count)]
    block = [None if blocks == 1 else f"Block {k * blocks // count}" for k in range(count)]
    yard = yard_of("T", [spot(car(f"C{k}"), k + 1, block=block[k]) for k in range(count)])
    each, takes = np.array(factor, dtype=np.float64), np.array(resistance, dtype=np.float64)
    order, bound = by_rule(yard, lambda standing: each * takes[standing].sum())
    least = _least_by_cp_sat(factor, resistance, block)
    assert _greatest(order, factor, resistance) == least
    assert bound == least
