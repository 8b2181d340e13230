"""The sheets: results as plain blocks, every figure in words with the unrounded figure behind it."""

from __future__ import annotations

from consist.report.sheets.bench import bench_sheet, recorded_words
from consist.report.sheets.desks import tasks_of
from consist.report.sheets.door import door_sheet
from consist.report.sheets.evening import CLOSING, check_document, checked, document_of, of_sheets
from consist.report.sheets.layout import layout_figures, layout_sheet
from consist.report.sheets.moves import order_sheets, written_words
from consist.report.sheets.power import power_sheet
from consist.report.sheets.rating import rating_sheet, ratings_as_csv

__all__ = [
    "CLOSING",
    "bench_sheet",
    "check_document",
    "checked",
    "document_of",
    "door_sheet",
    "layout_figures",
    "layout_sheet",
    "of_sheets",
    "order_sheets",
    "power_sheet",
    "rating_sheet",
    "ratings_as_csv",
    "recorded_words",
    "tasks_of",
    "written_words",
]
