"""All sheets of an evening in their order, as one document."""

from __future__ import annotations

from consist.checking.overview import Overview
from consist.report.document import Document, Sheet
from consist.report.session_page import CLOSING
from consist.report.sheets.anchors import switch_list_anchors, train_anchors
from consist.report.sheets.bench_sheet import bench_sheet
from consist.report.sheets.cells import printable
from consist.report.sheets.door_sheet import door_sheet
from consist.report.sheets.power_sheet import power_sheet
from consist.report.sheets.session_sheet import session_sheet
from consist.report.sheets.switch_list import switch_list
from consist.report.sheets.tasks import tasks_of
from consist.report.sheets.train_sheet import train_sheet
from consist.report.units import Units

__all__ = ["document_of"]


def document_of(overview: Overview, units: Units) -> Document:
    """The session's sheet, a sheet and a switch list a train, then those of the power, the bench and the door.

    Every text is on one line and free of control characters. `Cell.value` has figures as the JSON has them.
    """
    tasks = tasks_of(overview, units)
    trains, lists = train_anchors(overview), switch_list_anchors(overview)
    sheets: list[Sheet] = [session_sheet(overview, tasks, units)]
    sheets += [train_sheet(overview, one, trains[one.train.name], units) for one in overview.trains]
    sheets += [switch_list(overview, one, lists[one.train.name], tasks, units) for one in overview.trains]
    if overview.power is not None:
        sheets.append(power_sheet(overview, overview.power, units))
    if overview.bench is not None:
        sheets.append(bench_sheet(overview.bench, trains, units))
    if overview.door is not None:
        sheets.append(door_sheet(overview.door, units))
    return printable(Document(overview.session.title, tuple(sheets), CLOSING))
