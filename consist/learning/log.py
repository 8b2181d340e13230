"""Logging a run: what happened to a train, checked against its session and kept with what was predicted."""

from __future__ import annotations

import datetime
import itertools
from pathlib import Path
from typing import Literal, get_args

from consist.errors import InputError, UnknownNameError
from consist.intake import Doing, Happened, LoggedRun, append_run, take_back_run
from consist.learning.predicted import MODEL, predicted
from consist.names import did_you_mean, one_of, quoted
from consist.session import Session, Train

__all__ = ["log_run", "undo_run"]


def log_run(
    session: Session,
    train: str,
    what: Happened,
    *,
    car: str | None = None,
    at: str | None = None,
    past_mm: float | None = None,
    doing: Doing | None = None,
    note: str = "",
    now: datetime.datetime | None = None,
) -> LoggedRun:
    """Add a run of a train to the log of its session's folder, with what was predicted of it, and give it back.

    `at` is a place of its route, or two that follow one another with a comma between. Raises `InputError` for what
    cannot be, and `UnknownNameError` for a train that is none.
    """
    of = session.train(train)
    for option, found, may in (("what", what, get_args(Happened)), ("while", doing, get_args(Doing))):
        if found is not None and found not in may:
            raise InputError.of(f"--{option}", f"found {quoted(found)}, expected one of {', '.join(may)}")
    if session.folder is None:
        raise InputError.of("runs.csv", "found a session that was read from no folder; load one from its folder")
    if (what == "off") != (car is not None):
        told = "found no car, and one came off; name it" if car is None else "found a car, and none came off"
        raise InputError.of("--off", told)
    if what == "off" and at is None:
        raise InputError.of("--at", "found no place, and a car came off somewhere; name a place of the route, or two")
    if what == "clean" and at is not None:
        raise InputError.of("--at", "found a place, and nothing happened; leave it out")
    if past_mm is not None and at is None:
        raise InputError.of("--past", "found no --at beside it; name the place that it is past")
    places = () if at is None else _places(of, at)
    named = "" if car is None else _car(of, car)
    ahead = predicted(session, of)
    moment = (now or datetime.datetime.now().astimezone()).isoformat(timespec="seconds")
    run = LoggedRun(
        moment, of.name, what, named, places, past_mm, doing, " ".join(note.split()), MODEL,
        ahead.power_use, ahead.engines, ahead.cars, ahead.uses,
    )  # fmt: skip
    append_run(session.folder, run)
    return run


def undo_run(folder: str | Path) -> LoggedRun:
    """Take the last run out of the log of a session's folder, and give it back. Raises `InputError` without one."""
    folder = Path(folder)
    return take_back_run(folder.parent if folder.is_file() else folder)


def _car(train: Train, car: str) -> str:
    names = [each.car.name for each in train.cars]
    meant = one_of(car, names)
    if meant is None:
        raise UnknownNameError("off", car, names)
    return meant


def _places(train: Train, text: str) -> tuple[str, ...]:
    """A place, or two neighbours in the order that the train comes to them."""
    known = [name for name, _ in train.route.places]
    if (one := one_of(text, known)) is not None:
        return (one,)
    parts = text.split(",")
    for cut in range(1, len(parts)):
        pair = [one_of(",".join(part).strip(), known) for part in (parts[:cut], parts[cut:])]
        if pair[0] is not None and pair[1] is not None:
            return _neighbours(train, known, pair[0], pair[1])
    named: list[str] = [part.strip() for part in parts if one_of(part.strip(), known) is None] or [text]
    raise InputError.of(
        "--at", f"found {quoted(named[0])}, expected a place of {train.name}'s route; {did_you_mean(named[0], known)}"
    )


def _neighbours(train: Train, known: list[str], one: str, other: str) -> tuple[str, ...]:
    for pair in itertools.pairwise(known):
        if {*pair} == {one, other}:
            return pair
    told = f"found {quoted(one)} and {quoted(other)}, which do not follow one another on {train.name}'s route"
    between: Literal["places", "place"] = "place" if one == other else "places"
    raise InputError.of("--at", f"{told}; name the {between} nearest to where it was")
