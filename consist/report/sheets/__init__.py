"""The content of the report: an evening's results as sheets of plain blocks, whatever they are written on."""

from __future__ import annotations

from consist.report.sheets.together import document_of

__all__ = ["document_of"]
