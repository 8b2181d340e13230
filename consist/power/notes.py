"""What a plan takes for granted, and what in the session does not agree, each in a sentence."""

from __future__ import annotations

from collections.abc import Sequence

from consist.mechanics import MOVES
from consist.power.given import clashes
from consist.power.results import TrainPower
from consist.session import Session
from consist.wording import in_words, percent

__all__ = ["plan_notes"]


def plan_notes(
    session: Session, trains: Sequence[TrainPower], cut_short: Sequence[str], *, keep_given: bool
) -> tuple[str, ...]:
    """The notes of a plan, in a steady order; `cut_short` are the trains whose combinations are not all listed."""
    found = [
        *_homes(session),
        *_timeless(session),
        *_strained(trains),
        *_stranded(session, trains),
        *_unlisted(cut_short),
    ]
    if not keep_given:
        found.extend(str(problem) for problem in clashes(session))
    return tuple(found)


def _homes(session: Session) -> list[str]:
    names = sorted(engine.name for engine in session.engines.values() if not engine.home)
    if not names:
        return []
    which, it = ("Engine", "its home") if len(names) == 1 else ("Engines", "their homes")
    starts = "starts" if len(names) == 1 else "start"
    return [f"{which} {in_words(names)} without a home {starts} wherever wanted; write {it} in engines.csv."]


def _timeless(session: Session) -> list[str]:
    names = [train.name for train in session.trains if train.times is None]
    if not names:
        return []
    which, each = ("Train", "") if len(names) == 1 else ("Trains", " each")
    own = "is" if len(names) == 1 else "are"
    return [
        f"{which} {in_words(names)} without times {own} planned{each} alone, from engines at home at the first "
        "place; give depart and arrive in session.toml to plan with the rest."
    ]


def _strained(trains: Sequence[TrainPower]) -> list[str]:
    """A class is judged by its weakest engine, which on a grade may still not be the one that does least."""
    return [
        f"Train {train.train} is asked for {percent(train.use)} of what {in_words(train.assigned)} can use; take "
        "others of the class or leave a car."
        for train in trains
        if not train.short and train.use is not None and train.use > MOVES
    ]


def _stranded(session: Session, trains: Sequence[TrainPower]) -> list[str]:
    if session.house.light_moves:
        return []
    return [
        f"Train {train.train} is left short and nothing that was looked at mends it; set light_moves = true in "
        "session.toml to see which engine could come light."
        for train in trains
        if train.short and not train.options
    ]


def _unlisted(cut_short: Sequence[str]) -> list[str]:
    return [
        f"Train {name} has more combinations of classes than are listed, so the plan is not proven; give engines "
        "that are alike the same class in engines.csv."
        for name in cut_short
    ]
