"""Mechanics: a train placed on a route, its resistance, coupling forces, side pull and limits."""

from __future__ import annotations

from consist.mechanics.between import Between, even_heads
from consist.mechanics.couplings import Couplings
from consist.mechanics.evaluate import Figures, Strained, batches, evaluate, stand, strained, track_share, worked_out
from consist.mechanics.forces import Standing
from consist.mechanics.full import run, swing_peaks
from consist.mechanics.peaks import Peaks
from consist.mechanics.power import MOVES, Hauled, Hauling, closely, even_hauling
from consist.mechanics.resistance import curve_share_per_curvature
from consist.mechanics.sidepull import Bearing, Limits, bearing, side_limits, side_use
from consist.mechanics.strain import CAN, MOST_SWING_DEG, PLAY, at_ease
from consist.mechanics.tables import RouteTables
from consist.mechanics.vehicles import Vehicles, vehicles

__all__ = [
    "CAN",
    "MOST_SWING_DEG",
    "MOVES",
    "PLAY",
    "Bearing",
    "Between",
    "Couplings",
    "Figures",
    "Hauled",
    "Hauling",
    "Limits",
    "Peaks",
    "RouteTables",
    "Standing",
    "Strained",
    "Vehicles",
    "at_ease",
    "batches",
    "bearing",
    "closely",
    "curve_share_per_curvature",
    "evaluate",
    "even_hauling",
    "even_heads",
    "run",
    "side_limits",
    "side_use",
    "stand",
    "strained",
    "swing_peaks",
    "track_share",
    "vehicles",
    "worked_out",
]
