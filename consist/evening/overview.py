"""Everything that the report of an evening tells, gathered from the rooms that know it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from consist.bench import BenchList
from consist.bench.listing import plan_bench
from consist.evening.along import Moment, UseAlong, moment_of, use_along
from consist.evening.check import check_seconds, checked_train
from consist.evening.orders import moved_train
from consist.evening.results import SessionCheck, TrainCheck
from consist.intake import PieceKind
from consist.power import PowerPlan
from consist.power.plan import plan_power
from consist.screening import Screening, TrainRide, rides_in, screen_seconds, screened
from consist.session import Session, Train
from consist.side_by_side import Piece, Progress, side_by_side
from consist.stock import Engine
from consist.trains import Prepared, prepared, run_seconds

__all__ = ["Overview", "Reordered", "TrainOverview", "overview", "train_overview"]

RUNS_FOR_POWER, RUNS_FOR_BENCH = 2.0, 3.0
"""So many full runs of each train take as long as the engines and the bench."""


@dataclass(frozen=True)
class Reordered:
    """The train in the order its check suggests, and each car's greatest side use in it, by car."""

    train: Train
    uses: Mapping[str, float]


@dataclass(frozen=True)
class TrainOverview:
    """A train with its check and what is drawn of it.

    `engines` are those at the head end that it was run behind, which only stand in where its own are none
    (`stands_in`). `after` is None where the check suggests no other order, `moment` where nothing is coupled.
    """

    train: Train
    check: TrainCheck
    engines: tuple[Engine, ...]
    along: UseAlong
    moment: Moment | None
    after: Reordered | None

    @property
    def stands_in(self) -> bool:
        """Whether the engines only stand in, the train having none of its own."""
        return bool(self.engines) and not self.train.engines


@dataclass(frozen=True)
class Overview:
    """A session with the check of its trains, and its power, bench and door where it has them.

    `power` is None without a train or an engine, `bench` without a car, `door` without a guest's car. `least_change`
    is the plan that leaves trains the engines given to them wherever those do; None where it would leave one short.
    """

    session: Session
    check: SessionCheck
    trains: tuple[TrainOverview, ...]
    power: PowerPlan | None
    bench: BenchList | None
    door: Screening | None
    least_change: PowerPlan | None = None

    @property
    def power_to_make(self) -> PowerPlan | None:
        """The plan that the evening's tasks follow: that of least change, or the one of fewest engines."""
        return self.least_change or self.power


def train_overview(session: Session, train: Train, *, ranges: bool = False) -> TrainOverview:
    """One train of a session, with the ranges of its figures where they are asked for."""
    check, trip = checked_train(session, train, ranges=ranges)
    return TrainOverview(
        train=train,
        check=check,
        engines=trip.engines,
        along=use_along(trip),
        moment=moment_of(trip),
        after=_after(prepared(session, train), check),
    )


def overview(
    session: Session,
    pieces: tuple[PieceKind, ...] | None = None,
    progress: Progress | None = None,
    *,
    ranges: bool = True,
) -> Overview:
    """The whole session; `pieces` are the weights at hand at the bench, otherwise those that `plan_bench` takes.

    `ranges` is as `check` has it.

    `progress`, where given, is told of the trains, the engines and the bench.
    """
    runs = sum(run_seconds(session, train) for train in session.trains)

    def power() -> PowerPlan | None:
        return plan_power(session) if session.trains and session.engines else None

    def bench() -> BenchList | None:
        return plan_bench(session, pieces) if session.cars else None

    work: list[Piece[Any]] = [
        Piece(
            train.name,
            check_seconds(session, train) + screen_seconds(session, train),
            partial(_told, session, train, ranges),
        )
        for train in session.trains
    ]
    work.append(Piece("the engines", RUNS_FOR_POWER * runs, power))
    work.append(Piece("the bench", RUNS_FOR_BENCH * runs, bench))
    *told, planned, listed = side_by_side(work, progress)
    # what another process told comes with a train of its own
    trains = tuple(replace(one, train=train) for (one, _), train in zip(told, session.trains, strict=True))
    door = screened(session, [rides for _, rides in told])
    return Overview(
        session=session,
        check=SessionCheck(session.title, session.layout.name, tuple(train.check for train in trains), session.notes),
        trains=trains,
        power=planned,
        bench=listed,
        door=door if door.cars else None,
        least_change=None if planned is None else _least_change(session, trains, planned),
    )


def _told(session: Session, train: Train, ranges: bool) -> tuple[TrainOverview, Sequence[TrainRide]]:
    return train_overview(session, train, ranges=ranges), rides_in(session, train)


def _least_change(session: Session, trains: Sequence[TrainOverview], power: PowerPlan) -> PowerPlan | None:
    """Engines planned anew only for trains that those given do not move, and told beside those given."""
    weak = {one.train.name for one in trains if any(found.code == "power-short" for found in one.check.findings)}
    freed = tuple(replace(train, engines=(), helpers=()) if train.name in weak else train for train in session.trains)
    plan = plan_power(replace(session, trains=freed), keep_given=True)
    if plan.short:
        return None
    both = zip(plan.trains, power.trains, strict=True)
    return replace(plan, trains=tuple(replace(one, given=was.given, given_use=was.given_use) for one, was in both))


def _after(of: Prepared, check: TrainCheck) -> Reordered | None:
    if check.suggestion is None:
        return None
    after = moved_train(of.train, check.suggestion.order)
    return Reordered(after, of.with_train(after).run().uses)
