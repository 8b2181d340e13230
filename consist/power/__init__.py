"""Power: the engines a train needs, the engines of a whole session, and tonnage ratings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consist.lazy_front import lazy_front

if TYPE_CHECKING:
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
    "plan_power",
    "ratings",
]

_FROM = {
    "Combo": "consist.power.results",
    "Option": "consist.power.results",
    "PowerPlan": "consist.power.results",
    "Rating": "consist.power.results",
    "Tightest": "consist.power.results",
    "TrainPower": "consist.power.results",
    "Turn": "consist.power.results",
    "plan_power": "consist.power.plan",
    "ratings": "consist.power.rating",
}

__getattr__ = lazy_front(__name__, _FROM)
