"""Sheets put together as documents: a whole evening's report, a check alone, and what each other command tells."""

from __future__ import annotations

import numpy as np

from consist.checking.along import UseAlong
from consist.checking.overview import Overview, TrainOverview
from consist.checking.results import SessionCheck
from consist.report.document import Document
from consist.report.sheets.bench import bench_sheet
from consist.report.sheets.cells import of_sheets
from consist.report.sheets.door import door_sheet
from consist.report.sheets.power import power_sheet
from consist.report.sheets.session import session_sheet, train_anchors
from consist.report.sheets.switch_list import switch_list
from consist.report.sheets.tasks import tasks_of
from consist.report.sheets.train import train_sheet
from consist.session import Session
from consist.wording import Units

__all__ = ["check_document", "checked", "document_of"]


def document_of(overview: Overview, units: Units) -> Document:
    """The session's sheet, a sheet and a switch list a train, then those of the power, the bench and the door.

    Every text is on one line and free of control characters. `Cell.value` has figures as the JSON has them.
    """
    session, power, tasks = overview.session, overview.power, tasks_of(overview, units)
    anchors, lists = train_anchors(overview), train_anchors(overview, "switch-list")
    return of_sheets(
        session.title,
        session_sheet(overview, tasks, anchors, units),
        *(train_sheet(session, one, anchors[one.train.name], units) for one in overview.trains),
        *(switch_list(overview, one, lists[one.train.name], tasks, units) for one in overview.trains),
        None if power is None else power_sheet(session, power, anchors, units),
        None if overview.bench is None else bench_sheet(overview.bench, anchors, units),
        None if overview.door is None else door_sheet(overview.door, units),
    )


def checked(session: Session, check: SessionCheck) -> Overview:
    """An evening of which only the check is known: nothing to draw but routes, no power, bench and door."""
    nothing = UseAlong(np.zeros(2), np.zeros((0, 1)))
    trains = {train.name: train for train in session.trains}
    seen = tuple(TrainOverview(trains[one.train], one, (), nothing, None, None) for one in check.trains)
    return Overview(session, check, seen, None, None, None)


def check_document(overview: Overview, units: Units, *, train_pages: bool = True) -> Document:
    """What `consist check` tells: the session's sheet and, unless they are not wanted, one a train."""
    session, trains = overview.session, overview.trains if train_pages else ()
    pages = (train_sheet(session, one, "train", units, drawn=False) for one in trains)
    return of_sheets(session.title, session_sheet(overview, tasks_of(overview, units), {}, units), *pages)
