"""Draws of what is not known of a train, by the plain model: plain random numbers, one draw after another.

Written from the design alone, its section on ranges, and the same is drawn as the package draws: but by random
numbers that know nothing of one another, and each draw worked out in plain loops.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import plain
from many_sessions import Drawn, PlainLeg

from consist.house import Spread
from consist.stock import Car, Engine

__all__ = ["PlainDraws", "plain_draws"]

NINE_TENTHS = 1.6448536269514722
"""Standard deviations to either side of the middle that hold nine tenths of a normal distribution: from tables."""
EVERY_MM, SCANNED, NEAR = 12.0, 16, 0.96
"""Some draws are looked at along all of the route, so far apart, and all of them where any of those came to over this
share of its greatest figures."""


@dataclass(frozen=True)
class PlainDraws:
    """What each draw came to."""

    side_use: list[float]
    power_use: list[float]
    hold_use: list[float]

    @staticmethod
    def ends(values: Sequence[float]) -> tuple[float, float]:
        """Those under which a twentieth lies, and over which one does."""
        ordered = sorted(values)
        return ordered[round(0.05 * (len(ordered) - 1))], ordered[round(0.95 * (len(ordered) - 1))]


def plain_draws(of: Drawn, count: int, seed: int) -> PlainDraws:
    """So many draws of a session's train. Beside the ends of each leg and its joints heads are `EVERY_MM` apart."""
    rng, spread = random.Random(seed), of.session.house.spread
    draws = [_drawn(of, spread, rng) for _ in range(count)]
    use = [[0.0] * count for _ in range(3)]
    for number, leg in enumerate(of.legs):
        heads = plain.heads(leg.train, leg.track, leg.from_mm, leg.to_mm, EVERY_MM)
        kept = _that_matter([legs[number] for legs in draws[:SCANNED]], leg, heads)
        for k, legs in enumerate(draws):
            for figure, most in enumerate(_greatest(*legs[number], leg.track, kept)):
                use[figure][k] = max(use[figure][k], most)
    return PlainDraws(*use)


Draw = tuple[list[plain.Vehicle], plain.House]


def _that_matter(draws: Sequence[Draw], leg: PlainLeg, heads: Sequence[float]) -> list[float]:
    kept = set[float]()
    for train, house in [(leg.train, leg.house), *draws]:
        rows = [_three(plain.figures(train, leg.track, house, head)) for head in heads]
        for figure in range(3):
            most = max(row[figure] for row in rows)
            if most > 0.0:
                kept.update(head for head, row in zip(heads, rows, strict=True) if row[figure] >= NEAR * most)
    return sorted(kept)


def _greatest(
    train: Sequence[plain.Vehicle], house: plain.House, track: plain.Track, heads: Sequence[float]
) -> Iterator[float]:
    rows = [_three(plain.figures(train, track, house, head)) for head in heads] or [(0.0, 0.0, 0.0)]
    yield from (max(row[figure] for row in rows) for figure in range(3))


def _three(at: plain.Figures) -> tuple[float, float, float]:
    return max(at.use, default=0.0), at.power_use, at.hold_use


def _drawn(of: Drawn, spread: Spread, rng: random.Random) -> list[Draw]:
    """Each leg's train and house in one draw."""

    def factor(holds: float) -> float:
        return math.exp(math.log(holds) / NINE_TENTHS * rng.gauss(0.0, 1.0))

    common, part, roll = rng.gauss(0.0, 1.0), factor(spread.helper_part), math.log(spread.rolling) / NINE_TENTHS
    curve, drag = factor(spread.curve_resistance), factor(spread.flange_drag)
    friction = spread.flange_friction / NINE_TENTHS * rng.gauss(0.0, 1.0)
    angle = spread.flange_angle_deg / NINE_TENTHS * rng.gauss(0.0, 1.0)
    one, vehicles = of.train, dict[str, dict[str, float]]()
    stock: list[Car | Engine] = [*one.engines, *(riding.car for riding in one.cars), *one.helpers]
    for each in stock:
        weight = factor(spread.weight if "weight" in each.assumed else spread.weighed)
        centers = factor(spread.truck_centers) if "truck centers" in each.assumed else 1.0
        by = {"weight": weight, "centers": centers, "rolling": 1.0, "pull": 1.0}
        if isinstance(each, Engine):
            by["pull"] = factor(spread.grip if "grip" in each.assumed else spread.pull)
        elif "rolling" in each.assumed:
            own = rng.gauss(0.0, 1.0)
            share = spread.rolling_common
            by["rolling"] = math.exp(roll * (math.sqrt(share) * common + math.sqrt(1.0 - share) * own))
        vehicles[each.name] = by
    helpers = {each.name for each in one.helpers}
    found = []
    for leg in of.legs:
        train = [
            replace(
                vehicle,
                weight_g=vehicle.weight_g * vehicles[name]["weight"],
                truck_centers_mm=vehicle.truck_centers_mm * vehicles[name]["centers"],
                rolling=vehicle.rolling * vehicles[name]["rolling"],
                pull_g=vehicle.pull_g * vehicles[name]["pull"],
                part=part if name in helpers else 1.0,
            )
            for name, vehicle in zip(leg.names, leg.train, strict=True)
        ]
        house = replace(
            leg.house,
            flange_friction=max(leg.house.flange_friction + friction, 0.0),
            flange_angle_deg=leg.house.flange_angle_deg + angle,
            flange_drag=leg.house.flange_drag * drag,
            curve_share_per_degree=leg.house.curve_share_per_degree * curve,
        )
        found.append((train, house))
    return found
