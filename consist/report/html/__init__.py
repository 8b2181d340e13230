"""The report as one page for a browser, a phone and a printer, that needs no other file."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consist.lazy_front import lazy_front

if TYPE_CHECKING:
    from consist.report.html.page import html_page

__all__ = ["html_page"]

__getattr__ = lazy_front(__name__, {"html_page": "consist.report.html.page"})
