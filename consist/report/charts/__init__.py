"""The pictures of a report, each drawn once for a page, for paper or for a file of its own."""

from __future__ import annotations

from consist.evening.overview import TrainOverview
from consist.report.charts.drawbar import drawbar_chart
from consist.report.charts.drawing import Along, Chart
from consist.report.charts.engines import engines_chart
from consist.report.charts.layout import layout_chart
from consist.report.charts.learned import learned_chart
from consist.report.charts.plan import plan_chart
from consist.report.charts.profile import profile_chart
from consist.report.charts.side_use import side_use_chart
from consist.report.charts.train import then_chart
from consist.report.charts.train import train_chart as as_it_stands
from consist.report.charts.written import draw_on, headed, inline_svg, pdf_file, picture_file, png_file, svg_file
from consist.report.document import ChartKind
from consist.report.sheets.train import kinds_of
from consist.report.words import clean
from consist.session import Session
from consist.wording import Units

__all__ = [
    "Along",
    "Chart",
    "draw_on",
    "engines_chart",
    "headed",
    "inline_svg",
    "kinds_of",
    "layout_chart",
    "learned_chart",
    "pdf_file",
    "picture_file",
    "png_file",
    "svg_file",
    "train_chart",
]

DRAWN = {
    "train": as_it_stands,
    "then": then_chart,
    "plan": plan_chart,
    "profile": profile_chart,
    "side-use": side_use_chart,
    "drawbar": drawbar_chart,
}


def train_chart(kind: ChartKind, train: TrainOverview, session: Session, units: Units) -> Chart:
    """A picture of one train; raises `ValueError` for one that `kinds_of` does not name."""
    if kind not in DRAWN:
        raise ValueError(f"no picture {kind!r} of {clean(train.train.name)}: it is not one of a train")
    return DRAWN[kind](train, session, units)
