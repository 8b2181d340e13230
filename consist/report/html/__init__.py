"""The report as one page for a browser, a phone and a printer, that needs no other file."""

from __future__ import annotations

from consist.report.html.page import html_page, sheet_html

__all__ = ["html_page", "sheet_html"]
