"""A train with other figures in many draws, at the few places that decide.

What was not measured may be other than the middle figure that a check takes. Many draws of all such figures are
worked out at once by the evaluator that works out many orders at once. The few places are those at which the train
is at its worst as it is checked, and those at which a few draws far from one another are, each looked at all along
the route: another car may be worst in them, and another limit decide. Figures there are never above the full ones.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consist.mechanics import Limits, Standing, Vehicles, evaluate, even_heads, stand, track_share, worked_out
from consist.stock import Car, Engine
from consist.trains.few_places import CELLS_AT_ONCE
from consist.trains.prepared import Prepared
from consist.trains.trip import LegRun, Trip

__all__ = ["AtDraws", "Draws", "at_draws", "stock_of"]

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]

MATTERS = 0.5
"""A car's worst place joins the few where its use is more than this share of the train's worst."""
NEAR_MOST = 0.97
"""Of a draw that is looked at all along, the places whose use is over this share of its greatest join them."""
BESIDE = np.array([-0.75, -0.5, -0.25, 0.25, 0.5, 0.75])
"""How far from such places those draws are looked at again, as shares of how far apart heads were."""
RISES = 1.0001
"""Figures that differ by less from one head to the next are the same."""
ENDS = 0.05, 0.95
"""Of what draws differ in, the shares of draws below those that are looked at all along."""
NEAR_MM = 0.5
"""Places nearer than this are one."""
MOST_LOOKS = 150_000
"""Vehicles times heads times draws looked at all along; of very long routes only every so many heads are."""


@dataclass(frozen=True)
class Draws:
    """Figures drawn, as factors of those the train has; 1 is as it stands.

    Of the train's stock in the order of `stock_of`, of shape (vehicles, draws): `weight` (as it runs, with its load),
    `rolling`, `pull` and `truck_centers`. Of all, of shape (draws,): `curve` (resistance), `flange_drag`,
    `helper_part` (of what helpers give as `Vehicles` has it), and `climb`, which is no factor but the limit at which
    a flange climbs, as `Limits` has it.
    """

    weight: Floats
    rolling: Floats
    pull: Floats
    truck_centers: Floats
    curve: Floats
    flange_drag: Floats
    helper_part: Floats
    climb: Floats

    def __len__(self) -> int:
        return len(self.climb)

    @property
    def far_apart(self) -> Numbers:
        """Some draws far from one another: near either end of what all vehicles share, and of how easily they roll
        against how easily they climb."""
        rolling = self.rolling.mean(axis=0) if len(self.rolling) else self.curve
        traits = (
            self.climb, rolling, self.curve, self.flange_drag, self.helper_part, self.climb * rolling,
            self.climb / rolling,
        )  # fmt: skip
        numbers = [int(share * (len(self) - 1)) for share in ENDS]
        found = [np.argsort(trait, kind="stable")[numbers] for trait in traits if np.any(trait != trait[0])]
        return np.unique(np.concatenate([[0], *found]))


@dataclass(frozen=True)
class AtDraws:
    """Of each draw, of shape (draws,): the greatest side use, and the greatest shares that engines give of what they
    can pull and of what they can hold back, infinite where they have nothing to give."""

    side_use: Floats
    power_use: Floats
    hold_use: Floats


def stock_of(of: Prepared) -> tuple[Engine | Car, ...]:
    """Everything that rides in a train at some time, in running order: lead engines, cars, helpers."""
    return (*of.engines, *(car.car for car in of.train.cars), *of.train.helpers)


def at_draws(of: Prepared, trip: Trip, draws: Draws) -> AtDraws:
    """What a train comes to in each draw, from its trip as it is."""
    found = np.zeros((3, len(draws)))
    for leg in trip.legs:
        if len(leg.vehicles):
            on = _OnLeg(of, leg, draws)
            found = np.maximum(found, on.greatest(on.places(trip.worst_use)))
    return AtDraws(*found)


class _OnLeg:
    """A leg of a train in many draws."""

    def __init__(self, of: Prepared, leg: LegRun, draws: Draws) -> None:
        self._of, self._leg, self._draws = of, leg, draws
        # by vehicle of the leg its number in the train's stock
        lead, cars, riding = len(of.engines), of.train.cars, {car.car.name for car in leg.cars}
        rows = [lead + number for number, car in enumerate(cars) if car.car.name in riding]
        helpers = range(lead + len(cars), lead + len(cars) + len(of.train.helpers))
        # all from the end that leads, as the leg has them
        order = -1 if leg.leg.backing else 1
        self._rows = np.array([*range(lead), *rows, *helpers], dtype=np.intp)[::order]
        self._stands_alike = bool(np.all(draws.truck_centers[self._rows] == 1.0))

    def places(self, worst_use: float) -> Floats:
        """The few heads (mm); `worst_use` is the train's greatest side use as it is."""
        leg, peaks = self._leg, self._leg.peaks
        heads = [peaks.use.head_mm[car] for car in leg.vehicles.cars if peaks.use.value[car] > MATTERS * worst_use]
        if leg.powered:
            heads += [peaks.power_use.head_mm[0], peaks.hold_use.head_mm[0]]
        some = self._draws.far_apart
        along_mm, apart_mm = self._along(len(some))
        tops_mm = along_mm[_tops(self._seen(some, along_mm))]
        closer_mm = np.clip((tops_mm[:, None] + apart_mm * BESIDE).ravel(), leg.from_mm, leg.to_mm)
        hardest = np.unique(self._seen(some, closer_mm).argmax(axis=1))
        own = np.unique(heads)
        others = np.sort(np.concatenate((tops_mm, closer_mm[hardest])))
        near = np.abs(others[:, None] - own).min(axis=1, initial=np.inf) <= NEAR_MM
        others = others[~near]
        return np.concatenate((own, others[np.diff(others, prepend=-np.inf) > NEAR_MM]))

    def _seen(self, draws: Numbers, heads_mm: Floats) -> Floats:
        """Figures of some draws at many heads, of shape (3 x draws, heads)."""
        each = max(CELLS_AT_ONCE // (len(draws) * len(self._rows)), 1)
        parts = [heads_mm[first : first + each] for first in range(0, len(heads_mm), each)]
        return np.concatenate([self._figures(draws, part) for part in parts], axis=2).reshape(-1, len(heads_mm))

    def _along(self, draws: int) -> tuple[Floats, float]:
        """Heads (mm) all along the leg at which so many draws are looked at, and how far they are apart."""
        leg = self._leg
        heads = even_heads(leg.tables, leg.from_mm, leg.to_mm, float(leg.vehicles.length_mm[: leg.first_car].sum()))
        every = 1 + len(heads) * len(self._rows) * draws // MOST_LOOKS
        return heads[::every], every * leg.tables.step_mm

    def greatest(self, heads_mm: Floats) -> Floats:
        """The greatest three figures of each draw at some heads, of shape (3, draws)."""
        each = max(CELLS_AT_ONCE // (len(self._rows) * len(heads_mm)), 1)
        numbers = np.arange(len(self._draws))
        parts = [numbers[first : first + each] for first in range(0, len(numbers), each)]
        found = np.concatenate([self._figures(part, heads_mm).max(axis=2) for part in parts], axis=1)
        most: Floats = np.maximum(found, 0.0)
        return most

    def _figures(self, draws: Numbers, heads_mm: Floats) -> Floats:
        """The greatest side use, and the shares that engines give and hold back, of shape (3, draws, heads)."""
        of, known = self._draws, self._leg.tables
        curve, drag = known.curve_share * of.curve[draws, None], known.flange_drag * of.flange_drag[draws, None]
        limits = Limits(self._of.limits.tip, of.climb[draws, None])
        train = self._drawn(draws)
        if self._stands_alike:
            figures = worked_out(train, self._standing(draws, heads_mm), drag, limits)
        else:
            figures = evaluate(train, known.asking(curve, drag), heads_mm, limits)
        share = figures.forces.engine_share
        return np.stack((figures.use.max(axis=0), share, -share))

    def _standing(self, draws: Numbers, heads_mm: Floats) -> Standing:
        """How the train stands in draws that ask for other curve resistance alone, worked out once for all."""
        train, tables = self._leg.vehicles.columns, self._leg.tables
        once = stand(train, tables, heads_mm)
        slope = track_share(train, tables.asking(np.zeros(1), np.zeros(1)), heads_mm)
        share = slope[:, None] + (once.share - slope)[:, None] * self._draws.curve[draws, None]
        every = len(once.ahead), *share.shape[1:]
        ahead, behind = (np.broadcast_to(sine[:, None], every) for sine in (once.ahead, once.behind))
        return Standing(share, ahead, behind, None if once.strain is None else once.strain[:, None])

    def _drawn(self, draws: Numbers) -> Vehicles:
        """The train with the figures of some draws, of shape (vehicles, draws, 1)."""
        train, every = self._leg.vehicles, (len(self._rows), len(draws), 1)

        def drawn(figure: Floats, factor: Floats) -> Floats:
            return figure[:, None, None] * factor[self._rows[:, None], draws][:, :, None]

        helper_part = self._draws.helper_part[draws, None]
        centers = drawn(train.truck_centers_mm, self._draws.truck_centers)
        on_truck = np.broadcast_to(train.on_truck[:, None, None], every)
        return Vehicles(
            length_mm=np.broadcast_to(train.length_mm[:, None, None], every),
            truck_centers_mm=centers,
            pivot_mm=np.where(on_truck, 0.5 * centers, train.pivot_mm[:, None, None]),
            weight_g=drawn(train.weight_g, self._draws.weight),
            rolling=drawn(train.rolling, self._draws.rolling),
            pull_g=drawn(train.pull_g, self._draws.pull),
            on_truck=on_truck,
            ahead=train.ahead,
            behind=train.behind,
            # where the train backs its helpers are ahead
            helper_part=1.0 / helper_part if self._leg.leg.backing else helper_part,
            hand_behind=train.hand_behind,
        )


def _tops(figures: Floats) -> Numbers:
    """The heads by number at which one of some figures, of shape (figures, heads), is at or near its greatest."""
    beside = np.pad(figures, ((0, 0), (1, 1)))
    # where a figure stays as it is its first head will do
    rises, stays = figures > RISES * beside[:, :-2], figures >= beside[:, 2:]
    tops = rises & stays & (figures >= NEAR_MOST * figures.max(axis=1, keepdims=True)) & (figures > 0.0)
    tops[np.arange(len(figures)), figures.argmax(axis=1)] = True
    return np.flatnonzero(tops.any(axis=0))
