"""A car ready to be placed in a train: every figure known, and which of them were assumed.

The rules of assumption are those of the README's section on assumptions.
"""

from __future__ import annotations

from dataclasses import dataclass

from consist.intake.records import CarRecord, CouplerMount
from consist.scales import Scale
from consist.stock.standards import WeightStandard

__all__ = ["TRUCK_CENTERS_SHARE", "Car", "car_from_record"]

TRUCK_CENTERS_SHARE = 0.72
"""Truck centers as a share of coupled length where none are given. Common practice, no source."""


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


def car_from_record(record: CarRecord, scale: Scale, standard: WeightStandard, rolling_percent: float) -> Car:
    """A car from its row, with what the row leaves out assumed by rule.

    `record` must hold `body_length_mm` or `coupled_length_mm`; intake sees to that.
    """
    assumed = set()
    body, coupled = record.body_length_mm, record.coupled_length_mm
    if coupled is None:
        if body is None:
            raise ValueError(f"car {record.car} has neither a body length nor a coupled length")
        coupled = body + scale.coupled_over_body_mm
        assumed.add("coupled length")
    if body is None:
        body = coupled - scale.coupled_over_body_mm
        assumed.add("body length")
    target = standard.target_g(body, coupled, record.kind or "")
    weight = record.weight_g
    if weight is None:
        weight = target
        assumed.add("weight")
    centers = record.truck_centers_mm
    if centers is None:
        centers = TRUCK_CENTERS_SHARE * coupled
        assumed.add("truck centers")
    mount = record.coupler_mount
    if mount is None:
        mount = "body"
        assumed.add("coupler mount")
    rolls_at = record.rolls_at_percent
    if rolls_at is None:
        rolls_at = rolling_percent
        assumed.add("rolling")
    return Car(
        name=record.car,
        kind=record.kind or "",
        weight_g=weight,
        load_g=record.load_g or 0.0,
        body_length_mm=body,
        coupled_length_mm=coupled,
        truck_centers_mm=centers,
        coupler_mount=mount,
        rolling=rolls_at / 100.0,
        target_g=target,
        max_swing_deg=record.max_swing_deg,
        min_radius_mm=record.min_radius_mm,
        owner=record.owner or "",
        note=record.note or "",
        guest=record.guest,
        assumed=frozenset(assumed),
        wheels_in_gauge=record.wheels_in_gauge,
        coupler_height_ok=record.coupler_height_ok,
        height_mm=record.height_mm,
        width_mm=record.width_mm,
    )
