"""Which pictures there are of a train, and how each is drawn."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from consist.evening.overview import TrainOverview
from consist.report.charts.drawbar import drawbar_chart
from consist.report.charts.drawing import Chart
from consist.report.charts.plan import plan_chart
from consist.report.charts.profile import profile_chart
from consist.report.charts.side_use import side_use_chart
from consist.report.charts.train_drawing import then_chart
from consist.report.charts.train_drawing import train_chart as as_it_stands
from consist.report.document import ChartKind
from consist.report.sheets.train import kinds_of
from consist.report.words import clean
from consist.session import Session
from consist.wording import Units

__all__ = ["kinds_of", "train_chart"]

DRAWN: Mapping[ChartKind, Callable[[TrainOverview, Session, Units], Chart]] = {
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
