"""A train's order planned behind the engines it runs behind, or those that stand in for none."""

from __future__ import annotations

from consist.order import OrderPlan, plan_order
from consist.session import Session, Train
from consist.trains import prepared

__all__ = ["plan_train"]


def plan_train(
    session: Session, train: Train, *, free_blocks: bool = False, seconds: float = 10.0, seed: int = 1
) -> OrderPlan:
    """Plan one train's order: the best a yard may make of it, and the fewest moves that get there.

    `free_blocks` lets whole blocks change places. `seconds` is about how long it may take on a middling machine; the
    same `seed` gives the same plan. Ctrl-C ends the search with the best found so far. Raises `HoldError` where holds
    contradict each other.
    """
    return plan_order(prepared(session, train), free_blocks=free_blocks, seconds=seconds, seed=seed)
