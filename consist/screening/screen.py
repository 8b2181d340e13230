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
from consist.trains import prepared, run_seconds

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
    rides = Rides(prepared(session, train))
    return tuple(rides.of(guest) for guest in _guests(session))


def screened(session: Session, rides: Sequence[Sequence[TrainRide]]) -> Screening:
    """The answers for all guests, from their rides in each train, in the session's order."""
    results = [
        _result(session, guest, tuple(train[number] for train in rides))
        for number, guest in enumerate(_guests(session))
    ]
    results.sort(key=lambda result: (not result.owner, result.owner.casefold(), result.owner))
    return Screening(session.title, session.layout.name, tuple(results), session.house.guest_margin)


def _guests(session: Session) -> list[CarInTrain]:
    """The guests as they ride tonight."""
    loaded: dict[str, bool] = {}
    for one in (car for train in session.trains for car in train.cars):
        loaded[one.car.name] = loaded.get(one.car.name, True) and one.loaded
    guests = [car for car in session.cars.values() if car.guest]
    return [CarInTrain(car, 1, loaded.get(car.name, False), None, None, 0, 1) for car in guests]


def _result(session: Session, guest: CarInTrain, rides: tuple[TrainRide, ...]) -> GuestResult:
    car, weight_g = guest.car, guest.weight_g
    grounds = reasons_against(session, car, weight_g, rides)
    may = f"it may ride in {sum(ride.may_ride for ride in rides)} of tonight's {len(rides)} trains"
    nothing = f"Nothing was found against {car.name}, and {may if rides else 'there is no train tonight'}."
    return GuestResult(
        car=car.name,
        kind=car.kind,
        owner=car.owner,
        answer=grounds[0].answer if grounds else "welcome",
        reasons=tuple(reason.say for reason in grounds) or (nothing,),
        do=grounds[0].do if grounds else "Set it in where it is wanted.",
        weight_g=weight_g if car.weighed else None,
        target_g=car.target_g,
        add_g=missing_g(car, weight_g, session.house.guests) if car.weighed else None,
        trains=rides,
        keep_out=keep_out(car, session.layout),
        grounds=grounds,
    )
