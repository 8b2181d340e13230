"""What is not known of a train, and draws of it: each figure by the spread that the house gives it.

Figures that all vehicles share are drawn by a lattice that fills their cube evenly, those of single vehicles by Latin
squares, each the same normal quantiles in an order of its own. The same train gives the same draws.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import log, sqrt
from statistics import NormalDist
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from consist.house import House, Spread
from consist.mechanics import side_limits
from consist.scales import Scale
from consist.stock import Car, Engine
from consist.trains import Draws, Prepared, stock_of

__all__ = ["COUNT", "HOLDS", "Unknown", "Unknowns", "What", "log_deviation", "unknowns_of"]

Floats = NDArray[np.float64]

What = Literal[
    "rolling", "weight", "truck centers", "pull", "curve resistance", "flange drag", "flange friction",
    "flange angle", "helper's part",
]  # fmt: skip
"""What may not be known, in the words of the trade."""
SHARED: tuple[What, ...] = (
    "flange friction", "flange angle", "rolling", "curve resistance", "flange drag", "helper's part",
)  # fmt: skip
"""What all vehicles share."""

COUNT = 401
"""So many draws: a prime, so that multiples of one number run through all of them, and one over a round number, so
that the ends of nine tenths are draws themselves."""
GENERATOR = 92
"""Of all multipliers that with the least error on sums of smooth functions of six figures (P2, weights of a half)."""
SEED = 14
HOLDS = 0.9
"""What a spread holds."""
TO_THE_ENDS = NormalDist().inv_cdf(0.5 + 0.5 * HOLDS)
"""From the middle to either end of that, in standard deviations."""
STEEPER_DEG, STEEPEST_DEG = 1.0, 89.0
"""A flange is drawn no less steep than the angle of friction and so much more, since else no train could run."""
LEAST_DRAG, MOST_DRAG = 1e-6, 0.5
"""No greater flange drag is drawn, as `consist/intake/fields.toml` lets none be given."""
LEAST_G = 1e-6
LEAST_SINGLE = 1e-9


@dataclass(frozen=True)
class Unknown:
    """One figure that is not known: of a car or an engine by its name, None for what all share.

    `drawn` are its standard normal deviates, of shape (draws,). `grams` is what the vehicle weighs, 0 for all.
    """

    what: What
    name: str | None
    drawn: Floats
    grams: float = 0.0


@dataclass(frozen=True)
class Unknowns:
    """Everything that is not known of a train, what all its vehicles share and what is of a single one, in draws.

    How a car rolls goes by its own deviate and by that which all cars share, `rolling_shared` times as much.
    """

    shared: tuple[Unknown, ...]
    single: tuple[Unknown, ...]
    rolling_shared: float
    draws: Draws

    def singles(self, what: What) -> list[Unknown]:
        """What is of single vehicles, of one kind."""
        return [one for one in self.single if one.what == what]

    @property
    def rolling(self) -> Unknown | None:
        """What all cars share of how they roll, None where that is nothing."""
        return next((one for one in self.shared if one.what == "rolling"), None)


@cache
def _quantiles() -> Floats:
    """The normal quantiles in the middles of even parts."""
    normal = NormalDist()
    return np.array([normal.inv_cdf((number + 0.5) / COUNT) for number in range(COUNT)])


def _lattice(random: np.random.Generator) -> dict[What, Floats]:
    """Deviates of what all share: multiples of one number, each figure's those of the last by the generator."""
    numbers, factor, found = np.arange(COUNT), 1, {}
    for what in SHARED:
        found[what] = _quantiles()[(factor * numbers + int(random.integers(COUNT))) % COUNT]
        factor = factor * GENERATOR % COUNT
    return found


def log_deviation(factor: float) -> float:
    """The standard deviation of the logarithm of what lies within a factor either way in nine cases of ten.

    >>> round(log_deviation(1.6), 3)
    0.286
    """
    return log(factor) / TO_THE_ENDS


def unknowns_of(of: Prepared) -> Unknowns:
    """What is not known of a train, with its draws."""
    house, spread = of.session.house, of.session.house.spread
    random = np.random.default_rng(SEED)
    deviates = _lattice(random)
    loads = {car.car.name: car.weight_g - car.car.weight_g for car in of.train.cars}
    made: dict[tuple[type, str], _Vehicle] = {}
    for one in stock_of(of):
        # engines that stand in for others are one engine several times
        if (type(one), one.name) not in made:
            load_g = loads[one.name] if isinstance(one, Car) else 0.0
            made[type(one), one.name] = _Vehicle.drawn(one, load_g, spread, deviates["rolling"], random)
    vehicles = [made[type(one), one.name] for one in stock_of(of)]
    sizes: dict[What, float] = {
        "flange friction": spread.flange_friction,
        "flange angle": spread.flange_angle_deg,
        "rolling": spread.rolling_common * any(one.what == "rolling" for each in vehicles for one in each.unknown),
        "curve resistance": log_deviation(spread.curve_resistance),
        "flange drag": log_deviation(spread.flange_drag) * house.flange_drag,
        "helper's part": log_deviation(spread.helper_part) * bool(of.engines and of.train.helpers),
    }
    drag = np.exp(log_deviation(spread.flange_drag) * deviates["flange drag"])
    return Unknowns(
        shared=tuple(Unknown(what, None, deviates[what]) for what in SHARED if sizes[what] > 0.0),
        single=tuple(one for each in made.values() for one in each.unknown),
        rolling_shared=sqrt(spread.rolling_common / max(1.0 - spread.rolling_common, LEAST_SINGLE)),
        draws=Draws(
            weight=_rows([each.weight for each in vehicles]),
            rolling=_rows([each.rolling for each in vehicles]),
            pull=_rows([each.pull for each in vehicles]),
            truck_centers=_rows([each.truck_centers for each in vehicles]),
            curve=np.exp(log_deviation(spread.curve_resistance) * deviates["curve resistance"]),
            flange_drag=np.minimum(drag, max(MOST_DRAG / max(house.flange_drag, LEAST_DRAG), 1.0)),
            helper_part=np.exp(log_deviation(spread.helper_part) * deviates["helper's part"]),
            climb=_climb_limits(house, of.session.layout.scale, deviates),
        ),
    )


def _rows(factors: list[Floats]) -> Floats:
    return np.array(factors).reshape(-1, COUNT)


@dataclass(frozen=True)
class _Vehicle:
    """One vehicle's factors, of shape (draws,), and what is not known of it."""

    weight: Floats
    rolling: Floats
    pull: Floats
    truck_centers: Floats
    unknown: tuple[Unknown, ...]

    @classmethod
    def drawn(
        cls, one: Engine | Car, load_g: float, spread: Spread, shared: Floats, random: np.random.Generator
    ) -> _Vehicle:
        """A vehicle drawn. Deviates are drawn of known figures too, so that the others stay once one gets known."""
        first, second, third = (_quantiles()[random.permutation(COUNT)] for _ in range(3))
        found: list[tuple[What, Floats, float]] = []
        rolling, pull = np.ones(COUNT), np.ones(COUNT)
        grams = one.weight_g + load_g
        if isinstance(one, Engine):
            size = log_deviation(spread.grip if "grip" in one.assumed else spread.pull)
            pull = np.exp(size * first)
            found.append(("pull", first, size))
        elif "rolling" in one.assumed:
            size, common = log_deviation(spread.rolling), spread.rolling_common
            rolling = np.exp(size * (sqrt(common) * shared + sqrt(1.0 - common) * first))
            found.append(("rolling", first, size))
        weighed = log_deviation(spread.weighed)
        size = log_deviation(spread.weight) if "weight" in one.assumed else weighed
        # a load is always one that was weighed
        weight = (one.weight_g * np.exp(size * second) + load_g * np.exp(weighed * second)) / max(grams, LEAST_G)
        found.append(("weight", second, size))
        size = log_deviation(spread.truck_centers) if "truck centers" in one.assumed else 0.0
        found.append(("truck centers", third, size))
        unknown = tuple(Unknown(what, one.name, deviates, grams) for what, deviates, size in found if size > 0.0)
        return cls(weight, rolling, pull, np.exp(size * third), unknown)


def _climb_limits(house: House, scale: Scale, deviates: Mapping[What, Floats]) -> Floats:
    """The limit at which a flange climbs in each draw."""
    friction = house.flange_friction + house.spread.flange_friction / TO_THE_ENDS * deviates["flange friction"]
    angle = house.flange_angle_deg + house.spread.flange_angle_deg / TO_THE_ENDS * deviates["flange angle"]
    friction = np.maximum(friction, 0.0)
    steep = np.minimum(
        np.maximum(angle, np.degrees(np.arctan(friction)) + STEEPER_DEG), max(STEEPEST_DEG, house.flange_angle_deg)
    )
    limits = (
        side_limits(scale.gauge_mm, scale.coupler_height_mm, *flange)
        for flange in zip(steep.tolist(), friction.tolist(), strict=True)
    )
    return np.array([limit.climb for limit in limits])
