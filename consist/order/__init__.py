"""Order: better standing orders and the moves that make them."""

from __future__ import annotations

from consist.order.constraints import Section, sections
from consist.order.frontier import Step, frontier
from consist.order.moves import CutMove, moves_between
from consist.order.search import best_order
from consist.order.trial import Order, Trial

__all__ = ["CutMove", "Order", "Section", "Step", "Trial", "best_order", "frontier", "moves_between", "sections"]
