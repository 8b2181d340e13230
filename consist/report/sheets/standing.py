"""A train's standing order as a table, a row a vehicle from the head end back, and the legs of its trip."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from string import ascii_uppercase
from typing import TypeVar

from consist.checking.results import TrainCheck
from consist.report.document import Block, Cell, Column, Row, Table
from consist.report.sheets.cells import EMPTY, Limits, figures, filled, table, verdict_cell, words
from consist.report.sheets.parts import legend
from consist.report.words import margin
from consist.session import CarInTrain, Session, Train
from consist.stock import Engine
from consist.wording import NONE, Units, percent

__all__ = [
    "LOADED", "WAS", "Vehicle", "legs_table", "loaded_words", "no_engine_words", "of_car", "spots_of",
    "standing_table", "vehicles",
]  # fmt: skip

LOADED = "L"
WAS = "Was is the spot that a moved car stood in."
MOST_LEGS_MARKED = 6
Value = TypeVar("Value")


@dataclass(frozen=True)
class Vehicle:
    """A car in its spot, an engine where it stands, or words that stand for an engine."""

    name: str
    kind: str = ""
    where: str = ""
    car: CarInTrain | None = None
    engine: Engine | None = None

    @property
    def weight_g(self) -> float | None:
        """What it weighs as it runs."""
        return (
            self.car.weight_g if self.car is not None else self.engine.weight_g if self.engine is not None else None
        )

    @property
    def length_mm(self) -> float | None:
        """Its length over couplers."""
        stock = self.engine if self.car is None else self.car.car
        return None if stock is None else stock.coupled_length_mm


def of_car(of: Callable[[CarInTrain], Value]) -> Callable[[Vehicle], Value | None]:
    """What a table tells of cars alone."""
    return lambda vehicle: None if vehicle.car is None else of(vehicle.car)


def vehicles(train: Train) -> list[Vehicle]:
    """A train from the head end back."""
    ahead = [
        Vehicle(engine.name, engine.engine_class, "head end" if number else "head end, leading", engine=engine)
        for number, engine in enumerate(train.engines)
    ]
    cars = [Vehicle(car.car.name, car.car.kind, car=car) for car in train.cars]
    behind = [Vehicle(engine.name, engine.engine_class, "rear end", engine=engine) for engine in train.helpers]
    return [*ahead, *cars, *behind]


def standing_table(
    session: Session,
    train: Train,
    uses: Mapping[str, float],
    worst: str | None,
    units: Units,
    was: Mapping[str, int] | None = None,
    legs_told: str = "are those below",
) -> tuple[Block | None, ...]:
    """The table and what its columns mean; columns that would stand empty are left out.

    `uses` has each car's side use by car, `was` the spot that a moved car was in, `legs_told` where legs are told.
    """
    limits, moved = Limits.of(session.house), was or {}

    def use(vehicle: Vehicle) -> Cell:
        return EMPTY if vehicle.car is None else limits.cell(uses[vehicle.name])

    def remark(vehicle: Vehicle) -> Cell:
        return Cell(vehicle.where) if vehicle.car is None else verdict_cell(limits.level(uses[vehicle.name]))

    def row(vehicle: Vehicle, cells: tuple[Cell, ...]) -> Row:
        if vehicle.car is None:
            return Row(cells, engine=True)
        return Row(cells, marked=vehicle.name == worst, moved=vehicle.name in moved)

    weight, length = f"weight, {units.name}", f"length, {units.length_unit}"
    standing = table(
        "Standing order, head end first",
        [*([] if train.engines else [Vehicle(no_engine_words(train))]), *vehicles(train)],
        figures("spot", of_car(lambda car: car.spot), none=""),
        figures("was", of_car(lambda car: moved.get(car.car.name)), none=""),
        (Column("car", wide=True), lambda one: Cell(one.name, strong=one.engine is not None)),
        words("kind", lambda one: one.kind, lesser=True),
        words("loaded", of_car(loaded_words), lesser=True, narrow=LOADED),
        words("legs", of_car(lambda car: _legs(train, car)), lesser=True),
        words("block", of_car(lambda car: car.block), lesser=True),
        figures(weight, lambda one: one.weight_g, units.weight_figure, "", narrow=units.name),
        figures(length, lambda one: one.length_mm, units.length_figure, "", lesser=True, narrow=units.length_unit),
        (Column("use", figures=True), use),
        (Column("remark", narrow=""), remark),
        row=row,
    )
    said = legend(
        limits.legend(uses.values()),
        "The worst car is marked." if worst is not None else "",
        f"{LOADED} is loaded." if any(car.loaded for car in train.cars) else "",
        f"The legs on which a car rides {legs_told}." if _legs_marked(train) else "",
        WAS if moved else "",
    )
    return filled(standing), said if train.cars else None


def loaded_words(car: CarInTrain) -> str:
    """The mark of a loaded car."""
    return LOADED if car.loaded else ""


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
    rides = [car.joins <= leg.start and leg.finish <= car.leaves for leg in train.legs]
    told = "".join(_leg_name(number) if there else NONE for number, there in enumerate(rides))
    return told if _legs_marked(train) else ""


def legs_table(result: TrainCheck, units: Units) -> Table:
    """One row a leg, from stop to stop."""
    weight, drawbar = f"weight, {units.name}", f"drawbar, {units.name}"
    return table(
        "Legs of the trip",
        enumerate(result.legs),
        words("leg", lambda leg: _leg_name(leg[0]), strong=True),
        words("from", lambda leg: leg[1].start),
        words("to", lambda leg: leg[1].finish),
        figures("cars", lambda leg: len(leg[1].cars)),
        figures(weight, lambda leg: leg[1].weight_g, units.train_weight_figure, lesser=True, narrow=units.name),
        figures("margin", lambda leg: leg[1].margin, margin),
        figures(drawbar, lambda leg: leg[1].peak_drawbar_g, units.weight_figure, lesser=True),
        figures("power use", lambda leg: leg[1].power_use, percent),
    )
