"""Every guest car of a session looked over: an answer for each, its reasons, and the trains it may ride."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from consist.screening.keep_out import keep_out
from consist.screening.reasons import missing_g, reasons_against
from consist.screening.results import GuestResult, Screening, TrainRide
from consist.screening.rides import Rides
from consist.session import CarInTrain, Session, Train
from consist.side_by_side import Piece, Progress, side_by_side
from consist.stock import Car
from consist.trains import run_seconds

__all__ = ["rides_in", "screen_guests", "screen_seconds", "screened"]

RUNS_A_GUEST = 2.0
"""So many full runs of a train take as long as a guest tried in all its spots."""


def screen_guests(session: Session, progress: Progress | None = None) -> Screening:
    """Look over every guest car of a session; a train without engines is tried behind the fewest that would do.

    `progress`, where given, is called before each train. A car is tried as it rides tonight, loaded where it rides
    loaded in every train it is in, and empty where it is in none. The answer is the gravest of the reasons' own (see
    `reasons`), or welcome where there is none.

    >>> import consist
    >>> door = consist.screen_guests(consist.load("sample_sessions/sunday_shelf"))
    >>> door.cars, door.of("not tonight"), door.margin
    ((), (), 1.5)
    """
    pieces = [
        Piece(train.name, screen_seconds(session, train), partial(rides_in, session, train))
        for train in (session.trains if _guests(session) else ())
    ]
    return screened(session, side_by_side(pieces, progress))


def screen_seconds(session: Session, train: Train) -> float:
    """About how long it takes to try all guests in a train."""
    return RUNS_A_GUEST * len(_guests(session)) * run_seconds(session, train)


def rides_in(session: Session, train: Train) -> Sequence[TrainRide]:
    """Where each of the session's guests, in their order, may ride in one of its trains."""
    rides = Rides(session, train)
    return tuple(rides.of(guest) for guest in _guests(session))


def screened(session: Session, rides: Sequence[Sequence[TrainRide]]) -> Screening:
    """The answers for all guests, from their rides in each train, in the session's order."""
    results = [
        _result(session, guest, [train[number] for train in rides]) for number, guest in enumerate(_guests(session))
    ]
    in_order = sorted(results, key=lambda result: (not result.owner, result.owner.casefold(), result.owner))
    return Screening(session.title, session.layout.name, tuple(in_order), session.house.guest_margin)


def _guests(session: Session) -> list[CarInTrain]:
    return [_as_tonight(session, car) for car in session.cars.values() if car.guest]


def _as_tonight(session: Session, car: Car) -> CarInTrain:
    riding = [one for train in session.trains for one in train.cars if one.car.name == car.name]
    loaded = bool(riding) and all(one.loaded for one in riding)
    return CarInTrain(car, 1, loaded, None, None, 0, 1)


def _result(session: Session, guest: CarInTrain, rides: Sequence[TrainRide]) -> GuestResult:
    car = guest.car
    grounds = reasons_against(session, car, guest.weight_g, rides)
    return GuestResult(
        car=car.name,
        kind=car.kind,
        owner=car.owner,
        answer=grounds[0].answer if grounds else "welcome",
        reasons=tuple(reason.say for reason in grounds) or (_nothing_against(car, rides),),
        do=grounds[0].do if grounds else "Set it in where it is wanted.",
        weight_g=guest.weight_g if car.weighed else None,
        target_g=car.target_g,
        add_g=missing_g(car, guest.weight_g, session.house.guests) if car.weighed else None,
        trains=tuple(rides),
        keep_out=keep_out(car, session.layout),
        grounds=grounds,
    )


def _nothing_against(car: Car, rides: Sequence[TrainRide]) -> str:
    may = sum(ride.may_ride for ride in rides)
    where = f"and it may ride in {may} of tonight's {len(rides)} trains" if rides else "and there is no train tonight"
    return f"Nothing was found against {car.name}, {where}."
