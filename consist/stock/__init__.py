"""Stock: cars, engines and the weight standards that cars are held to."""

from __future__ import annotations

from consist.stock.cars_and_engines import ASSUMED_GRIP, Car, CouplerMount, Engine, car_by_rule, engine_by_rule
from consist.stock.standards import (
    FAR_UNDER,
    NEAR_ENOUGH,
    OVER_ENOUGH,
    StandardError,
    WeightStandard,
    published_standards,
    weight_standard,
)

__all__ = [
    "ASSUMED_GRIP",
    "FAR_UNDER",
    "NEAR_ENOUGH",
    "OVER_ENOUGH",
    "Car",
    "CouplerMount",
    "Engine",
    "StandardError",
    "WeightStandard",
    "car_by_rule",
    "engine_by_rule",
    "published_standards",
    "weight_standard",
]
