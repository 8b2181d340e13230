"""Reports: results and layouts as pages for a terminal, and as JSON."""

from __future__ import annotations

from consist.report.json import as_json
from consist.report.layout_json import layout_as_json
from consist.report.layout_page import layout_page
from consist.report.order_json import orders_as_json
from consist.report.order_page import orders_text
from consist.report.order_written import written_words
from consist.report.page import as_text, session_text
from consist.report.progress import shown_progress
from consist.report.terminal import Terminal, this_terminal
from consist.report.units import Units, UnitsName, units_for

__all__ = [
    "Terminal",
    "Units",
    "UnitsName",
    "as_json",
    "as_text",
    "layout_as_json",
    "layout_page",
    "orders_as_json",
    "orders_text",
    "session_text",
    "shown_progress",
    "this_terminal",
    "units_for",
    "written_words",
]
