"""The small drawn things: boxes to tick, bars of side use, and pictures."""

from __future__ import annotations

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from consist.report.charts import Chart, draw_on
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
        return self.width_for(self.letters), self.letters.cell.leading

    def draw(self) -> None:
        """Draw it: the darker the bar, the graver; care is hatched too."""
        canvas, size = self.canv, self.letters.size
        over = self.bar.use > self.bar.hold
        canvas.setFillColor(HexColor(INK))
        canvas.setFont(BOLD if over else PLAIN, size)
        canvas.drawRightString(self.figure, 0.22 * size, self.text)
        left, high = self.figure + BAR_GAP, 0.62 * size
        unit = BAR_LONG / (BAR_REACHES * self.bar.hold)
        long = min(self.bar.use * unit, BAR_LONG)
        foot = 0.14 * size
        canvas.setFillColor(HexColor(INK if over else MUTED if self.bar.use > self.bar.care else GREY))
        canvas.setStrokeColor(HexColor(INK))
        canvas.setLineWidth(0.4)
        self._bar(left, foot, max(long, 0.3), high)
        if not over and self.bar.use > self.bar.care:
            self._hatch(left, foot, long, high)
        for at, width in ((self.bar.care, 0.5), (self.bar.hold, 1.1)):
            canvas.setLineWidth(width)
            canvas.line(left + at * unit, foot - 0.8, left + at * unit, foot + high + 0.8)

    def _bar(self, left: float, foot: float, long: float, high: float) -> None:
        """A plain bar, or one with a point where it goes on."""
        point = 0.5 * high if self.bar.use > BAR_REACHES * self.bar.hold else 0.0
        shape = self.canv.beginPath()
        shape.moveTo(left, foot)
        shape.lineTo(left + long - point, foot)
        shape.lineTo(left + long, foot + (0.5 * high if point else 0.0))
        if point:
            shape.lineTo(left + long - point, foot + high)
        else:
            shape.lineTo(left + long, foot + high)
        shape.lineTo(left, foot + high)
        shape.close()
        self.canv.drawPath(shape, fill=1)

    def _hatch(self, left: float, foot: float, long: float, high: float) -> None:
        canvas = self.canv
        canvas.saveState()
        clip = canvas.beginPath()
        clip.rect(left, foot, long, high)
        canvas.clipPath(clip, stroke=0)
        canvas.setStrokeColor(HexColor("#ffffff"))
        canvas.setLineWidth(0.6)
        x = left - high
        while x < left + long:
            canvas.line(x, foot, x + high, foot + high)
            x += 2.4
        canvas.restoreState()


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
        draw_on(self.canv, self.chart, 0.0, 0.0, self.scale)
