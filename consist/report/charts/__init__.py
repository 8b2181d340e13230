"""The pictures of a report, each drawn once for a page, for paper or for a file of its own."""

from __future__ import annotations

from consist.report.charts.drawing import Along, Chart
from consist.report.charts.engines import engines_chart
from consist.report.charts.files import draw_on, headed, pdf_file, png_file
from consist.report.charts.kinds import kinds_of, train_chart
from consist.report.charts.svg import inline_svg, svg_file

__all__ = [
    "Along",
    "Chart",
    "draw_on",
    "engines_chart",
    "headed",
    "inline_svg",
    "kinds_of",
    "pdf_file",
    "png_file",
    "svg_file",
    "train_chart",
]
