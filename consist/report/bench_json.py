"""The bench's list as one JSON object, every figure in full; what has no value is null."""

from __future__ import annotations

from math import isfinite

from consist.bench import BenchList
from consist.report.json_text import json_text

__all__ = ["bench_as_json"]


def bench_as_json(listed: BenchList) -> str:
    """The object of `consist bench --json`, indented, ending in a newline.

    Cars stand in the order to take them, then those left for another day, then the rest.
    """
    cars = [
        {
            "car": car.car,
            "status": car.status,
            "weight_g": car.weight_g,
            "target_g": car.target_g,
            "add_g": car.add_g,
            "pieces": car.pieces,
            "after_g": car.after_g,
            "gain": car.gain if car.gain is not None and isfinite(car.gain) else None,
        }
        for car in (*listed.cars, *listed.later, *listed.others)
    ]
    return json_text({"cars": cars})
