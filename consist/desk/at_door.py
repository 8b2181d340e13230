"""A guest's car asked about at the door: in which trains and spots it may ride tonight, at the weight that is said.

The car may be in no table yet. Then its length must be said, and what else is not known of it is assumed by rule.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from consist.bench.lengths import parse_length, parse_weight
from consist.changes import Bring, Change, Weigh
from consist.desk.said import said_of
from consist.errors import ChangeError
from consist.names import one_of, plain
from consist.screening import spots_words
from consist.screening.results import TrainRide
from consist.screening.rides import Rides
from consist.session import CarInTrain, Session
from consist.trains import prepared

__all__ = ["asked_at_door"]


def asked_at_door(session: Session, name: str, weight: str = "", length: str = "") -> dict[str, Any]:
    """Where a car may ride, its weight and length said as people write them, such as `4.1 oz` and `6 in`.

    Gives the car's name, the changes that bring it in as it was said to be (without setting it into a train), and
    for each train the spots that do, in words and as numbers, or why none does. Raises `ChangeError` where it cannot
    be told, as for a car that no table has and whose length is not said, and `InputError` for what is no weight.
    """
    weight_g = parse_weight(weight, "weight") if weight else None
    known = one_of(name, session.cars)
    changes: list[Change] = []
    if known is None:
        if not length:
            told = f"no table has a car {plain(name)}"
            raise ChangeError(f"{told}; say the length of its body, such as 6 in, to bring it")
        changes.append(Bring(name, parse_length(length, "length"), weight_g))
    elif weight_g is not None and weight_g != session.cars[known].weight_g:
        changes.append(Weigh(known, weight_g))
    after = session.with_changes(changes)
    car = after.cars[one_of(name, after.cars) or name]
    asked = CarInTrain(replace(car, guest=True), 1, False, None, None, 0, 1)
    rides = [Rides(prepared(after, train)).of(asked) for train in after.trains]
    return {
        "car": car.name,
        "kind": car.kind,
        "weight_g": car.weight_g if car.weighed else None,
        "target_g": car.target_g,
        "changes": [said_of(change) for change in changes],
        "trains": [_ride(ride) for ride in rides],
    }


def _ride(ride: TrainRide) -> dict[str, Any]:
    may = spots_words(ride.stands, ride.spots) if ride.stands else None
    return {
        "train": ride.train, "in_train": ride.in_train, "spots": list(ride.stands), "may": may,
        "why_not": ride.why_not, "margin": ride.margin, "too_long": [stop.place for stop in ride.too_long],
    }  # fmt: skip
