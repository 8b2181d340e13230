"""The guests' cars as one JSON object, every figure in full; what has no value is null."""

from __future__ import annotations

from consist.report.json_text import json_text
from consist.screening import Screening

__all__ = ["door_as_json"]


def door_as_json(door: Screening) -> str:
    """The object of `consist screen --json`, indented, ending in a newline; `trains` are those it may ride."""
    cars = [
        {
            "car": car.car,
            "owner": car.owner,
            "answer": car.answer,
            "reasons": list(car.reasons),
            "add_g": car.add_g,
            "trains": [ride.train for ride in car.may_ride],
            "spots": {ride.train: list(ride.stands) for ride in car.may_ride},
        }
        for car in door.cars
    ]
    return json_text({"cars": cars})
