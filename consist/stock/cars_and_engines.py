"""Cars and engines ready to be placed in a train: every figure known, and which of them were assumed.

The rules of assumption are those of the README's section on assumptions.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from consist.scales import Scale
from consist.stock.standards import WeightStandard

__all__ = ["ASSUMED_GRIP", "Car", "CouplerMount", "Engine", "car_by_rule", "engine_by_rule"]

CouplerMount = Literal["body", "truck"]

TRUCK_CENTERS_SHARE = 0.72
"""Truck centers as a share of coupled length where none are given. Common practice, no source."""
ASSUMED_GRIP = 0.25
"""Pull as a share of the weight on drivers, metal on metal. Common practice is 0.20 to 0.25."""
HO_ENGINE_LENGTH_MM = 200.0  # common practice, no source: an engine of middling length in HO


@dataclass(frozen=True)
class Car:
    """A car, empty weight and load apart. `assumed` names the fields that were filled in by rule.

    Weights in grams, lengths in millimetres, `rolling` as a share of weight (0.014 is 1.4 %). The last four fields
    are a guest's, None where they were not looked at.
    """

    name: str
    kind: str
    weight_g: float
    load_g: float
    body_length_mm: float
    coupled_length_mm: float
    truck_centers_mm: float
    coupler_mount: CouplerMount
    rolling: float
    target_g: float
    max_swing_deg: float | None = None
    min_radius_mm: float | None = None
    owner: str = ""
    note: str = ""
    guest: bool = False
    assumed: frozenset[str] = frozenset()
    wheels_in_gauge: bool | None = None
    coupler_height_ok: bool | None = None
    height_mm: float | None = None
    width_mm: float | None = None

    def running_weight_g(self, loaded: bool) -> float:
        """What the car weighs in a train, with its load where it carries one."""
        return self.weight_g + (self.load_g if loaded else 0.0)

    @property
    def weighed(self) -> bool:
        """Whether the roster gives a weight for this car."""
        return "weight" not in self.assumed


@dataclass(frozen=True)
class Engine:
    """An engine: weight and measured (or reckoned) level pull in grams, lengths in millimetres.

    One that `stands_in` for engines that nobody named has as much pull as its train takes.
    """

    name: str
    engine_class: str
    weight_g: float
    pull_g: float
    coupled_length_mm: float
    truck_centers_mm: float
    home: str = ""
    measured: bool = False
    assumed: frozenset[str] = frozenset()
    stands_in: bool = False


class _Known:
    """What is known of a car or an engine, taken out of `given` figure by figure; the rest stands there as it is."""

    def __init__(self, given: dict[str, Any]) -> None:
        self.given = {name: value for name, value in given.items() if value is not None}
        self.assumed: set[str] = set()

    def take(self, name: str, rule: Any, what: str) -> Any:
        """The value of that name, or what the rule makes of it where it is not known."""
        if name not in self.given:
            self.assumed.add(what)
        return self.given.pop(name, rule)


def car_by_rule(name: str, scale: Scale, standard: WeightStandard, rolling_percent: float, **given: Any) -> Car:
    """A car from what is known of it, with what is not known (None, or not given) assumed by rule.

    `rolling_percent` is the grade on which the house's cars just keep rolling; `given` are fields of a car, and
    `rolls_at_percent`. Raises `ValueError` where neither length is known.

    >>> from consist.scales import SCALES
    >>> from consist.stock.standards import weight_standard
    >>> rule = weight_standard("nmra-rp-20.1", "HO")
    >>> car = car_by_rule("QTR 1", SCALES["HO"], rule, 1.4, weight_g=113.0, body_length_mm=150.0, owner="Ada")
    >>> round(car.coupled_length_mm, 1), sorted(car.assumed)
    (162.7, ['coupled length', 'coupler mount', 'rolling', 'truck centers'])
    """
    known, couplers = _Known(given), scale.coupled_over_body_mm
    if not {"body_length_mm", "coupled_length_mm"} & {*known.given}:
        raise ValueError(f"car {name} has neither a body length nor a coupled length")
    coupled = known.take("coupled_length_mm", known.given.get("body_length_mm", 0.0) + couplers, "coupled length")
    body = known.take("body_length_mm", coupled - couplers, "body length")
    target = standard.target_g(body, coupled, known.given.get("kind", ""))
    return Car(
        name=name,
        weight_g=known.take("weight_g", target, "weight"),
        body_length_mm=body,
        coupled_length_mm=coupled,
        truck_centers_mm=known.take("truck_centers_mm", TRUCK_CENTERS_SHARE * coupled, "truck centers"),
        coupler_mount=known.take("coupler_mount", "body", "coupler mount"),
        rolling=known.take("rolls_at_percent", rolling_percent, "rolling") / 100.0,
        target_g=target,
        **{"kind": "", "load_g": 0.0, **known.given},
        assumed=frozenset(known.assumed),
    )


def engine_by_rule(name: str, scale: Scale, **given: Any) -> Engine:
    """An engine from what is known of it, with what is not known (None, or not given) assumed by rule.

    `given` are fields of an engine, `drivers_weight_g` and `grip`. A weight or a measured pull must be known; an
    engine whose weight is not is taken to weigh its pull over the assumed grip. One without a class is of its own.
    """
    known = _Known(given)
    measured = "pull_g" in known.given
    by_pull_g = known.given.get("drivers_weight_g", known.given.get("pull_g", 0.0) / ASSUMED_GRIP)
    weight_g = known.take("weight_g", by_pull_g, "weight")
    by_grip_g = known.take("grip", ASSUMED_GRIP, "grip") * known.take(
        "drivers_weight_g", weight_g, "weight on drivers"
    )
    length_mm = known.take("coupled_length_mm", scale.by_ratio(HO_ENGINE_LENGTH_MM), "coupled length")
    return Engine(
        name=name,
        weight_g=weight_g,
        pull_g=known.take("pull_g", by_grip_g, "pull"),
        coupled_length_mm=length_mm,
        truck_centers_mm=known.take("truck_centers_mm", TRUCK_CENTERS_SHARE * length_mm, "truck centers"),
        measured=measured,
        **{"engine_class": name, "home": "", **known.given},
        # the pull itself is measured, or worked out of what is told instead
        assumed=frozenset(known.assumed - ({"grip", "weight on drivers"} if measured else {"pull"})),
    )
