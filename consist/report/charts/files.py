"""A picture as a file for a screen or for paper."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any

from matplotlib.backend_bases import FigureCanvasBase
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_pdf import FigureCanvasPdf, PdfPages

from consist.report.charts.chart import Chart, own_settings
from consist.report.charts.palette import PAPER
from consist.report.charts.quiet import without_warnings
from consist.report.charts.sheet import POINTS_PER_INCH

__all__ = ["pdf_file", "pdf_pages", "png_file"]

KEPT_OUT: dict[str, Any] = {"CreationDate": None, "Creator": None, "Producer": None}
"""A date would make every file another; the rest would say what drew it."""
DENSITY = 3.0
"""Pixels for each drawing unit: a picture as wide as a hand is then sharp on any screen, and in print."""


def png_file(chart: Chart) -> bytes:
    """The picture in pixels, on white."""
    return _written(chart, FigureCanvasAgg, "png", DENSITY * POINTS_PER_INCH, {"Software": None})


def pdf_file(chart: Chart) -> bytes:
    """The picture on one page as large as it is, a drawing unit being a point."""
    return _written(chart, FigureCanvasPdf, "pdf", POINTS_PER_INCH, KEPT_OUT)


def pdf_pages(charts: Iterable[Chart]) -> bytes:
    """Pictures on a page each, every page as large as its picture; they share their fonts.

    Far quicker than a file each, since most of the time of one goes into its fonts.
    """
    written = io.BytesIO()
    with own_settings(), without_warnings(), PdfPages(written, metadata=KEPT_OUT) as pages:
        for chart in charts:
            with _on_paper(chart):
                pages.savefig(chart.figure, dpi=POINTS_PER_INCH, facecolor=PAPER)
    return written.getvalue()


def _written(
    chart: Chart, canvas: type[FigureCanvasBase], ending: str, dots_per_inch: float, metadata: dict[str, Any]
) -> bytes:
    written = io.BytesIO()
    with own_settings(), without_warnings(), _on_paper(chart):
        canvas(chart.figure).print_figure(
            written, format=ending, dpi=dots_per_inch, facecolor=PAPER, metadata=metadata
        )
    return written.getvalue()


@contextmanager
def _on_paper(chart: Chart) -> Iterator[None]:
    """The ground, which is otherwise the page's, drawn as well."""
    ground = chart.figure.patch
    ground.set_visible(True)
    try:
        yield
    finally:
        ground.set_visible(False)
