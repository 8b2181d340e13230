"""Reports: results as sheets, and the writers that bring them to a terminal, a page, paper and JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consist.lazy_front import lazy_front
from consist.wording import Units, UnitsName, units_for

if TYPE_CHECKING:
    from consist.report.json import as_json, json_reference
    from consist.report.sheets import (
        bench_sheet,
        check_document,
        checked,
        document_of,
        door_sheet,
        layout_figures,
        layout_sheet,
        of_sheets,
        order_sheets,
        power_sheet,
        rating_sheet,
        ratings_as_csv,
        recorded_words,
        tasks_of,
        written_words,
    )
    from consist.report.terminal import Terminal, as_pages, plain_lines, this_terminal
    from consist.report.terminal.drawings import engines_in_text, lines_in_text, routes_in_text
    from consist.report.terminal.progress import shown_progress, shown_waiting
    from consist.report.whole_report import WholeReport

_FROM = {
    "consist.report.json": ("as_json", "json_reference"),
    "consist.report.sheets": (
        "bench_sheet", "check_document", "checked", "document_of", "door_sheet", "layout_figures", "layout_sheet",
        "of_sheets", "order_sheets", "power_sheet", "rating_sheet", "ratings_as_csv", "recorded_words", "tasks_of",
        "written_words",
    ),
    "consist.report.terminal": ("Terminal", "as_pages", "plain_lines", "this_terminal"),
    "consist.report.terminal.drawings": ("engines_in_text", "lines_in_text", "routes_in_text"),
    "consist.report.terminal.progress": ("shown_progress", "shown_waiting"),
    "consist.report.whole_report": ("WholeReport",),
}  # fmt: skip

__all__ = [
    "Terminal",
    "Units",
    "UnitsName",
    "WholeReport",
    "as_json",
    "as_pages",
    "bench_sheet",
    "check_document",
    "checked",
    "document_of",
    "door_sheet",
    "engines_in_text",
    "json_reference",
    "layout_figures",
    "layout_sheet",
    "lines_in_text",
    "of_sheets",
    "order_sheets",
    "plain_lines",
    "power_sheet",
    "rating_sheet",
    "ratings_as_csv",
    "recorded_words",
    "routes_in_text",
    "shown_progress",
    "shown_waiting",
    "tasks_of",
    "this_terminal",
    "units_for",
    "written_words",
]

__getattr__ = lazy_front(__name__, {name: module for module, names in _FROM.items() for name in names})
