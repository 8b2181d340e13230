"""Trains: a session's trains prepared once, run in full, or tried in many orders at the few places that decide."""

from __future__ import annotations

from consist.trains.drawn import AtDraws, Draws, at_draws, stock_of
from consist.trains.orders import LegOrders, Orders
from consist.trains.prepared import MOST_ENGINES, Prepared, prepared, run_seconds, weakest
from consist.trains.trip import LegRun, Swing, Trip

__all__ = [
    "MOST_ENGINES",
    "AtDraws",
    "Draws",
    "LegOrders",
    "LegRun",
    "Orders",
    "Prepared",
    "Swing",
    "Trip",
    "at_draws",
    "prepared",
    "run_seconds",
    "stock_of",
    "weakest",
]
