"""Sheets put together as documents: a whole evening's report, a check alone, and what each other command tells."""

from __future__ import annotations

import numpy as np

from consist.checking.along import UseAlong
from consist.checking.overview import Overview, TrainOverview
from consist.checking.results import SessionCheck
from consist.report.document import Document, Sheet
from consist.report.sheets.bench import bench_sheet
from consist.report.sheets.desks import tasks_of
from consist.report.sheets.door import door_sheet
from consist.report.sheets.power import power_sheet
from consist.report.sheets.session import session_sheet
from consist.report.sheets.switch_list import switch_list
from consist.report.sheets.tasks import train_anchors
from consist.report.sheets.train import train_sheet
from consist.report.words import printable
from consist.session import Session
from consist.wording import Units

__all__ = ["CLOSING", "check_document", "checked", "document_of", "of_sheets"]

CLOSING = "For model trains only; never use it for full-size or ride-on railways."


def document_of(overview: Overview, units: Units) -> Document:
    """The session's sheet, a sheet and a switch list a train, then those of the power, the bench and the door.

    Every text is on one line and free of control characters. `Cell.value` has figures as the JSON has them.
    """
    session, tasks = overview.session, tasks_of(overview, units)
    anchors, lists = train_anchors(overview), train_anchors(overview, "switch-list")
    sheets: list[Sheet] = [session_sheet(overview, tasks, anchors, units)]
    sheets += [train_sheet(session, one, anchors[one.train.name], units) for one in overview.trains]
    sheets += [switch_list(overview, one, lists[one.train.name], tasks, units) for one in overview.trains]
    if overview.power is not None:
        sheets.append(power_sheet(session, overview.power, anchors, units))
    if overview.bench is not None:
        sheets.append(bench_sheet(overview.bench, anchors, units))
    if overview.door is not None:
        sheets.append(door_sheet(overview.door, units))
    return of_sheets(session.title, *sheets)


def of_sheets(title: str, *sheets: Sheet) -> Document:
    """A document of those sheets."""
    document: Document = printable(Document(title, sheets, CLOSING))
    return document


def checked(session: Session, check: SessionCheck) -> Overview:
    """An evening of which only the check is known: nothing to draw but routes, no power, bench and door."""
    nothing = UseAlong(np.zeros(2), np.zeros((0, 1)))
    trains = {train.name: train for train in session.trains}
    seen = tuple(TrainOverview(trains[one.train], one, (), nothing, None, None) for one in check.trains)
    return Overview(session, check, seen, None, None, None)


def check_document(overview: Overview, units: Units, *, train_pages: bool = True) -> Document:
    """What `consist check` tells: the session's sheet and, unless they are not wanted, one a train."""
    session = overview.session
    sheets = [session_sheet(overview, tasks_of(overview, units), {}, units)]
    if train_pages:
        sheets += [train_sheet(session, one, "train", units, drawn=False) for one in overview.trains]
    return of_sheets(session.title, *sheets)
