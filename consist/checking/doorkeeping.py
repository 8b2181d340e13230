"""Guests screened against tonight's trains, behind the engines each train runs behind."""

from __future__ import annotations

from consist.checking.engines import engines_for
from consist.power import engines_needed
from consist.screening import Screening, screen
from consist.screening.screen import Progress
from consist.session import Session
from consist.trip import tables_of

__all__ = ["screen_guests"]


def screen_guests(session: Session, progress: Progress | None = None) -> Screening:
    """Look over every guest car of a session; a train without engines is tried behind the fewest that would do.

    `progress`, where given, is called before each train with its name, its number from 0 on and how many there are.
    """
    ahead = {}
    for train in session.trains:
        alone = not (train.engines or train.helpers)
        needed = engines_needed(session, train, tables_of(session, train)) if alone else {}
        ahead[train.name] = engines_for(session, train, needed)[0]
    return screen(session, ahead, progress)
