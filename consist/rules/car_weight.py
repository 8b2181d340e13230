"""Cars against the weight standard: too light as they run in this train, too heavy as they stand empty.

A load makes up for what an empty car lacks tonight, and a loaded car is meant to be heavy.

Basis: the session's weight standard. On the target or a little over beats under it; about a tenth under is near
enough (common practice, no source). Up to 30 % over is within NEM 302.
"""

from __future__ import annotations

from consist.rules.case import Case
from consist.rules.finding import Finding
from consist.session import CarInTrain
from consist.stock import NEAR_ENOUGH, OVER_ENOUGH
from consist.weights import heavier, lighter

__all__ = ["car_weight"]

FAR_UNDER = 0.30
"""A car this share under its target is a matter of care, not a note. Common practice, no source."""


def car_weight(case: Case) -> list[Finding]:
    """`not-weighed`, `underweight` or `overweight` for each car it is true of.

    `value` is the weight in grams that was judged, `limit` the standard's target.
    """
    return [finding for car in case.cars if (finding := _finding(case, car)) is not None]


def _finding(case: Case, car: CarInTrain) -> Finding | None:
    target = car.car.target_g
    standard = case.session.standard
    if not car.car.weighed:
        return Finding(
            code="not-weighed",
            level="care",
            say=(
                f"{car.car.name} in spot {car.spot} has no weight in the roster and was taken at its target of "
                f"{case.weight(target)}; weigh it with everything on the scale."
            ),
            car=car.car.name,
            spot=car.spot,
            limit=target,
        )
    missing = target - car.weight_g
    if lighter(car.weight_g, (1.0 - NEAR_ENOUGH) * target):
        return Finding(
            code="underweight",
            level="care" if lighter(car.weight_g, (1.0 - FAR_UNDER) * target) else "note",
            say=(
                f"{car.car.name} in spot {car.spot} weighs {case.weight(car.weight_g)}, "
                f"{case.weight(missing)} under the {case.weight(target)} of {standard.title} for its "
                f"{standard.length_words}; add {case.weight(missing)}."
            ),
            car=car.car.name,
            spot=car.spot,
            value=car.weight_g,
            limit=target,
        )
    over = car.car.weight_g - target
    if heavier(car.car.weight_g, (1.0 + OVER_ENOUGH) * target):
        return Finding(
            code="overweight",
            level="note",
            say=(
                f"{car.car.name} in spot {car.spot} weighs {case.weight(car.car.weight_g)} empty, "
                f"{case.weight(over)} over the {case.weight(target)} of {standard.title} for its "
                f"{standard.length_words}; stand it near the head end, or lighten it."
            ),
            car=car.car.name,
            spot=car.spot,
            value=car.car.weight_g,
            limit=target,
        )
    return None
