"""The report on paper: a PDF written without a browser."""

from __future__ import annotations

from consist.report.paper.setting import report_pdf

__all__ = ["report_pdf"]
