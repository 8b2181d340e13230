"""Power: the engines a train needs, the engines of a whole session, and tonnage ratings."""

from __future__ import annotations

from consist.power.need import engines_needed, fewest_class, weakest
from consist.power.plan import plan_power
from consist.power.rating import ratings
from consist.power.results import Combo, Option, PowerPlan, Rating, Tightest, TrainPower, Turn

__all__ = [
    "Combo",
    "Option",
    "PowerPlan",
    "Rating",
    "Tightest",
    "TrainPower",
    "Turn",
    "engines_needed",
    "fewest_class",
    "plan_power",
    "ratings",
    "weakest",
]
