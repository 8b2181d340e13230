"""A train worked out in full over a stretch of route: the peak of every figure, within half a per cent."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from consist.mechanics.between import (
    QUARTERS,
    Between,
    Halves,
    Leaps,
    bars,
    bends_between,
    even_heads,
    may_pass,
    may_pass_half,
)
from consist.mechanics.evaluate import Figures, batches, evaluate, swings
from consist.mechanics.peaks import Peak, Peaks
from consist.mechanics.power import Hauling, closely
from consist.mechanics.sidepull import Limits, bearing
from consist.mechanics.tables import RouteTables
from consist.mechanics.vehicles import Vehicles
from consist.side_by_side import WHOLE, Part

__all__ = ["run", "swing_peaks"]

Floats = NDArray[np.float64]

AROUND = np.array([-3.0, -2.0, -1.0, 1.0, 2.0, 3.0]) / np.array([[16.0], [64.0]])
"""Where a car's peak is looked for twice more, in table steps from where it was seen among quarters of a step."""


def run(
    train: Vehicles, tables: RouteTables, from_mm: float, to_mm: float, limits: Limits, part: Part = WHOLE
) -> Peaks:
    """Run a train with its head from one distance along the route to another, both included.

    It may be run in parts, a stretch each, which come to the same figures: all know what any has seen.
    """
    if not len(train):
        none = Peak(np.zeros(0), np.zeros(0))
        return Peaks(none, none, none, none, lambda: (Peak.of(1), Peak.of(1)), lambda: np.zeros(0, dtype=bool))
    ahead_mm = float(train.length_mm[: train.ahead].sum())
    heads = even_heads(tables, from_mm, to_mm, ahead_mm)
    own = part.own(len(heads) - 1)
    # with the heads next to its stretch, by which figures at its ends are seen to bend
    beside = slice(max(own.start - 1, 0), own.stop + 2)
    near = heads[beside]
    between = Between(train, tables, near)
    seen = _Seen(train, tables, near, limits, part, slice(own.start - beside.start, own.stop - beside.start))
    seen.take_at(between.closer(seen.still_doubtful(between), seen.hauling.engine_share, QUARTERS[::2]))
    for steps in AROUND:
        seen.take_at(seen.around_peaks(steps, from_mm, to_mm))
    hauling = Hauling.joined(part.tell(seen.hauling.part(seen.own))).part(slice(1, None))
    use = seen.use
    return Peaks(
        use,
        seen.tension,
        seen.buff,
        seen.strain,
        lambda: closely(train, tables, between if part is WHOLE else Between(train, tables, heads), hauling).peaks(),
        lambda: _pushed(evaluate(train, tables, use.head_mm, limits)),
    )


class _Seen:
    """A train at even heads, some intervals of which are its own, and the peaks of all figures seen so far."""

    def __init__(
        self, train: Vehicles, tables: RouteTables, heads_mm: Floats, limits: Limits, share: Part, own: slice
    ) -> None:
        vehicles, heads = len(train), len(heads_mm)
        self._train, self._tables, self._limits, self._share, self.own = train, tables, limits, share, own
        self._uses, self._tensions = np.zeros((vehicles, heads)), np.zeros((vehicles - 1, heads))
        self.hauling = Hauling(heads_mm, np.zeros(heads), np.zeros(heads), np.zeros(heads))
        self._sines = np.zeros((2, vehicles - 1))
        self._drag = 0.0
        self._heads = heads_mm
        self.use = Peak(np.zeros(vehicles), np.full(vehicles, heads_mm[0]))
        self.tension, self.buff = Peak.of(vehicles - 1), Peak.of(vehicles - 1)
        self.strain = Peak(np.zeros(vehicles - 1), np.zeros(vehicles - 1))
        for part, figures in self._looked(heads_mm):
            self._uses[:, part], self._tensions[:, part] = figures.use, figures.forces.tension
            self.hauling.engine_share[part] = figures.forces.engine_share
            self.hauling.resistance[part], self.hauling.usable[part] = (
                figures.forces.resistance,
                figures.forces.usable,
            )
            sines = np.abs(figures.standing.ahead), np.abs(figures.standing.behind)
            self._sines = np.maximum(self._sines, [sine.max(axis=1) for sine in sines])
            together = (sines[0] + sines[1]).sum(axis=0).max(initial=0.0)
            self._drag = max(self._drag, tables.flange_drag * float(together))
        self._agree()

    def _agree(self) -> None:
        """Hold what all parts of the run have seen, of equals the first."""
        first, *others = self._share.tell((self.use, self.tension, self.buff, self.strain, self._sines, self._drag))
        self.use, self.tension, self.buff, self.strain, self._sines, self._drag = first
        for use, tension, buff, strain, sines, drag in others:
            self.use.add(use)
            self.tension.add(tension)
            self.buff.add(buff)
            self.strain.add(strain)
            self._sines, self._drag = np.maximum(self._sines, sines), max(self._drag, drag)

    def still_doubtful(self, between: Between) -> NDArray[np.bool_]:
        """The intervals in which a figure may pass its peak, once those that may are looked at in their middles."""
        found, leaps = self._doubtful(between)
        cells = np.flatnonzero(found)
        cars = slice(self._train.cars.start, self._train.cars.stop)
        uses, pulls = (Halves.of(figures, cells) for figures in (self._uses[cars], self._tensions))
        for part, figures in self._looked(0.5 * (self._heads[cells] + self._heads[cells + 1])):
            uses.middle[:, part], pulls.middle[:, part] = figures.use[cars], figures.forces.tension
        self._agree()
        in_use = Leaps(self._in_use(leaps.past), self._in_use(leaps.one_way))
        passing = np.zeros(len(cells), dtype=bool)
        for halves, peak, leap, straight in (
            (uses, self.use.value[cars], in_use, False),
            (pulls, self.tension.value, leaps, True),
            (-pulls, self.buff.value, leaps, True),
        ):
            if len(peak):
                passing |= may_pass_half(halves, bars(peak), leap, straight=straight)
        found[cells] = passing
        return found

    def _doubtful(self, between: Between) -> tuple[NDArray[np.bool_], Leaps]:
        """The intervals in which a figure may pass its peak, and how tensions may leap in each of them."""
        cars = slice(self._train.cars.start, self._train.cars.stop)
        use, pull, push = bars(self.use.value[cars]), bars(self.tension.value), bars(self.buff.value)
        # drag makes a force that leaps at one car leap more at those ahead of it
        more = np.exp(self._drag)
        found, leaps = [], []
        own = np.zeros(len(self._heads) - 1, dtype=bool)
        own[self.own] = True
        for part in batches(self._train, self._heads[1:]):
            # the heads next to these intervals, by which figures at their ends are seen to bend
            beside = slice(max(part.start - 1, 0), part.stop + 2)
            inner = slice(part.start - beside.start, part.stop - beside.start)
            uses, pulls = self._uses[cars, beside], self._tensions[:, beside]
            leap = between.behind(part)
            past = more * leap.past
            bends = bends_between(pulls, straight=True)
            doubtful = np.zeros(past.shape[1], dtype=bool)
            for figures, bend, each, bar in (
                (uses, bends_between(uses), self._in_use(past), use),
                (pulls, bends, past, pull),
                (-pulls, bends, past, push),
            ):
                if len(figures):
                    ends = slice(inner.start, inner.stop + 1)
                    doubtful |= may_pass(figures[:, ends], bend[:, inner], bar, each)
            doubtful &= own[part]
            found.append(doubtful)
            leaps.append((past[:, doubtful], more * leap.one_way[:, doubtful]))
        return np.concatenate(found), Leaps(*(np.concatenate(each, axis=1) for each in zip(*leaps, strict=True)))

    def _in_use(self, leaps: Floats) -> Floats:
        """What forces that much greater add to the cars' use at most."""
        pulls = np.zeros((len(self._train), leaps.shape[1]))
        pulls[1:] += leaps * self._sines[1][:, None]
        pulls[:-1] += leaps * self._sines[0][:, None]
        bears = bearing(self._train, self._limits)
        pulls *= np.maximum(bears.whole, bears.truck + bears.twist)[:, None]
        return pulls[self._train.cars.start : self._train.cars.stop]

    def around_peaks(self, steps: Floats, from_mm: float, to_mm: float) -> Floats:
        """Heads so many table steps from where each car is at its worst so far, within the run."""
        cars = self._train.cars
        around = self.use.head_mm[cars.start : cars.stop, None] + self._tables.step_mm * steps
        return np.clip(around, from_mm, to_mm).ravel()

    def take_at(self, heads_mm: Floats) -> None:
        """Take in the train at more heads, those that any part of the run asks for, each part its share of them."""
        asked = np.unique(np.concatenate(self._share.tell(heads_mm)))
        for _ in self._looked(asked[self._share.own(len(asked))]):
            pass
        self._agree()

    def _looked(self, heads_mm: Floats) -> Iterator[tuple[slice, Figures]]:
        """Take in the train at more heads, and give its figures a part of them at a time."""
        for part in batches(self._train, heads_mm):
            figures = evaluate(self._train, self._tables, heads_mm[part], self._limits)
            self.use.take(heads_mm[part], figures.use)
            self.tension.take(heads_mm[part], figures.forces.tension)
            self.buff.take(heads_mm[part], -figures.forces.tension)
            if figures.standing.strain is not None:
                self.strain.take(heads_mm[part], figures.standing.strain)
            yield part, figures


def _pushed(at_peaks: Figures) -> NDArray[np.bool_]:
    """Whether each vehicle's harder side pull is a push, with the head at a place of its own."""
    count = at_peaks.use.shape[0]
    own = np.arange(count)
    tension, standing = at_peaks.forces.tension, at_peaks.standing
    forces, pulls = np.zeros((2, count)), np.zeros((2, count))
    if count > 1:
        forces[0, 1:], forces[1, :-1] = tension[own[:-1], own[1:]], tension[own[:-1], own[:-1]]
        pulls[0, 1:] = np.abs(forces[0, 1:] * standing.behind[own[:-1], own[1:]])
        pulls[1, :-1] = np.abs(forces[1, :-1] * standing.ahead[own[:-1], own[:-1]])
    pushed: NDArray[np.bool_] = np.where(pulls[0] >= pulls[1], forces[0], forces[1]) < 0.0
    return pushed


def swing_peaks(
    train: Vehicles, coupling: int, tables: RouteTables, from_mm: float, to_mm: float
) -> tuple[tuple[float, float], tuple[float, float]]:
    """The greatest sines of a coupling, unsigned, with the vehicles ahead of it and behind, and the head at each."""
    behind_head = float(train.length_mm[:coupling].sum())
    pair = replace(train.pick(slice(coupling, coupling + 2)), ahead=0, behind=0)
    heads = even_heads(tables, from_mm - behind_head, to_mm - behind_head, 0.0)

    def sines(at: Floats) -> Floats:
        return np.abs(np.concatenate(swings(pair.columns, tables, at)))

    seen = sines(heads)
    cells = may_pass(seen, bends_between(seen), bars(seen.max(axis=1)))
    closer = Between(pair, tables, heads).closer(cells, np.zeros(len(heads)))
    peak = Peak.of(2)
    peak.take(heads, seen)
    peak.take(closer, sines(closer))
    ahead, behind = ((float(peak.value[k]), float(peak.head_mm[k]) + behind_head) for k in (0, 1))
    return ahead, behind
