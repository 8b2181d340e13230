"""A train's standing order, a row a vehicle from the head end back, with each car's side use as a bar."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from consist.checking.results import CarResult, TrainCheck
from consist.report.bar import Bar
from consist.report.columns import Column, lay_out
from consist.report.legs import leg_name
from consist.report.units import Units
from consist.report.verdicts import word
from consist.report.words import NONE, clean, paragraph, percent
from consist.session import CarInTrain, Session, Train
from consist.stock import Engine

__all__ = ["standing_order"]

BAR_WIDTH = 18
POINTER = "►"
MOST_LEGS_MARKED = 6


def standing_order(session: Session, train: Train, result: TrainCheck, units: Units, width: int) -> list[Text]:
    """The train drawn down the page, engines and helpers in their places, and what the marks mean."""
    bar = Bar(BAR_WIDTH, 1.0 / session.house.care_margin, 1.0 / session.house.hold_margin)
    figures = {car.car: car for car in result.cars}
    worst = None if result.worst is None else result.worst.car
    rows: list[list[str | Text]] = [
        _engine_row(engine, "head end" if number else "head end, leading", units)
        for number, engine in enumerate(train.engines)
    ]
    if not train.engines:
        rows.append(["", "", f"({'helpers only' if train.helpers else 'no engine yet'})", *[""] * 9])
    for car in train.cars:
        rows.append(_car_row(train, car, figures[car.car.name], worst, bar, units))
    rows.extend(_engine_row(engine, "rear end", units) for engine in train.helpers)
    lines = lay_out(_columns(bar, units), rows, width)
    return [*lines, *paragraph(_legend(train, bar), width)]


def _columns(bar: Bar, units: Units) -> Sequence[Column]:
    return (
        Column(""),
        Column("spot", right=True, gap=0),
        Column("car", least=10),
        Column("kind", least=4),
        Column("L"),
        Column("leg"),
        Column("block", least=5),
        Column(units.name, right=True),
        Column(units.length_unit, right=True),
        Column("use", right=True),
        Column(bar.heading()),
        Column(""),
    )


def _engine_row(engine: Engine, where: str, units: Units) -> list[str | Text]:
    return [
        "",
        "",
        Text(clean(engine.name), "bold"),
        clean(engine.engine_class),
        "",
        "",
        "",
        units.weight_figure(engine.weight_g),
        units.length_figure(engine.coupled_length_mm),
        "",
        where,
        "",
    ]


def _car_row(
    train: Train, car: CarInTrain, result: CarResult, worst: str | None, bar: Bar, units: Units
) -> list[str | Text]:
    use = result.side_use
    level = "hold" if use > bar.hold else "care" if use > bar.care else None
    return [
        POINTER if car.car.name == worst else "",
        str(car.spot),
        clean(car.car.name),
        clean(car.car.kind),
        "L" if car.loaded else "",
        _legs(train, car),
        clean(car.block or ""),
        units.weight_figure(result.weight_g),
        units.length_figure(car.car.coupled_length_mm),
        percent(use),
        bar.of(use),
        "" if level is None else word(level),
    ]


def _legs(train: Train, car: CarInTrain) -> str:
    """The legs on which a car rides, by their letters, where the train's makeup changes."""
    if not 1 < len(train.legs) <= MOST_LEGS_MARKED:
        return ""
    rides = [car.joins <= leg.start and leg.finish <= car.leaves for leg in train.legs]
    return "".join(leg_name(number) if there else NONE for number, there in enumerate(rides))


def _legend(train: Train, bar: Bar) -> str:
    said = [
        f"Use is the part a car uses of the side pull it can bear; : care past {percent(bar.care)}, "
        f"| hold past {percent(bar.hold)}, {POINTER} the worst car."
    ]
    if any(car.loaded for car in train.cars):
        said.append("L is loaded.")
    if 1 < len(train.legs) <= MOST_LEGS_MARKED:
        said.append("The legs on which a car rides are those below.")
    return " ".join(said)
