"""Power: the engines a train needs, the engines of a whole session, and tonnage ratings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consist.lazy_front import lazy_front
from consist.power.results import Combo, Option, PowerPlan, Rating, Tightest, TrainPower, Turn

if TYPE_CHECKING:
    from consist.power.plan import plan_power
    from consist.power.rating import LayoutRatings, rate_lines

__all__ = [
    "Combo",
    "LayoutRatings",
    "Option",
    "PowerPlan",
    "Rating",
    "Tightest",
    "TrainPower",
    "Turn",
    "plan_power",
    "rate_lines",
]

__getattr__ = lazy_front(
    __name__,
    {
        "LayoutRatings": "consist.power.rating",
        "plan_power": "consist.power.plan",
        "rate_lines": "consist.power.rating",
    },
)
