"""Reports: results and layouts as pages for a terminal, and as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consist.lazy_front import lazy_front

if TYPE_CHECKING:
    from consist.report.json import as_json
    from consist.report.layout_json import layout_as_json
    from consist.report.layout_page import layout_text
    from consist.report.order_json import orders_as_json
    from consist.report.order_page import orders_text
    from consist.report.order_written import written_words
    from consist.report.page import as_text, session_text
    from consist.report.power_json import power_as_json
    from consist.report.power_page import power_text
    from consist.report.progress import shown_progress, shown_waiting
    from consist.report.rating_csv import ratings_as_csv
    from consist.report.rating_page import rating_text
    from consist.report.terminal import Terminal, this_terminal
    from consist.report.units import Units, UnitsName, units_for

__all__ = [
    "Terminal",
    "Units",
    "UnitsName",
    "as_json",
    "as_text",
    "layout_as_json",
    "layout_text",
    "orders_as_json",
    "orders_text",
    "power_as_json",
    "power_text",
    "rating_text",
    "ratings_as_csv",
    "session_text",
    "shown_progress",
    "shown_waiting",
    "this_terminal",
    "units_for",
    "written_words",
]

_FROM = {
    "Terminal": "consist.report.terminal",
    "Units": "consist.report.units",
    "UnitsName": "consist.report.units",
    "as_json": "consist.report.json",
    "as_text": "consist.report.page",
    "layout_as_json": "consist.report.layout_json",
    "layout_text": "consist.report.layout_page",
    "orders_as_json": "consist.report.order_json",
    "orders_text": "consist.report.order_page",
    "power_as_json": "consist.report.power_json",
    "power_text": "consist.report.power_page",
    "rating_text": "consist.report.rating_page",
    "ratings_as_csv": "consist.report.rating_csv",
    "session_text": "consist.report.page",
    "shown_progress": "consist.report.progress",
    "shown_waiting": "consist.report.progress",
    "this_terminal": "consist.report.terminal",
    "units_for": "consist.report.units",
    "written_words": "consist.report.order_written",
}

__getattr__ = lazy_front(__name__, _FROM)
