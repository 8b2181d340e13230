"""Plans on a machine that is never late: what a plan comes to by its looks alone, the same on every machine."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from unittest import mock

from consist.order import OrderPlan, plan_order
from consist.order.budget import Budget
from consist.trains import Prepared

__all__ = ["plan_by_clock", "plan_unhurried"]


def plan_by_clock(
    of: Prepared, clock: Callable[[], float], *, seconds: float, free_blocks: bool = False, seed: int = 1
) -> OrderPlan:
    """A plan that is made by another clock."""
    with mock.patch("consist.order.plan.Budget", partial(Budget, clock=clock)):
        return plan_order(of, free_blocks=free_blocks, seconds=seconds, seed=seed)


def plan_unhurried(of: Prepared, *, seconds: float, free_blocks: bool = False, seed: int = 1) -> OrderPlan:
    """A plan in as many looks as some seconds are good for, however long they take."""
    return plan_by_clock(of, lambda: 0.0, seconds=seconds, free_blocks=free_blocks, seed=seed)
