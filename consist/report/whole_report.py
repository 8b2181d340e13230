"""A session's whole report: its sheets and pictures, written as one page or on paper."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, cached_property

from consist.evening.overview import Overview
from consist.report.charts import Chart, engines_chart, train_chart
from consist.report.document import Document, Picture
from consist.report.sheets.session import document_of
from consist.wording import Units

__all__ = ["WholeReport"]


class WholeReport:
    """The report of one overview; each picture is drawn once, whatever it is written on."""

    def __init__(self, overview: Overview, units: Units) -> None:
        self._overview, self._units = overview, units
        self.chart_of: Callable[[Picture], Chart] = cache(self._draw)
        """The picture for a place in the document."""

    @cached_property
    def document(self) -> Document:
        """The sheets, without their pictures."""
        return document_of(self._overview, self._units)

    def as_html(self) -> str:
        """One page that needs nothing else; the same overview gives the same text."""
        from consist.report.html import html_page

        return html_page(self.document, self.chart_of)

    def as_pdf(self, paper_name: str = "a4") -> bytes:
        """The same on paper, `paper_name` being a key of `strip.PAPERS`."""
        from consist.report.paper import report_pdf

        return report_pdf(self.document, self.chart_of, paper_name)

    def _draw(self, picture: Picture) -> Chart:
        of = self._overview
        if picture.train is None and of.power is not None:
            return engines_chart(of.power, of.session)
        train = next(train for train in of.trains if train.train.name == picture.train)
        return train_chart(picture.kind, train, of.session, self._units)
