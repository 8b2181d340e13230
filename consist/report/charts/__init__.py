"""The pictures of a report, drawn by a plotting library that no other command loads."""

from __future__ import annotations

from consist.report.charts.quiet import hush_library

hush_library()

from consist.report.charts.chart import Along, Chart  # noqa: E402
from consist.report.charts.engines import engines_chart  # noqa: E402
from consist.report.charts.files import pdf_file, pdf_pages, png_file  # noqa: E402
from consist.report.charts.headed import headed  # noqa: E402
from consist.report.charts.kinds import kinds_of, train_chart  # noqa: E402
from consist.report.charts.svg import inline_svg, svg_file  # noqa: E402

__all__ = [
    "Along",
    "Chart",
    "engines_chart",
    "headed",
    "inline_svg",
    "kinds_of",
    "pdf_file",
    "pdf_pages",
    "png_file",
    "svg_file",
    "train_chart",
]
