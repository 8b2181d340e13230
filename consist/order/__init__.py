"""Order: better standing orders and the moves that make them."""

from __future__ import annotations

from consist.order.heavy_forward import heavy_forward, heavy_forward_of
from consist.order.holds import HoldError, yard_of
from consist.order.plan import Planner, plan_order
from consist.order.results import FrontierStep, Move, OrderFigures, OrderPlan
from consist.order.yard import Yard

__all__ = [
    "FrontierStep",
    "HoldError",
    "Move",
    "OrderFigures",
    "OrderPlan",
    "Planner",
    "Yard",
    "heavy_forward",
    "heavy_forward_of",
    "plan_order",
    "yard_of",
]
