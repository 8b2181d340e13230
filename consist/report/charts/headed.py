"""A picture under a heading, to be passed round alone."""

from __future__ import annotations

from dataclasses import replace

from matplotlib.transforms import Affine2D

from consist.report.charts.chart import Chart, own_settings
from consist.report.charts.lettering import Word, font, shortened
from consist.report.charts.palette import INK
from consist.report.charts.sheet import POINTS_PER_INCH
from consist.report.words import clean

__all__ = ["headed"]

BASELINES, EDGE = (12.0, 24.0), 4.0
BAND = 32.0
"""How far the picture moves down for its heading."""


def headed(chart: Chart, whose: str) -> Chart:
    """The picture with whose it is and what it shows above it.

    It takes the figure over: the chart given is used up.
    """
    figure, height = chart.figure, chart.height + BAND
    with own_settings():
        # what is drawn keeps its distance from the foot of the figure, so a taller one has room at its top
        figure.set_size_inches(chart.width / POINTS_PER_INCH, height / POINTS_PER_INCH)
        units = Affine2D().scale(1.0 / POINTS_PER_INCH) + figure.dpi_scale_trans
        for said, baseline, bold in zip((clean(whose), chart.title), BASELINES, (True, False), strict=True):
            text = shortened(said, chart.width - 2.0 * EDGE, bold)
            word = Word(EDGE, height - baseline, text, color=INK, fontproperties=font(bold), parse_math=False)
            word.set_transform(units)
            figure.add_artist(word)
    along = chart.along
    if along is not None:
        along = replace(along, top=along.top + BAND, bottom=along.bottom + BAND)
    track = tuple((x, y + BAND) for x, y in chart.track)
    return replace(chart, title=f"{clean(whose)}: {chart.title}", height=height, along=along, track=track)
