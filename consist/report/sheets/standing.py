"""A train's standing order as a table, a row a vehicle from the head end back, and the legs of its trip."""

from __future__ import annotations

from collections.abc import Mapping
from string import ascii_uppercase

from consist.checking.results import TrainCheck
from consist.report.document import Block, Cell, Column, Para, Row, Table
from consist.report.sheets.cells import (
    EMPTY,
    Limits,
    count,
    figure,
    filled,
    margin_cell,
    name,
    table,
    train_weight,
    verdict_cell,
    weight,
)
from consist.session import CarInTrain, Session, Train
from consist.stock import Engine
from consist.wording import NONE, Units, percent

__all__ = ["LOADED", "REAR", "head_end_words", "legs_table", "no_engine_words", "spots_of", "standing_table"]

LOADED = "L"
REAR = "rear end"
MOST_LEGS_MARKED = 6


def standing_table(
    session: Session,
    train: Train,
    uses: Mapping[str, float],
    worst: str | None,
    units: Units,
    was: Mapping[str, int] | None = None,
    legs_told: str = "are those below",
) -> tuple[Block, ...]:
    """The table and what its columns mean; columns that would stand empty are left out.

    `uses` has each car's side use by car, `was` the spot that a moved car was in, `legs_told` where legs are told.
    """
    limits, moved = Limits.of(session.house), was or {}
    columns = (
        Column("spot", figures=True),
        Column("was", figures=True),
        Column("car", wide=True),
        Column("kind", lesser=True),
        Column("loaded", lesser=True, narrow=LOADED),
        Column("legs", lesser=True),
        Column("block", lesser=True),
        Column(f"weight, {units.name}", figures=True, narrow=units.name),
        Column(f"length, {units.length_unit}", figures=True, lesser=True, narrow=units.length_unit),
        Column("use", figures=True),
        Column("remark", narrow=""),
    )
    rows = [_engine(engine, head_end_words(number), units) for number, engine in enumerate(train.engines)]
    if not train.engines:
        rows.append(Row((EMPTY, EMPTY, Cell(no_engine_words(train)), *[EMPTY] * 8), engine=True))
    for car in train.cars:
        one, use = car.car.name, uses[car.car.name]
        cells = (
            figure(str(car.spot), car.spot),
            figure(str(moved[one]), moved[one]) if one in moved else EMPTY,
            name(one),
            name(car.car.kind),
            Cell(LOADED if car.loaded else ""),
            Cell(_legs(train, car)),
            name(car.block),
            weight(car.weight_g, units),
            figure(units.length_figure(car.car.coupled_length_mm), car.car.coupled_length_mm),
            limits.cell(use),
            verdict_cell(limits.level(use)),
        )
        rows.append(Row(cells, marked=one == worst, moved=one in moved))
    rows += [_engine(engine, REAR, units) for engine in train.helpers]
    standing = filled(Table("Standing order, head end first", columns, tuple(rows)))
    if not train.cars:
        return (standing,)
    said = [limits.legend(uses.values())]
    said += ["The worst car is marked."] if worst is not None else []
    said += [f"{LOADED} is loaded."] if any(car.loaded for car in train.cars) else []
    said += [f"The legs on which a car rides {legs_told}."] if _legs_marked(train) else []
    said += ["Was is the spot that a moved car stood in."] if moved else []
    return standing, Para(" ".join(said), legend=True)


def _engine(engine: Engine, where: str, units: Units) -> Row:
    cells = (
        *[EMPTY] * 2,
        name(engine.name, strong=True),
        name(engine.engine_class),
        *[EMPTY] * 3,
        weight(engine.weight_g, units),
        figure(units.length_figure(engine.coupled_length_mm), engine.coupled_length_mm),
        EMPTY,
        Cell(where),
    )
    return Row(cells, engine=True)


def head_end_words(number: int) -> str:
    """Where an engine at the head end stands, by its number from 0."""
    return "head end" if number else "head end, leading"


def no_engine_words(train: Train) -> str:
    """What stands at the head end of a train without engines there."""
    return "helpers only" if train.helpers else "no engine yet"


def spots_of(train: Train) -> Mapping[str, int]:
    """The spot of each car, by car."""
    return {car.car.name: car.spot for car in train.cars}


def _leg_name(number: int) -> str:
    """A letter, or a number once those run out.

    >>> _leg_name(0), _leg_name(25), _leg_name(26)
    ('A', 'Z', '27')
    """
    return ascii_uppercase[number] if number < len(ascii_uppercase) else str(number + 1)


def _legs_marked(train: Train) -> bool:
    """Whether the legs on which cars ride are told: where the makeup changes, and not too often to be read."""
    return 1 < len(train.legs) <= MOST_LEGS_MARKED


def _legs(train: Train, car: CarInTrain) -> str:
    if not _legs_marked(train):
        return ""
    rides = [car.joins <= leg.start and leg.finish <= car.leaves for leg in train.legs]
    return "".join(_leg_name(number) if there else NONE for number, there in enumerate(rides))


def legs_table(result: TrainCheck, units: Units) -> Table:
    """One row a leg, from stop to stop."""
    return table(
        "Legs of the trip",
        enumerate(result.legs),
        (Column("leg"), lambda leg: name(_leg_name(leg[0]), strong=True)),
        (Column("from"), lambda leg: name(leg[1].start)),
        (Column("to"), lambda leg: name(leg[1].finish)),
        (Column("cars", figures=True), lambda leg: count(len(leg[1].cars))),
        (
            Column(f"weight, {units.name}", figures=True, lesser=True, narrow=units.name),
            lambda leg: train_weight(leg[1].weight_g, units),
        ),
        (Column("margin", figures=True), lambda leg: margin_cell(leg[1].margin)),
        (
            Column(f"drawbar, {units.name}", figures=True, lesser=True),
            lambda leg: weight(leg[1].peak_drawbar_g, units),
        ),
        (Column("power use", figures=True), lambda leg: figure(percent(leg[1].power_use), leg[1].power_use)),
    )
