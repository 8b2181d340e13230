"""A train whose figures are invented, its pictures, and what a reader finds in them."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import builders
import numpy as np
import report_samples
from numpy.typing import NDArray

from consist.evening.along import Moment, UseAlong
from consist.evening.overview import TrainOverview
from consist.evening.results import CarResult, PowerResult, TrainCheck, WorstPlace
from consist.report.charts import Chart, train_chart
from consist.report.charts.drawing import Mark, Word
from consist.report.document import ChartKind
from consist.report.lettering import width_of
from consist.session import Session, Train
from consist.stock import Car, Engine
from consist.wording import Units

__all__ = [
    "CARE",
    "GRAMS",
    "HOLD",
    "LENGTHS",
    "OUNCES",
    "USES",
    "WEIGHTS",
    "axis",
    "boxes",
    "drawn",
    "made",
    "middle",
    "shape",
    "spans",
    "words",
]

Floats = NDArray[np.float64]
OUNCES, GRAMS = Units("oz"), Units("g")
CARE, HOLD = 1.0 / 1.5, 1.0
"""The shares of side use at which the house's margins of 1.5 and 1.0 are reached."""
LENGTHS = (150.0, 210.0, 150.0, 120.0, 260.0, 150.0)
WEIGHTS = (100.0, 60.0, 140.0, 80.0, 120.0, 100.0)
USES = np.array(
    [
        [0.1, 0.3, 0.5, 0.7, 1.2, 0.0],
        [0.22, 0.44, CARE, HOLD, 0.9, 0.9],
        [0.0, 0.0, np.nan, np.nan, np.nan, np.nan],
        [0.9, 0.1, 0.9, 0.1, 0.9, 0.1],
        [0.0, 0.0, 0.0, 0.0, 0.0, 0.0],
        [np.nan, np.nan, 0.2, 1.01, 1.01, 0.2],
    ]
)


def made(
    lengths: Sequence[float] = LENGTHS, uses: Floats = USES, *, engines: int = 2, worst: bool = True
) -> tuple[Session, TrainOverview]:
    """A train on a line that climbs through a left and a right curve, its figures invented."""
    weights = itertools.cycle(WEIGHTS)
    cars = [
        builders.car(f"QLM {k}", next(weights), length, truck_centers_mm=0.7 * length)
        for k, length in enumerate(lengths, start=1)
    ]
    where = report_samples.hill()
    heads = [builders.engine(f"3{k}", length_mm=230.0) for k in range(engines)]
    train = builders.train(where, cars, heads, name="Turn", stops=("Low Yard", "Fork", "Hill Top"))
    session = builders.session(where, train)
    route_mm = train.route.length_mm
    peaks = np.nanmax(uses, axis=1, initial=0.0)
    first = int(np.argmax(peaks)) if worst else 0
    check = TrainCheck(
        train="Turn",
        verdict="hold",
        margin=None,
        side_use=float(peaks[first]) if worst else 0.0,
        worst=WorstPlace(f"QLM {first + 1}", first + 1, 0.7 * route_mm, "Fork", 0.6 * route_mm) if worst else None,
        order_score=None,
        heavy_forward=None,
        weight_g=sum(WEIGHTS),
        length_mm=sum(lengths),
        route_mm=route_mm,
        peak_drawbar=None,
        power=PowerResult((), None, {}, None, None),
        cars=tuple(
            CarResult(car.car.name, car.spot, car.weight_g, float(use), None, 0.0)
            for car, use in zip(train.cars, peaks, strict=True)
        ),
        legs=(),
        findings=(),
        suggestion=None,
    )
    along = UseAlong(np.linspace(0.0, route_mm, uses.shape[1] + 1), uses)
    return session, TrainOverview(train, check, train.engines, along, moment(train, 0.7 * route_mm), None)


def moment(train: Train, head_mm: float) -> Moment | None:
    """Forces that go evenly from tension at the head end to buff at the rear."""
    vehicles: list[Engine | Car] = [*train.engines, *(car.car for car in train.cars)]
    if len(vehicles) < 2:
        return None
    tension = np.linspace(90.0, -30.0, len(vehicles) - 1)
    return Moment(
        head_mm=head_mm,
        run=0,
        names=tuple(one.name for one in vehicles),
        spots=(*(None for _ in train.engines), *(car.spot for car in train.cars)),
        length_mm=np.array([one.coupled_length_mm for one in vehicles]),
        weight_g=np.array([one.weight_g for one in vehicles]),
        tension_g=tension,
        most_tension_g=np.maximum(tension, 0.0) + 10.0,
        most_buff_g=np.maximum(-tension, 0.0) + 5.0,
    )


def drawn(kind: ChartKind, units: Units = OUNCES) -> tuple[TrainOverview, Chart]:
    """The picture of that train."""
    session, seen = made()
    return seen, train_chart(kind, seen, session, units)


def shape(chart: Chart, label: str) -> Floats:
    """The points of what is drawn under a label; of shape (0, 2) where it is not."""
    drawn = [mark.lines for mark in chart.sheet.marks if isinstance(mark, Mark) and mark.label == label]
    assert len(drawn) <= 1, label
    return np.concatenate(drawn[0]) if drawn else np.empty((0, 2))


def boxes(chart: Chart, label: str) -> Floats:
    """The rectangles under a label, each as left, top, right, bottom."""
    corners = shape(chart, label).reshape(-1, 4, 2)
    return np.concatenate((corners.min(axis=1), corners.max(axis=1)), axis=1)


def middle(chart: Chart, label: str) -> Floats:
    """The middle of a round thing."""
    points = shape(chart, label)
    return np.asarray(0.5 * (points.min(axis=0) + points.max(axis=0)))


def words(chart: Chart) -> list[tuple[str, float, float, str]]:
    """Every line of text with its place and its anchor."""
    return [(mark.text, mark.x, mark.y, mark.anchor) for mark in chart.sheet.marks if isinstance(mark, Word)]


def spans(chart: Chart) -> list[tuple[str, float, float, float]]:
    """Every line of text with its left and right end and its baseline."""
    shift = {"left": 0.0, "center": 0.5, "right": 1.0}
    return [
        (text, x - shift[anchor] * width_of(text), x + (1 - shift[anchor]) * width_of(text), y)
        for text, x, y, anchor in words(chart)
    ]


def axis(chart: Chart, coordinate: int, line: float) -> tuple[float, float]:
    """How far a unit takes one, and where zero is, by the figures of an axis at another coordinate."""
    figures = [
        (float(text.replace("−", "-")), place[coordinate])
        for text, *place, _ in words(chart)
        if abs(place[1 - coordinate] - line) < 0.01 and text.replace("−", "").replace(".", "").isdigit()
    ]
    assert len(figures) >= 2
    (one, there), (other, beyond) = figures[0], figures[-1]
    per_unit = (beyond - there) / (other - one)
    return per_unit, there - one * per_unit
