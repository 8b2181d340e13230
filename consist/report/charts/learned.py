"""What a log teaches as a picture: where cars come off more than they should, and how often they do by margin."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from consist.learning import Learned
from consist.report.charts.drawing import Chart, Sheet
from consist.report.charts.layout import plan_of
from consist.report.charts.palette import INK, MUTED, SHADES
from consist.report.charts.plot import BASELINE, TICK_GAP, Plot
from consist.report.words import clean, in_words
from consist.track import Layout
from consist.wording import Units, percent

__all__ = ["learned_chart"]

TITLE = "What the log teaches"
LEFT, WIDE, HIGH, ROOM = 63.0, 420.0, 150.0, 30.0
WORSE, MORE = 7.0, 3.6
"""How wide track is drawn that is surely worse, and at which more came off than should have."""


def learned_chart(layout: Layout, told: Learned, units: Units) -> Chart:
    """The plan with the stretches at which more came off than should have, the cars likewise, and the curve."""
    sheet = Sheet(width=1000.0)
    off = {one.name: one for one in told.track if one.off > one.expected}
    marks = {
        name: (WORSE if one.worse else MORE, f"{one.off} off, {one.expected:.1f} expected")
        for name, one in off.items()
    }
    y = plan_of(sheet, layout, units, marks) + 14.0
    for said in _said(told):
        sheet.text(8.0, y, said)
        y += 13.0
    y = _curve(sheet, told, y + ROOM)
    sheet.ends_at(y)
    return Chart("plan", TITLE, " ".join(_said(told)), sheet)


def _said(told: Learned) -> Iterator[str]:
    wide = [one.name for one in told.track if one.worse]
    yield f"Track surely worse than it should be: {clean(in_words(wide)) if wide else 'none'}."
    cars = [f"{one.name} ({one.off} off, {one.expected:.1f} expected)" for one in told.cars if one.off > one.expected]
    yield f"Cars that came off more than they should: {clean(in_words(cars)) if cars else 'none'}."
    care = told.margins.care
    yield f"Cars stay on 99 times in 100 with a margin of {care[1]:.2f} ({care[0]:.2f} to {care[2]:.2f})."


def _curve(sheet: Sheet, told: Learned, top: float) -> float:
    """The chance to come off between two places by margin, with its range; gives where it ends."""
    margins = np.log([margin for margin, _ in told.chances])
    low, middle, high = np.array([chance for _, chance in told.chances]).T
    plot = Plot(LEFT, top, LEFT + WIDE, top + HIGH, float(margins[0]), float(margins[-1]), 0.0, float(high.max()))
    sheet.text(8.0, top - 10.0, "chance to come off between two places, with the range that holds ninety per cent")
    plot.y_axis(sheet, ("%", 0.01))
    band = np.concatenate((plot.points(margins, high), plot.points(margins[::-1], low[::-1])))
    sheet.shape([band], SHADES[1], "range")
    sheet.line([plot.points(margins, middle)], INK, 1.6, "chance")
    for margin, x in zip((margin for margin, _ in told.chances), plot.x(margins).tolist(), strict=True):
        sheet.line([[(x, plot.bottom), (x, plot.bottom + 2.5)]], INK, 0.6)
        sheet.text(x, plot.bottom + TICK_GAP, f"{margin:g}", anchor="center", color=MUTED)
    sheet.text(plot.middle, plot.bottom + 2 * TICK_GAP, "margin", anchor="center", color=MUTED)
    x, y = plot.points(margins[[-1]], middle[[-1]])[0].tolist()
    sheet.text(x + 6.0, y + BASELINE, percent(float(middle[-1])), color=INK)
    return plot.bottom + 2 * TICK_GAP + 8.0
