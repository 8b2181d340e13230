"""Power: the engines a train needs, the engines of a whole session, and tonnage ratings; here their results alone."""

from __future__ import annotations

from consist.power.results import Combo, Option, PowerPlan, Rating, Tightest, TrainPower, Turn

__all__ = ["Combo", "Option", "PowerPlan", "Rating", "Tightest", "TrainPower", "Turn"]
