"""The small drawn things: boxes to tick, bars of side use, and pictures."""

from __future__ import annotations

from dataclasses import replace

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from consist.report.charts import Chart, draw_on
from consist.report.charts.drawing import Sheet, boxes_path, lines_path
from consist.report.charts.palette import PAPER, Shade
from consist.report.document import UseBar
from consist.report.paper.lettering import GREY, INK, MUTED, Type
from consist.report.paper_text import BOLD, PLAIN, printable

__all__ = ["BAR_GAP", "BAR_LONG", "Drawn", "TickBox", "UseMark"]

BAR_LONG, BAR_GAP, BAR_FIGURE = 34.0, 3.0, 3.5  # points, points; letters' sizes that the figure takes
BAR_REACHES = 1.3
"""A bar's full length in shares of the side use at which hold begins; one that goes on past it ends in a point."""


class TickBox(Flowable):
    """An empty square as high as the letters beside it."""

    def __init__(self, size: float) -> None:
        super().__init__()
        self.size = size

    def wrap(self, _wide: float, _high: float) -> tuple[float, float]:
        """The room it takes."""
        return self.size, self.size

    def draw(self) -> None:
        """Draw it."""
        self.canv.setStrokeColor(HexColor(INK))
        self.canv.setLineWidth(0.9)
        self.canv.rect(0.5, 0.0, self.size - 1.0, self.size - 1.0)


class UseMark(Flowable):
    """Side use as a figure and a bar with marks where care and hold begin."""

    def __init__(self, text: str, bar: UseBar, letters: Type) -> None:
        super().__init__()
        self.text, self.bar, self.letters = printable(text), bar, letters
        self.figure = BAR_FIGURE * letters.size

    @staticmethod
    def width_for(letters: Type) -> float:
        """The width that every one of them takes, in points."""
        return BAR_FIGURE * letters.size + BAR_GAP + BAR_LONG

    def wrap(self, _wide: float, _high: float) -> tuple[float, float]:
        """The room it takes."""
        return self.width_for(self.letters), self.letters.style("cell").leading

    def draw(self) -> None:
        """Draw it: the darker the bar, the graver; care is hatched too. One that goes on ends in a point."""
        bar, size = self.bar, self.letters.size
        over, cared = bar.use > bar.hold, bar.use > bar.care
        self.canv.setFillColor(HexColor(INK))
        self.canv.setFont(BOLD if over else PLAIN, size)
        self.canv.drawRightString(self.figure, 0.22 * size, self.text)
        high, unit = 0.62 * size, BAR_LONG / (BAR_REACHES * bar.hold)
        long = max(min(bar.use * unit, BAR_LONG), 0.3)
        tip = long - (0.5 * high if bar.use > BAR_REACHES * bar.hold else 0.0)
        corners = [(0.0, high), (tip, high), (long, 0.5 * high), (tip, 0.0), (0.0, 0.0)]
        shade = Shade(INK if over else MUTED if cared else GREY)
        sheet = Sheet(high, BAR_LONG)
        path = boxes_path([(0.0, 0.0, long, high)]) if tip == long else lines_path([corners], closed=True)
        sheet.shape(path, shade, edge=INK, width=0.4)
        if cared and not over:
            sheet.shape(path, replace(shade, hatch="/", hatch_ink=PAPER))
        for at, width in ((bar.care, 0.5), (bar.hold, 1.1)):
            sheet.line(lines_path([[(at * unit, -0.8), (at * unit, high + 0.8)]]), INK, width)
        draw_on(self.canv, sheet, self.figure + BAR_GAP, 0.14 * size + high - sheet.height, 1.0)


class Drawn(Flowable):
    """A picture at a scale, as the vectors it is."""

    def __init__(self, chart: Chart, scale: float) -> None:
        super().__init__()
        self.chart, self.scale = chart, scale

    def wrap(self, _wide: float, _high: float) -> tuple[float, float]:
        """The room it takes."""
        return self.scale * self.chart.width, self.scale * self.chart.height

    def draw(self) -> None:
        """Draw it."""
        draw_on(self.canv, self.chart.sheet, 0.0, 0.0, self.scale)
