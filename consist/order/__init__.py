"""Order: better standing orders and the moves that make them."""

from __future__ import annotations

from consist.order.constraints import Section, sections
from consist.order.moves import CutMove, moves_between
from consist.order.search import best_order, few_moves
from consist.order.trial import Order, Trial

__all__ = ["CutMove", "Order", "Section", "Trial", "best_order", "few_moves", "moves_between", "sections"]
