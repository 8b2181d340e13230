"""A train's standing order as a table, a row a vehicle from the head end back."""

from __future__ import annotations

from consist.checking.overview import TrainOverview
from consist.report.document import Block, Cell, Column, Para, Row, Table
from consist.report.sheets.cells import figure, filled, name, use_bar, verdict_cell
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
from consist.report.words import percent
from consist.session import CarInTrain, Session
from consist.stock import Engine

__all__ = ["LOADED", "standing_table"]

LOADED = "L"


def standing_table(session: Session, one: TrainOverview, units: Units) -> tuple[Block, ...]:
    """The table and what its columns mean; columns that would stand empty are left out."""
    train = one.train
    columns = (
        Column("spot", figures=True),
        Column("car", wide=True),
        Column("kind", lesser=True),
        Column("loaded", lesser=True),
        Column("legs", lesser=True),
        Column("block", lesser=True),
        Column(f"weight, {units.name}", figures=True),
        Column(f"length, {units.length_unit}", figures=True, lesser=True),
        Column("use", figures=True),
        Column("remark"),
    )
    rows = [_engine(engine, head_end_words(number), units) for number, engine in enumerate(train.engines)]
    if not train.engines:
        rows.append(_row(Cell(""), Cell(no_engine_words(train)), engine=True))
    rows += [_car(session, one, car, units) for car in train.cars]
    rows += [_engine(engine, REAR, units) for engine in train.helpers]
    table = filled(Table("Standing order, head end first", columns, tuple(rows)))
    return (table, Para(_legend(session, one), legend=True)) if train.cars else (table,)


def _row(spot: Cell, car: Cell, *cells: Cell, engine: bool = False, marked: bool = False) -> Row:
    """A row, empty where nothing is given."""
    empty = (Cell(""),) * (8 - len(cells))
    return Row((spot, car, *cells, *empty), engine=engine, marked=marked)


def _engine(engine: Engine, where: str, units: Units) -> Row:
    return _row(
        Cell(""),
        name(engine.name, strong=True),
        name(engine.engine_class),
        *[Cell("")] * 3,
        figure(units.weight_figure(engine.weight_g), engine.weight_g),
        figure(units.length_figure(engine.coupled_length_mm), engine.coupled_length_mm),
        Cell(""),
        Cell(where),
        engine=True,
    )


def _car(session: Session, one: TrainOverview, car: CarInTrain, units: Units) -> Row:
    result = next(result for result in one.check.cars if result.car == car.car.name)
    house, worst = session.house, one.check.worst
    return _row(
        figure(str(car.spot), car.spot),
        name(car.car.name),
        name(car.car.kind),
        Cell(LOADED if car.loaded else ""),
        Cell(legs_words(one.train, car)),
        name(car.block),
        figure(units.weight_figure(result.weight_g), result.weight_g),
        figure(units.length_figure(car.car.coupled_length_mm), car.car.coupled_length_mm),
        use_bar(session, result.side_use),
        verdict_cell(use_level(result.side_use, 1.0 / house.care_margin, 1.0 / house.hold_margin)),
        marked=worst is not None and worst.car == car.car.name,
    )


def _legend(session: Session, one: TrainOverview) -> str:
    train = one.train
    care, hold = percent(1.0 / session.house.care_margin), percent(1.0 / session.house.hold_margin)
    said = [f"{USE_IS}; care past {care}, hold past {hold}."]
    if one.check.worst is not None:
        said.append("The worst car is marked.")
    if any(car.loaded for car in train.cars):
        said.append(f"{LOADED} is loaded.")
    if legs_marked(train):
        said.append("The legs on which a car rides are those below.")
    return " ".join(said)
