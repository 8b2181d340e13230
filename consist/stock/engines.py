"""An engine ready to pull: its weight, its usable pull, and which figures were assumed."""

from __future__ import annotations

from dataclasses import dataclass

from consist.intake.records import EngineRecord
from consist.scales import HO_RATIO, Scale
from consist.stock.cars import TRUCK_CENTERS_SHARE

__all__ = ["ASSUMED_GRIP", "Engine", "engine_from_record"]

ASSUMED_GRIP = 0.25
"""Pull as a share of the weight on drivers, metal on metal. Common practice is 0.20 to 0.25."""
HO_ENGINE_LENGTH_MM = 200.0  # common practice, no source: an engine of middling length in HO


@dataclass(frozen=True)
class Engine:
    """An engine: weight and measured (or reckoned) level pull in grams, lengths in millimetres."""

    name: str
    engine_class: str
    weight_g: float
    pull_g: float
    coupled_length_mm: float
    truck_centers_mm: float
    home: str = ""
    measured: bool = False
    assumed: frozenset[str] = frozenset()


def engine_from_record(record: EngineRecord, scale: Scale) -> Engine:
    """An engine from its row. Intake sees to it that a weight or a measured pull is there.

    An engine whose weight is not known is taken to weigh its pull over the assumed grip.
    """
    assumed = set()
    weight = record.weight_g
    drivers = record.drivers_weight_g
    if weight is None:
        weight = drivers if drivers is not None else (record.pull_g or 0.0) / ASSUMED_GRIP
        assumed.add("weight")
    pull = record.pull_g
    measured = pull is not None
    if pull is None:
        grip = record.grip
        if grip is None:
            grip = ASSUMED_GRIP
            assumed.add("grip")
        if drivers is None:
            drivers = weight
            assumed.add("weight on drivers")
        pull = grip * drivers
    length = record.coupled_length_mm
    if length is None:
        length = HO_ENGINE_LENGTH_MM * HO_RATIO / scale.ratio
        assumed.add("coupled length")
    centers = record.truck_centers_mm
    if centers is None:
        centers = TRUCK_CENTERS_SHARE * length
        assumed.add("truck centers")
    return Engine(
        name=record.engine,
        engine_class=record.engine_class or record.engine,
        weight_g=weight,
        pull_g=pull,
        coupled_length_mm=length,
        truck_centers_mm=centers,
        home=record.home or "",
        measured=measured,
        assumed=frozenset(assumed),
    )
