"""A picture under a heading, to be passed round alone."""

from __future__ import annotations

from dataclasses import replace

from matplotlib.transforms import Affine2D

from consist.report.charts.chart import Along, Chart, own_settings
from consist.report.charts.lettering import Word, font, shortened
from consist.report.charts.palette import INK
from consist.report.charts.sheet import POINTS_PER_INCH
from consist.report.words import clean

__all__ = ["headed"]

BAND = 22.0
"""How far the picture moves down for its heading."""
BASELINE, EDGE = 13.0, 4.0


def headed(chart: Chart, whose: str) -> Chart:
    """The picture with whose it is and what it shows above it.

    It takes the figure over: the chart given is used up.
    """
    heading = f"{clean(whose)}: {chart.title}"
    figure, height = chart.figure, chart.height + BAND
    with own_settings():
        # what is drawn keeps its distance from the foot of the figure, so a taller one has room at its top
        figure.set_size_inches(chart.width / POINTS_PER_INCH, height / POINTS_PER_INCH)
        text = shortened(heading, chart.width - 2.0 * EDGE, bold=True)
        word = Word(EDGE, height - BASELINE, text, color=INK, fontproperties=font(bold=True), parse_math=False)
        word.set_transform(Affine2D().scale(1.0 / POINTS_PER_INCH) + figure.dpi_scale_trans)
        figure.add_artist(word)
    along = chart.along
    if along is not None:
        along = Along(along.left, along.top + BAND, along.right, along.bottom + BAND, along.route_mm)
    track = tuple((x, y + BAND) for x, y in chart.track)
    return replace(chart, title=heading, height=height, along=along, track=track)
