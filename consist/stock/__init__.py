"""Stock: cars, engines and the weight standards that cars are held to."""

from __future__ import annotations

from consist.stock.cars import Car, car_from_record
from consist.stock.engines import Engine, engine_from_record
from consist.stock.standards import StandardError, WeightStandard, weight_standard

__all__ = [
    "Car",
    "Engine",
    "StandardError",
    "WeightStandard",
    "car_from_record",
    "engine_from_record",
    "weight_standard",
]
