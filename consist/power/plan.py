"""The power of a whole session: what each train needs, which engines it gets, and what mends a shortage."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from consist.errors import InputError
from consist.power.assignment import Evening, Trip, assign
from consist.power.notes import plan_notes, worth_measuring
from consist.power.options import Shortage, options
from consist.power.results import Option, PowerPlan, TrainPower, Turn
from consist.power.train_pull import ComboList, TrainPull, in_order, made_up, minimal_combos
from consist.power.whereabouts import Idle, at_hand, clashes, displaced, given_names, helper_starts, idle_engines
from consist.session import Session, Train
from consist.stock import Engine
from consist.trains import prepared

__all__ = ["plan_power"]

Power = tuple[tuple[Engine, ...], tuple[Engine, ...]]
"""Engines ahead, and engines behind."""


def plan_power(session: Session, *, keep_given: bool = False) -> PowerPlan:
    """Plan the engines of every train: fewest trains left short, then fewest engines used, then fewest assigned.

    Trains with times are planned together and the plan is proven. Each train without times is planned by itself: it
    may have any engine whose home is its first place, or that has no home, since without times none can be shown to
    be elsewhere, and takes the fewest, those with the fewest other trips. Where `keep_given` is set, a train that has
    engines or helpers in the session's file keeps those and gets no others; `InputError` is raised where it cannot.

    >>> import consist
    >>> plan = consist.plan_power(consist.load("sample_sessions/sunday_shelf"))
    >>> plan.engines_used, plan.short, plan.proven
    (2, (), True)
    >>> plan.to_frame("timeline")[["engine", "train", "depart"]].head(1)
      engine       train  depart
    0     21  Creamery 5     480
    """
    return _Planning(session, keep_given).plan()


@dataclass(frozen=True)
class _Planning:
    session: Session
    keep_given: bool

    @cached_property
    def pulls(self) -> dict[str, TrainPull]:
        return {train.name: TrainPull(prepared(self.session, train)) for train in self.session.trains}

    @cached_property
    def listed(self) -> dict[str, ComboList]:
        return {name: minimal_combos(pull, self.session.classes) for name, pull in self.pulls.items()}

    @property
    def by_time(self) -> list[Train]:
        """The trains as they run, those without times last."""
        return sorted(self.session.trains, key=lambda train: train.times or (np.inf, np.inf))

    def plan(self) -> PowerPlan:
        if self.keep_given and (problems := clashes(self.session)):
            raise InputError(problems)
        assignment = assign(self._evening())
        if not assignment.possible:
            raise InputError(displaced(self.session))
        power: dict[str, Power] = {
            train: (tuple(self.session.engines[name] for name in names), ())
            for train, names in assignment.engines.items()
        }
        kept = [train for train in self.session.trains if self._keeps(train)]
        power |= {train.name: (train.engines, train.helpers) for train in kept}
        self._add_alone(power)
        rescued = self._rescue(power)
        turns = self._turns(power)
        trains = self._trains(power, turns)
        moved = [(self.pulls[train.train], *power[train.train]) for train in trains if not train.short]
        # what is not all listed matters where it is planned by
        cut_short = [
            train.name for train in self.session.trains if train not in kept and not self.listed[train.name].complete
        ]
        return PowerPlan(
            session=self.session.title,
            layout=self.session.layout.name,
            trains=trains,
            turns=turns,
            proven=assignment.proven and not cut_short and not rescued,
            worth_measuring=worth_measuring(moved),
            notes=tuple(plan_notes(self.session, trains, cut_short, rescued, keep_given=self.keep_given)),
            keeps_given=self.keep_given,
        )

    def _keeps(self, train: Train) -> bool:
        return self.keep_given and bool(given_names(train))

    def _evening(self) -> Evening:
        starts = helper_starts(self.session)
        trips = [
            Trip(
                train.name,
                train.route.stops[0],
                train.route.stops[-1],
                *train.times,
                choices=tuple(combo.classes for combo in self.listed[train.name].combos),
                kept=given_names(train) if self._keeps(train) else (),
                starts=starts[train.name],
            )
            for train in self.session.trains
            if train.times is not None
        ]
        return Evening.of(trips, self.session.engines.values(), self.session.house.turn_minutes)

    def _add_alone(self, power: dict[str, Power]) -> None:
        """Engines for trains without times, none where those that may be had make up no combination."""
        trips = Counter(engine.name for both in power.values() for engine in itertools.chain(*both))
        for train in self.session.trains:
            if train.name not in power:
                there = [one for one in self.session.engines.values() if one.home in ("", train.route.stops[0])]
                there.sort(key=lambda engine: (trips[engine.name], not engine.home, engine.name))
                found = filter(None, (made_up(combo, there) for combo in self.listed[train.name].combos))
                least = min(found, key=lambda some: (len(some), sum(trips[one.name] for one in some)), default=[])
                power[train.name] = (in_order(least), ())
                trips.update(engine.name for engine in least)

    def _rescue(self, power: dict[str, Power]) -> list[str]:
        """Give trains without engines the fewest left at hand that move them; their names.

        Combinations go by the weakest of each class, so that a stronger one may be left that does.
        """
        found = []
        for train in (train for train in self.by_time if not power[train.name][0] and not self._keeps(train)):
            here = [one.engine for one in at_hand(self._idle(self._turns(power), train), train)]
            here.sort(key=lambda engine: (-engine.pull_g, engine.name))
            tries = (here[:number] for number in range(1, len(here) + 1))
            if some := next((some for some in tries if self.pulls[train.name].worst(some).moves), None):
                power[train.name] = (in_order(some), ())
                found.append(train.name)
        return found

    def _idle(self, turns: Mapping[str, Sequence[Turn]], train: Train, taken: Collection[str] = ()) -> list[Idle]:
        engines = [one for one in self.session.engines.values() if one.name not in taken]
        return idle_engines(engines, turns, train, self.session.house.turn_minutes)

    def _turns(self, power: Mapping[str, Power]) -> dict[str, tuple[Turn, ...]]:
        """The trips of each engine, those without times after the others, in the session's order."""
        turns: dict[str, tuple[Turn, ...]] = dict.fromkeys(sorted(self.session.engines), ())
        for train in self.by_time:
            depart, arrive = train.times or (None, None)
            turn = Turn(train.name, depart, arrive, train.route.stops[0], train.route.stops[-1])
            for engine in itertools.chain(*power[train.name]):
                turns[engine.name] += (turn,)
        return turns

    def _trains(self, power: Mapping[str, Power], turns: Mapping[str, Sequence[Turn]]) -> tuple[TrainPower, ...]:
        """Every train's part of the plan. Engines at hand for one train that is short are so for no other."""
        taken: set[str] = set()
        found = {}
        for train in self.by_time:
            found[train.name] = self._train(train, power[train.name], turns, taken)
            taken.update(found[train.name].at_hand)
        return tuple(found[train.name] for train in self.session.trains)

    def _train(self, train: Train, power: Power, turns: Mapping[str, Sequence[Turn]], taken: set[str]) -> TrainPower:
        pull, combos, keeps = self.pulls[train.name], self.listed[train.name].combos, self._keeps(train)
        short = not pull.worst(*power).moves if keeps else not power[0]
        found: tuple[Option, ...] = ()
        near: tuple[Engine, ...] = ()
        if short:
            idle = self._idle(turns, train, taken)
            if not keeps:
                near = pull.strongest(one.engine for one in at_hand(idle, train))
                power = (near, ())
            found = options(Shortage(pull, *power, tuple(idle), combos, kept=keeps))
        use, tightest = pull.use(*power)
        return TrainPower(
            train=train.name,
            start=train.route.stops[0],
            finish=train.route.stops[-1],
            depart=train.depart,
            arrive=train.arrive,
            combos=combos,
            assigned=() if near else tuple(engine.name for engine in itertools.chain(*power)),
            use=use,
            tightest=tightest,
            short=short,
            options=found,
            at_hand=tuple(engine.name for engine in near),
            given=given_names(train),
            given_use=pull.use(train.engines, train.helpers)[0],
        )
