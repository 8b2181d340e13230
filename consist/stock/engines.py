"""An engine ready to pull: its weight, its usable pull, and which figures were assumed."""

from __future__ import annotations

from dataclasses import dataclass

from consist.scales import Scale
from consist.stock.cars import TRUCK_CENTERS_SHARE

__all__ = ["ASSUMED_GRIP", "Engine", "engine_by_rule"]

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


def engine_by_rule(
    name: str,
    scale: Scale,
    *,
    engine_class: str | None = None,
    weight_g: float | None = None,
    drivers_weight_g: float | None = None,
    pull_g: float | None = None,
    grip: float | None = None,
    coupled_length_mm: float | None = None,
    truck_centers_mm: float | None = None,
    home: str = "",
) -> Engine:
    """An engine from what is known of it, with what is not known (None) assumed by rule.

    A weight or a measured pull must be known; an engine whose weight is not is taken to weigh its pull over the
    assumed grip. One without a class is of its own kind.
    """
    assumed = set()

    def known(value: float | None, rule: float, what: str) -> float:
        if value is None:
            assumed.add(what)
            return rule
        return value

    by_pull = drivers_weight_g if drivers_weight_g is not None else (pull_g or 0.0) / ASSUMED_GRIP
    weight = known(weight_g, by_pull, "weight")
    pull = pull_g
    if pull is None:
        pull = known(grip, ASSUMED_GRIP, "grip") * known(drivers_weight_g, weight, "weight on drivers")
    length = known(coupled_length_mm, scale.by_ratio(HO_ENGINE_LENGTH_MM), "coupled length")
    return Engine(
        name=name,
        engine_class=engine_class or name,
        weight_g=weight,
        pull_g=pull,
        coupled_length_mm=length,
        truck_centers_mm=known(truck_centers_mm, TRUCK_CENTERS_SHARE * length, "truck centers"),
        home=home,
        measured=pull_g is not None,
        assumed=frozenset(assumed),
    )
