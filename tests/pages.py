"""What the commands print of results that a test has made by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from consist.bench import BenchList
from consist.evening import SessionOrders
from consist.evening.results import SessionCheck
from consist.power import PowerPlan
from consist.power.rating import LayoutRatings
from consist.report.sheets.bench import bench_sheet
from consist.report.sheets.door import door_sheet
from consist.report.sheets.layout import layout_sheet
from consist.report.sheets.moves import order_sheets
from consist.report.sheets.parts import of_sheets
from consist.report.sheets.power import power_sheet
from consist.report.sheets.rating import rating_sheet
from consist.report.sheets.session import check_sheets, checked
from consist.report.terminal import Terminal, as_pages
from consist.report.terminal.drawings import engines_in_text, lines_in_text, routes_in_text
from consist.screening import Screening
from consist.session import Session
from consist.track import Layout
from consist.wording import Units

__all__ = [
    "bench_text",
    "door_text",
    "layout_text",
    "orders_text",
    "power_text",
    "rating_text",
    "session_text",
    "under",
]


def session_text(
    session: Session,
    check: SessionCheck,
    units: Units,
    *,
    width: int = 80,
    colour: bool = False,
    train_pages: bool = True,
) -> str:
    """What `consist check` prints."""
    sheets = check_sheets(checked(session, check), units, train_pages=train_pages)
    return as_pages(of_sheets(session.title, *sheets), routes_in_text(session, check, units), Terminal(width, colour))


def orders_text(session: Session, orders: SessionOrders, units: Units) -> str:
    """What `consist order` prints."""
    return as_pages(of_sheets("", *order_sheets(session, orders, units)))


def power_text(session: Session, plan: PowerPlan, units: Units, *, width: int = 80) -> str:
    """What `consist power` prints."""
    document = of_sheets("", power_sheet(session, plan, {}, units))
    return as_pages(document, engines_in_text(session, plan), Terminal(width))


def bench_text(listed: BenchList, units: Units, *, width: int = 80) -> str:
    """What `consist bench` prints."""
    return as_pages(of_sheets("", bench_sheet(listed, {}, units)), to=Terminal(width))


def door_text(door: Screening, units: Units, *, width: int = 80, colour: bool = False) -> str:
    """What `consist screen` prints."""
    return as_pages(of_sheets("", door_sheet(door, units)), to=Terminal(width, colour))


def rating_text(rated: LayoutRatings, units: Units, *, width: int = 80) -> str:
    """What `consist rating` prints."""
    return as_pages(of_sheets("", rating_sheet(rated, units)), to=Terminal(width))


def layout_text(layout: Layout, notes: Sequence[str], units: Units, width: int = 80) -> str:
    """What `consist layout` prints."""
    document = of_sheets("", layout_sheet(replace(layout, notes=tuple(notes)), units))
    return as_pages(document, lines_in_text(layout, units), Terminal(width))


def under(text: str, heading: str) -> list[str]:
    """The lines under a heading up to the next blank line."""
    lines = text.split("\n")
    start = lines.index(heading) + 1
    return lines[start : lines.index("", start)]
