"""The report on paper: a PDF written without a browser."""

from __future__ import annotations

from consist.report.paper.pages import report_pdf

__all__ = ["report_pdf"]
