"""A train's standing order, a row a vehicle from the head end back, with each car's side use as a bar."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rich.text import Text

from consist.checking.results import TrainCheck
from consist.report.bar import Bar
from consist.report.columns import Column, lay_out
from consist.report.standing_words import (
    REAR,
    USE_IS,
    head_end_words,
    legs_marked,
    legs_words,
    no_engine_words,
    use_level,
)
from consist.report.units import Units
from consist.report.verdicts import word
from consist.report.words import clean, paragraph, percent
from consist.session import CarInTrain, Session, Train
from consist.stock import Engine

__all__ = ["drawn_order", "house_bar", "order_legend", "standing_order"]

BAR_WIDTH = 18
POINTER = "►"


def standing_order(session: Session, train: Train, result: TrainCheck, units: Units, width: int) -> list[Text]:
    """The train drawn down the page, engines and helpers in their places, and what the marks mean."""
    uses = {car.car: car.side_use for car in result.cars}
    worst = None if result.worst is None else result.worst.car
    return [*drawn_order(session, train, uses, worst, units, width), *order_legend(session, train, width)]


def house_bar(session: Session, width: int = BAR_WIDTH) -> Bar:
    """Bars of side use with the marks of the session's house."""
    return Bar(width, 1.0 / session.house.care_margin, 1.0 / session.house.hold_margin)


def drawn_order(
    session: Session,
    train: Train,
    uses: Mapping[str, float],
    worst: str | None,
    units: Units,
    width: int,
    was: Mapping[str, int] | None = None,
) -> list[Text]:
    """The train drawn down the page; `uses` gives by car its side use, `was` by moved car the spot it was in."""
    bar = house_bar(session)
    rows: list[list[str | Text]] = [
        _engine_row(engine, head_end_words(number), units) for number, engine in enumerate(train.engines)
    ]
    if not train.engines:
        rows.append(["", "", "", f"({no_engine_words(train)})", *[""] * 9])
    for car in train.cars:
        name = car.car.name
        pointer, before = POINTER if name == worst else "", str((was or {}).get(name, ""))
        rows.append([pointer, str(car.spot), before, *_car_cells(train, car, uses[name], bar, units)])
    rows.extend(_engine_row(engine, REAR, units) for engine in train.helpers)
    return lay_out(_columns(bar, units), rows, width)


def _columns(bar: Bar, units: Units) -> Sequence[Column]:
    return (
        Column(""),
        Column("spot", right=True, gap=0),
        Column("was", right=True),
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


def _car_cells(train: Train, car: CarInTrain, use: float, bar: Bar, units: Units) -> list[str | Text]:
    level = use_level(use, bar.care, bar.hold)
    return [
        clean(car.car.name),
        clean(car.car.kind),
        "L" if car.loaded else "",
        legs_words(train, car),
        clean(car.block or ""),
        units.weight_figure(car.weight_g),
        units.length_figure(car.car.coupled_length_mm),
        percent(use),
        bar.of(use),
        "" if level is None else word(level),
    ]


def order_legend(
    session: Session, train: Train, width: int, *, legs_below: bool = True, moved: bool = False
) -> list[Text]:
    """What the marks of a drawing mean; `legs_below` is whether legs are told below, `moved` whether cars were."""
    bar = house_bar(session)
    said = [f"{USE_IS}; : care past {percent(bar.care)}, | hold past {percent(bar.hold)}, {POINTER} the worst car."]
    if any(car.loaded for car in train.cars):
        said.append("L is loaded.")
    if legs_marked(train):
        legs = "are those below" if legs_below else "are told by 'consist check'"
        said.append(f"The legs on which a car rides {legs}.")
    if moved:
        said.append("Was is the spot that a moved car stood in.")
    return paragraph(" ".join(said), width)
