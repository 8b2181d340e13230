"""What a railroad's log teaches: its own limits, and what track, cars and engines are worse than they should be.

Every car of a run counts once for each stretch between two places that it rode, and came off there or did not. A run
counts up to the car that came off, since of what would have come off after it nothing is noted: no stretch beyond,
and in that stretch no car behind it. Of a train that stalled or parted only what lies behind it counts, and nothing
where its place was not said. Where one place alone was noted, of the two stretches that meet there the one counts in
which more was asked of the car.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from consist.changes import Load, Stand, Weigh
from consist.errors import ConsistError, refuse
from consist.intake import LoggedRun, StretchUses, read_runs
from consist.learning.predicted import MODEL, predicted
from consist.learning.probit import BIAS_DEVIATION, Fitted, Shares, fit
from consist.learning.results import EngineTold, Learned, Margins, Shifted
from consist.session import Session, load

__all__ = ["CARE_DEVIATIONS", "HOLD_DEVIATIONS", "learn", "learned"]

Floats = NDArray[np.float64]

TRACK_DEVIATION = CAR_DEVIATION = 0.35
"""How widely what is wrong with a stretch or a car lies, as a logarithm of use: most raise or lower it by less than
four in ten. An assumption, no source."""
ENGINE_DEVIATION = 0.2
"""The same of what an engine really pulls: two in ten. An assumption, no source."""
CARE_DEVIATIONS, HOLD_DEVIATIONS = 2.3263478740408408, 1.2815515655446004
"""Deviations below even at which one in a hundred comes off, and one in ten."""
LEAST_USE = 1e-4
"""A use below this is taken as this: its chance is none either way."""
CLOSELY = math.log(1.25)
"""The margins are known well enough where they are known to within this factor either way."""
TOLD_MARGINS = (0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0)
SURELY = 0.05
"""What is told as worse is so but for this chance of telling anything at all of a railroad with nothing wrong: the
more there is to look at, the surer each must be (Bonferroni's rule, elementary statistics)."""


def learn(*sessions: Session | str | Path) -> Learned:
    """What the logs of sessions, or of their folders, teach together.

    Raises `InputError` where a log cannot be read, or where none holds a run.
    """
    loaded = [each if isinstance(each, Session) else load(each) for each in sessions]
    runs, older, recomputed = [], 0, 0
    for session in loaded:
        logged = () if session.folder is None else read_runs(session.folder)
        for run in logged:
            if run.model == MODEL:
                runs.append(run)
                continue
            older += 1
            again = _recomputed(session, run)
            recomputed += again is not None
            runs += [again] if again is not None else []
    if not runs:
        raise refuse("runs.csv", "found no run to learn from; note what happens with consist log")
    return learned(runs, older=older, recomputed=recomputed)


def _recomputed(session: Session, run: LoggedRun) -> LoggedRun | None:
    """A run predicted anew by this model, with the cars and weights that it ran with; None where they are gone."""
    try:
        train = session.train(run.train)
        names = tuple(name for name, _ in run.cars)
        # a weight kept is that with the load in it
        weights = [Weigh(name, weight) for name, weight in run.cars]
        of = session.with_changes([Stand(train.name, names), Load(train.name, names, False), *weights])
        told = predicted(of, of.train(train.name))
    except ConsistError:
        return None
    if [(each.start, each.finish) for each in told.uses] != [(each.start, each.finish) for each in run.uses]:
        return None
    # which of its engines were helpers is not kept, so that behind others nothing is known of their power
    power = told.power_use if told.engines == run.engines else None
    return replace(run, model=MODEL, power_use=power, uses=told.uses)


@dataclass(frozen=True)
class _Trials:
    """Trials of cars in stretches: what was predicted and what came off, and the numbers of each stretch and car.

    `times` is how often each was made: a train that runs again as it stood counts again, and is kept once.
    """

    times: Floats
    x: Floats
    off: NDArray[np.bool_]
    stretch: NDArray[np.intp]
    car: NDArray[np.intp]
    stretches: list[str]
    cars: list[str]


def learned(runs: Sequence[LoggedRun], *, older: int = 0, recomputed: int = 0) -> Learned:
    """What some runs teach together."""
    trials = _trials(runs)
    shares = _shares((trials.stretch, len(trials.stretches)), (trials.car, len(trials.cars)))
    deviations = [*[TRACK_DEVIATION] * len(trials.stretches), *[CAR_DEVIATION] * len(trials.cars)]
    fitted = fit(trials.x, trials.off, shares, deviations, trials.times)
    # the limits are those of this track and these cars, each as often as it was run
    usual = shares.usual(trials.times)
    care, hold = (fitted.log_margin(each, usual) for each in (CARE_DEVIATIONS, HOLD_DEVIATIONS))
    first_car = 2 + len(trials.stretches)
    return Learned(
        runs=len(runs),
        off=int(trials.times[trials.off].sum()),
        stalled=sum(run.what == "stalled" for run in runs),
        parted=sum(run.what == "parted" for run in runs),
        bias=fitted.one(0),
        scatter=fitted.scatter,
        margins=Margins(_exp(care), _exp(hold)),
        track=_shifted(fitted, trials, trials.stretches, trials.stretch, 2),
        cars=_shifted(fitted, trials, trials.cars, trials.car, first_car),
        engines=_engines(runs),
        enough=care[2] - care[1] <= CLOSELY,
        runs_wanted=_runs_wanted(len(runs), care[2] - care[1]),
        older=older,
        recomputed=recomputed,
        chances=tuple((margin, _chance(fitted, margin, usual)) for margin in TOLD_MARGINS),
    )


def _exp(of: tuple[float, float, float]) -> tuple[float, float, float]:
    low, middle, high = (math.exp(each) for each in of)
    return low, middle, high


def _runs_wanted(runs: int, half: float) -> int | None:
    """About how many more it takes: what each run adds to how surely the margin is known is taken as even."""
    if half <= CLOSELY:
        return 0
    known, wanted, before = half**-2, CLOSELY**-2, (BIAS_DEVIATION * 1.645) ** -2
    gained = (known - before) / runs
    # where runs have told next to nothing so far, how soon more will cannot be told
    return math.ceil((wanted - known) / gained) if gained > 1e-3 * before else None


def _chance(fitted: Fitted, margin: float, usual: Floats) -> tuple[float, float, float]:
    """The chance to come off at a margin."""
    low, middle, high = (float(ndtr(each)) for each in fitted.deviations(math.log(margin), usual))
    return low, middle, high


def _trials(runs: Iterable[LoggedRun]) -> _Trials:
    stretches: dict[tuple[str, ...], int] = {}
    cars: dict[str, int] = {}
    x: list[Floats] = []
    off: list[NDArray[np.bool_]] = []
    where: list[NDArray[np.intp]] = []
    who: list[NDArray[np.intp]] = []
    for run in runs:
        own = np.array([cars.setdefault(name, len(cars)) for name, _ in run.cars], dtype=np.intp)
        names = [name for name, _ in run.cars]
        came_off = _came_off(run, names)
        for number, each in enumerate(_ridden(run, came_off)):
            uses = np.array([math.nan if use is None else use for use in each.uses])
            rode = ~np.isnan(uses)
            if came_off is not None and number == came_off[0]:
                rode[came_off[1] + 1 :] = False
            key = tuple(sorted((each.start, each.finish)))
            x.append(np.log(np.maximum(uses[rode], LEAST_USE)))
            off.append(np.array([(number, car) == came_off for car in range(len(names))], dtype=bool)[rode])
            where.append(np.full(int(rode.sum()), stretches.setdefault(key, len(stretches)), dtype=np.intp))
            who.append(own[rode])
    if not x:
        x, off, where, who = [np.zeros(0)], [np.zeros(0, bool)], [np.zeros(0, np.intp)], [np.zeros(0, np.intp)]
    told = [f"{one} to {other}" if one != other else one for one, other in (key[:2] for key in stretches)]
    values, came, stretch, car = np.concatenate(x), np.concatenate(off), np.concatenate(where), np.concatenate(who)
    order = np.lexsort((car, stretch, came, values))
    new = np.ones(len(order), dtype=bool)
    alike = [each[order][1:] == each[order][:-1] for each in (values, came, stretch, car)]
    new[1:] = ~np.all(alike, axis=0)
    times = np.bincount(np.cumsum(new) - 1, minlength=int(new.sum())).astype(np.float64)
    kept = order[new]
    return _Trials(times, values[kept], came[kept], stretch[kept], car[kept], told, [*cars])


def _ridden(run: LoggedRun, came_off: tuple[int, int] | None) -> Sequence[StretchUses]:
    """The stretches of a run that count."""
    if came_off is not None:
        return run.uses[: came_off[0] + 1]
    if run.what == "clean":
        return run.uses
    reached = [k for k, each in enumerate(run.uses) if {*run.at} <= {each.start, each.finish}] if run.at else [0]
    return run.uses[: reached[0]] if reached else ()


def _came_off(run: LoggedRun, names: Sequence[str]) -> tuple[int, int] | None:
    """The number of the stretch and of the car that came off in it, None where none did or the place is none."""
    if run.what != "off" or run.car not in names:
        return None
    car = names.index(run.car)
    there = [k for k, each in enumerate(run.uses) if {*run.at} <= {each.start, each.finish}]
    rode = [(use, -k) for k in there if (use := run.uses[k].uses[car]) is not None]
    return (-max(rode)[1], car) if rode else None


def _shares(*groups: tuple[NDArray[np.intp], int]) -> Shares:
    """One shift of each group takes part in each trial: by group its number, and how many there are."""
    starts = np.cumsum([0, *(count for _, count in groups)])
    shifts = np.stack([numbers + start for (numbers, _), start in zip(groups, starts, strict=False)], axis=1)
    return Shares(shifts, np.ones(shifts.shape), int(starts[-1]))


def _shifted(
    fitted: Fitted, trials: _Trials, names: Sequence[str], number: NDArray[np.intp], first: int
) -> tuple[Shifted, ...]:
    """Stretches or cars that anything came off at or of, the surest to be worse first."""
    off = np.bincount(number, weights=trials.times * trials.off, minlength=len(names))
    scatter = float(np.exp(fitted.mode[1]))
    n_stretches = len(trials.stretches)
    shift = fitted.mode[2 + trials.stretch] + fitted.mode[2 + n_stretches + trials.car]
    # with nothing wrong with it itself
    other = shift - fitted.mode[first + number]
    chance = ndtr((trials.x + fitted.mode[0] + other) / scatter)
    expected = np.bincount(number, weights=trials.times * chance, minlength=len(names))
    found = []
    for k in np.flatnonzero(off).tolist():
        of = fitted.one(first + k)
        worse = fitted.surely(first + k) < SURELY / (len(fitted.mode) - 2)
        found.append(Shifted(names[k], int(off[k]), float(expected[k]), of, worse))
    return tuple(sorted(found, key=lambda one: (-one.shift[0], one.name)))


def _engines(runs: Sequence[LoggedRun]) -> tuple[EngineTold, ...]:
    """What engines really pull, by the power use of each run and whether it stalled."""
    told = [run for run in runs if run.power_use is not None and run.engines]
    if not told:
        return ()
    names = sorted({name for run in told for name in run.engines})
    number = {name: k for k, name in enumerate(names)}
    most = max(len(run.engines) for run in told)
    engines, parts = np.zeros((len(told), most), dtype=np.intp), np.zeros((len(told), most))
    for row, run in enumerate(told):
        own = len(run.engines)
        engines[row, :own], parts[row, :own] = [number[name] for name in run.engines], 1.0 / own
    x = np.log(np.maximum([run.power_use or 0.0 for run in told], LEAST_USE))
    stalled = np.array([run.what == "stalled" for run in told])
    fitted = fit(x, stalled, Shares(engines, parts, len(names)), [ENGINE_DEVIATION] * len(names))
    scatter = float(np.exp(fitted.mode[1]))
    found = []
    for name, k in number.items():
        own_part = np.where(engines == k, parts, 0.0)
        others = ((parts - own_part) * fitted.mode[2 + engines]).sum(axis=1)
        chance = ndtr((x + fitted.mode[0] + others) / scatter)
        share = np.zeros(len(fitted.mode))
        share[0] = share[2 + k] = -1.0
        took_part = own_part.any(axis=1)
        pulls = _exp(fitted.range_of(share))
        found.append(EngineTold(name, int(stalled[took_part].sum()), float(chance[took_part].sum()), pulls))
    return tuple(found)
