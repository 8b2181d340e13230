"""The report on paper: a PDF written without a browser."""

from __future__ import annotations

from consist.report.paper.pages import card_pdf, report_pdf

__all__ = ["card_pdf", "report_pdf"]
