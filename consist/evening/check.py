"""The check: every train of a session run, judged, and given a better order where there is one."""

from __future__ import annotations

from functools import partial

import numpy as np

from consist.evening.along import hardest_coupling
from consist.evening.results import (
    CarResult,
    LegResult,
    PeakDrawbar,
    PowerResult,
    SessionCheck,
    Suggestion,
    TrainCheck,
    WorstPlace,
)
from consist.learning.ranges import range_of
from consist.order import HoldError, Planner, Yard, heavy_forward, yard_of
from consist.order.budget import Budget
from consist.rules import Case, findings, gravest_first, unsure
from consist.session import Session, Train
from consist.side_by_side import Piece, Progress, side_by_side
from consist.trains import LegRun, Trip, prepared, run_seconds

__all__ = ["check", "check_seconds", "check_train", "checked_train"]

LOOKS_FOR_BEST = 1_500_000.0
LOOKS_FOR_FEW = 1_500_000.0
"""What a check spends on a better order: some hundredths of a second a train, and more where it needs one."""
RUNS_A_CAR = 0.4
"""So many full runs for each car take as long as a check, which tries orders."""
SAME_ORDER = 0.005
"""A best order must lower the worst use by more than this share to be suggested: less is the model's tolerance."""


def check(
    session: Session, only: str | None = None, progress: Progress | None = None, *, ranges: bool = True
) -> SessionCheck:
    """Check the trains of a session, or only the one named. Raises `UnknownNameError` where that is none.

    With `ranges` it is told how far figures may be from those given, by all that was not measured, and a train that
    may well be on hold for it is `unsure`, of care. Whoever only compares trains or orders does without.

    >>> import consist
    >>> session = consist.load("sample_sessions/sunday_shelf")
    >>> [train.verdict for train in consist.check(session).trains]
    ['go', 'care', 'care']
    >>> consist.check(session, "Creamery 5").train("Creamery 5").car("PQF 201").spot
    1
    >>> consist.check(session, "Creamry 5")
    Traceback (most recent call last):
    consist.errors.UnknownNameError: no train is called 'Creamry 5'; did you mean 'Creamery 5'?
    """
    pieces = [
        Piece(train.name, check_seconds(session, train), partial(check_train, session, train, ranges=ranges))
        for train in session.only(only)
    ]
    return SessionCheck(session.title, session.layout.name, tuple(side_by_side(pieces, progress)), session.notes)


def check_seconds(session: Session, train: Train) -> float:
    """About how long it takes to check a train."""
    return RUNS_A_CAR * len(train.cars) * run_seconds(session, train)


def check_train(session: Session, train: Train, *, ranges: bool = False) -> TrainCheck:
    """Check one train of a session."""
    return checked_train(session, train, ranges=ranges)[0]


def checked_train(session: Session, train: Train, *, ranges: bool = False) -> tuple[TrainCheck, Trip]:
    """Check one train of a session, and give the trip too, for those who ask more of it."""
    of = prepared(session, train)
    trip = of.run()
    case = Case(of, trip)
    found = findings(case)
    use = trip.worst_use
    judged = session.house.judged(use, [finding.level for finding in found])
    known = range_of(of, trip) if ranges else None
    if known is not None and judged != "hold":
        found = gravest_first([*found, *unsure(case, known.hold_share, known.to_do)])
        judged = session.house.judged(use, [finding.level for finding in found])
    score, suggestion = _better_order(case, use)
    worst_leg = trip.worst_leg
    checked = TrainCheck(
        train=train.name,
        verdict=judged,
        margin=_margin(use),
        side_use=use,
        worst=_worst(trip),
        order_score=score,
        heavy_forward=heavy_forward(worst_leg.leg.cars),
        weight_g=worst_leg.weight_g,
        length_mm=worst_leg.vehicles.total_length_mm,
        route_mm=train.route.length_mm,
        peak_drawbar=_peak_drawbar(trip),
        power=_power(case),
        cars=tuple(_car(case, number) for number in range(len(train.cars))),
        legs=tuple(_leg(trip, leg) for leg in trip.legs),
        findings=found,
        suggestion=suggestion,
        range=known,
    )
    return checked, trip


def _margin(use: float) -> float | None:
    return 1.0 / use if use > 0.0 else None


def _worst(trip: Trip) -> WorstPlace | None:
    if trip.worst_car is None:
        return None
    leg, vehicle, head_mm = trip.worst_car
    car = leg.cars[vehicle - leg.first_car]
    car_mm = head_mm - float(leg.vehicles.middle_mm[vehicle])
    # on track that is not of the route a car counts as standing where the run starts, save before the very first
    car_mm = max(car_mm, leg.tables.track.start_mm) if leg.leg.run else car_mm
    return WorstPlace(
        car=car.car.name,
        spot=car.spot,
        head_mm=head_mm,
        place=trip.place_of(leg, vehicle, head_mm),
        car_mm=car_mm,
    )


def _peak_drawbar(trip: Trip) -> PeakDrawbar | None:
    hardest = hardest_coupling(trip)
    if hardest is None:
        return None
    leg, coupling = hardest
    head_mm = float(leg.peaks.tension.head_mm[coupling])
    face_mm = head_mm - float(leg.vehicles.length_mm[: coupling + 1].sum())
    return PeakDrawbar(
        g=float(leg.peaks.tension.value[coupling]),
        behind=leg.names[coupling],
        head_mm=head_mm,
        place=trip.train.route.place_at(face_mm, leg.leg.run),
    )


def _power(case: Case) -> PowerResult:
    train, trip = case.train, case.trip
    assigned = tuple(engine.name for engine in (*train.engines, *train.helpers))
    lead = next(iter((*trip.engines, *trip.helpers)), None)
    needed = case.prepared.needed
    return PowerResult(
        assigned=assigned,
        needed=needed[lead.engine_class] if lead is not None else None,
        by_class=dict(needed),
        use=_finite(trip.power_use) if lead is not None else None,
        hold_use=_finite(trip.hold_use) if lead is not None else None,
        owned={name: len(engines) for name, engines in case.session.classes.items()},
    )


def _finite(value: float) -> float | None:
    return value if np.isfinite(value) else None


def _car(case: Case, number: int) -> CarResult:
    car = case.cars[number]
    use = case.side_use(car)
    pulls: list[float] = []
    for leg in case.trip.legs:
        if car in leg.cars:
            vehicle = leg.first_car + leg.cars.index(car)
            pulls.extend(map(float, leg.peaks.tension.value[max(vehicle - 1, 0) : vehicle + 1]))
    return CarResult(car.car.name, car.spot, car.weight_g, use, _margin(use), max(pulls, default=0.0))


def _leg(trip: Trip, leg: LegRun) -> LegResult:
    stops = trip.train.route.stops
    return LegResult(
        start=stops[leg.leg.start],
        finish=stops[leg.leg.finish],
        cars=tuple(car.car.name for car in leg.leg.cars),
        weight_g=leg.weight_g,
        margin=_margin(leg.worst_use),
        side_use=leg.worst_use,
        peak_drawbar_g=_drawbar(leg),
        power_use=_finite(float(leg.peaks.power_use.value[0])) if leg.powered else None,
        backing=leg.leg.backing,
    )


def _drawbar(leg: LegRun) -> float | None:
    """The greatest pull in a coupling of a leg, or, negative, the greatest push where it backs; None without one."""
    if len(leg.vehicles) < 2:
        return None
    peaks = leg.peaks
    return -float(peaks.buff.value.max()) if leg.leg.backing else float(peaks.tension.value.max())


def _better_order(case: Case, use: float) -> tuple[float | None, Suggestion | None]:
    """The order score, and the suggestion where an allowed order is better."""
    if not case.cars:
        return None, None
    if use <= 0.0:
        return 100.0, None
    planner = Planner(case.prepared, _yard(case), case.trip)
    found = planner.best(Budget(LOOKS_FOR_BEST))
    best = planner.figures(found.order)
    order, suggested = found.order, best
    wanted = _wanted_use(case, use, best.side_use)
    if wanted is not None:
        for step in planner.steps(found, Budget(LOOKS_FOR_FEW), enough=wanted):
            figures = planner.figures(step.order)
            if figures.side_use <= max(wanted, best.side_use):
                order, suggested = step.order, figures
                break
    least = min(best.side_use, suggested.side_use)
    score = min(100.0 * (least / use), 100.0) if planner.yard.allowed(planner.given) else None
    if wanted is None:
        return score, None
    return score, Suggestion(suggested.order, suggested.margin, planner.moves(order))


def _yard(case: Case) -> Yard:
    """What a yard may change; blocks are taken as free only where the holds cannot be kept otherwise."""
    try:
        return yard_of(case.train.name, case.cars)
    except HoldError:
        return yard_of(case.train.name, case.cars, free_blocks=True)


def _wanted_use(case: Case, use: float, best_use: float) -> float | None:
    """The worst use at which the verdict on side pull gets better, or the best there is; None for no need."""
    house = case.session.house
    steps = [1.0 / margin for margin in (house.care_margin, house.hold_margin)]
    if use <= steps[0] or best_use > use * (1.0 - SAME_ORDER):
        return None
    return next((step for step in steps if best_use <= step < use), best_use)
