"""Mechanics: a train placed on a route, its resistance, coupling forces, side pull and limits."""

from __future__ import annotations

from consist.mechanics.limits import Limits, side_limits
from consist.mechanics.peaks import Peaks
from consist.mechanics.resistance import curve_share_per_curvature
from consist.mechanics.run import run
from consist.mechanics.tables import RouteTables
from consist.mechanics.vehicles import Vehicles, vehicles

__all__ = [
    "Limits",
    "Peaks",
    "RouteTables",
    "Vehicles",
    "curve_share_per_curvature",
    "run",
    "side_limits",
    "vehicles",
]
