"""Planned orders as one JSON object, every figure in full; what has no value is null."""

from __future__ import annotations

from typing import Any

from consist.checking import SessionOrders
from consist.order import FrontierStep, Move, OrderFigures, OrderPlan
from consist.report.json_text import json_text

__all__ = ["orders_as_json"]


def orders_as_json(orders: SessionOrders) -> str:
    """The object of `consist order --json`, ending in a newline: the one train asked for, or a list of trains."""
    plans = [_plan(train.plan) for train in orders.trains]
    whole = plans[0] if orders.only_one else {"trains": plans}
    return json_text(whole)


def _plan(plan: OrderPlan) -> dict[str, Any]:
    return {
        "train": plan.train,
        "now": _figures(plan.now),
        "best": _figures(plan.best),
        "proven": plan.proven,
        "bound": plan.bound,
        "frontier": [_step(step) for step in plan.frontier],
    }


def _figures(figures: OrderFigures) -> dict[str, Any]:
    return {
        "order": list(figures.order),
        "side_use": figures.side_use,
        "margin": figures.margin,
        "heavy_forward": figures.heavy_forward,
    }


def _step(step: FrontierStep) -> dict[str, Any]:
    return {
        "cars_moved": step.cars_moved,
        "moves": [_move(move) for move in step.moves],
        "order": list(step.figures.order),
        "side_use": step.figures.side_use,
        "margin": step.figures.margin,
        "proven": step.proven,
    }


def _move(move: Move) -> dict[str, Any]:
    return {"cars": list(move.cars), "after": move.after}
