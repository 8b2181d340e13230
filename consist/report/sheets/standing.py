"""A train's standing order as tables, a row a vehicle from the head end back, and the legs of its trip."""

from __future__ import annotations

from collections.abc import Callable, Container, Mapping
from dataclasses import dataclass
from typing import TypeVar

from consist.evening.results import TrainCheck
from consist.report.document import Block, Cell, Column, Row, Table
from consist.report.sheets.cells import EMPTY, figures, filled, table, use_cell, use_legend, verdict_cell, words
from consist.report.sheets.door import NO_OWNER
from consist.report.sheets.parts import legend
from consist.report.words import lettered, margin
from consist.session import CarInTrain, Session, Train
from consist.stock import Engine
from consist.wording import NONE, Units, percent

__all__ = ["legs_table", "make_up_table", "no_engine_words", "spots_of", "standing_table"]

LOADED = "L"
MOST_LEGS_MARKED = 6
Value = TypeVar("Value")


@dataclass(frozen=True)
class Vehicle:
    """A car in its spot, an engine where it stands, or words that stand for an engine."""

    name: str
    kind: str = ""
    where: str = ""
    weight_g: float | None = None
    length_mm: float | None = None
    car: CarInTrain | None = None


def _vehicles(train: Train) -> list[Vehicle]:
    def engine(of: Engine, where: str) -> Vehicle:
        return Vehicle(of.name, of.engine_class, where, of.weight_g, of.coupled_length_mm)

    ahead = [engine(of, "head end" if number else "head end, leading") for number, of in enumerate(train.engines)]
    cars = [Vehicle(of.car.name, of.car.kind, "", of.weight_g, of.car.coupled_length_mm, of) for of in train.cars]
    return [*ahead, *cars, *(engine(of, "rear end") for of in train.helpers)]


def _of_car(of: Callable[[CarInTrain], Value]) -> Callable[[Vehicle], Value | None]:
    """What a table tells of cars alone."""
    return lambda vehicle: None if vehicle.car is None else of(vehicle.car)


def _rows(marked: Container[str | None], moved: Container[str]) -> Callable[[Vehicle, tuple[Cell, ...]], Row]:
    """Rows with the cars that are pointed at and those that stand elsewhere now."""
    return lambda one, cells: (
        Row(cells, engine=True) if one.car is None else Row(cells, marked=one.name in marked, moved=one.name in moved)
    )


def _loaded(car: CarInTrain) -> str:
    return LOADED if car.loaded else ""


def _legend_of(train: Train, was: Container[str]) -> tuple[str, str]:
    loaded = any(car.loaded for car in train.cars)
    return f"{LOADED} is loaded." if loaded else "", "Was is the spot that a moved car stood in." if was else ""


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
    house, was = session.house, was or {}

    def use(vehicle: Vehicle) -> Cell:
        return EMPTY if vehicle.car is None else use_cell(house, uses[vehicle.name])

    def remark(vehicle: Vehicle) -> Cell:
        level = "go" if vehicle.car is None else house.level_of(uses[vehicle.name])
        return Cell(vehicle.where) if level == "go" else verdict_cell(level)

    weight, length = f"weight, {units.name}", f"length, {units.length_unit}"
    standing = table(
        "Standing order, head end first",
        [*([] if train.engines else [Vehicle(no_engine_words(train))]), *_vehicles(train)],
        figures("spot", _of_car(lambda car: car.spot), none=""),
        figures("was", _of_car(lambda car: was.get(car.car.name)), none=""),
        (Column("car", wide=True), lambda one: Cell(one.name, strong=one.where != "")),
        words("kind", lambda one: one.kind, lesser=True),
        words("loaded", _of_car(_loaded), lesser=True, narrow=LOADED),
        words("legs", _of_car(lambda car: _legs(train, car)), lesser=True),
        words("block", _of_car(lambda car: car.block), lesser=True),
        figures(weight, lambda one: one.weight_g, units.weight_figure, "", narrow=units.name),
        figures(length, lambda one: one.length_mm, units.length_figure, "", lesser=True, narrow=units.length_unit),
        (Column("use", figures=True), use),
        (Column("remark", narrow=""), remark),
        row=_rows([worst], was),
    )
    if not train.cars:
        return (filled(standing),)
    loaded, moved = _legend_of(train, was)
    marked = "The worst car is marked." if worst is not None else ""
    legs = f"The legs on which a car rides {legs_told}." if _legs(train, train.cars[0]) else ""
    return filled(standing), legend(use_legend(house, uses.values()), marked, loaded, legs, moved)


def make_up_table(
    title: str, train: Train, made: Train, moved: Container[str], out: Container[str | None]
) -> tuple[Block | None, ...]:
    """The order to make a train up in, to tick; `moved` are cars that stood elsewhere, `out` those to leave out."""
    was, stops = {car: spot for car, spot in spots_of(train).items() if car in moved}, train.route.stops
    to_make = table(
        title,
        _vehicles(made),
        (Column("done", ticked=True), lambda _: EMPTY),
        figures("spot", _of_car(lambda car: car.spot), none=""),
        words("car", lambda one: one.name, wide=True, strong=True),
        words("kind", lambda one: f"{one.kind}, {one.where}" if one.where else one.kind),
        words("loaded", _of_car(_loaded)),
        words("block", _of_car(lambda car: car.block)),
        words("joins at", _of_car(lambda car: stops[car.joins] if car.joins > 0 else "")),
        words("set out at", _of_car(lambda car: stops[car.leaves] if car.leaves < len(stops) - 1 else "")),
        words("owner", _of_car(lambda car: car.car.owner or NO_OWNER if car.car.guest else "")),
        figures("was", _of_car(lambda car: was.get(car.car.name)), none=""),
        words("remark", _of_car(lambda car: "leave it out" if car.car.name in out else ""), strong=True),
        row=_rows(out, was),
    )
    return filled(to_make), legend(*_legend_of(made, was))


def no_engine_words(train: Train) -> str:
    """What stands at the head end of a train without engines there."""
    return "helpers only" if train.helpers else "no engine yet"


def spots_of(train: Train) -> Mapping[str, int]:
    """The spot of each car, by car."""
    return {car.car.name: car.spot for car in train.cars}


def _legs(train: Train, car: CarInTrain) -> str:
    """The legs on which a car rides, where the makeup changes, and not too often to be read."""
    rides = [car.joins <= leg.start and leg.finish <= car.leaves for leg in train.legs]
    told = "".join(lettered(number) if there else NONE for number, there in enumerate(rides))
    return told if 1 < len(rides) <= MOST_LEGS_MARKED else ""


def legs_table(result: TrainCheck, units: Units) -> Table:
    """One row a leg, from stop to stop."""
    weight, drawbar = f"weight, {units.name}", f"drawbar, {units.name}"
    return table(
        "Legs of the trip",
        enumerate(result.legs),
        words("leg", lambda leg: lettered(leg[0]), strong=True),
        words("from", lambda leg: leg[1].start),
        words("to", lambda leg: f"{leg[1].finish}, backing" if leg[1].backing else leg[1].finish),
        figures("cars", lambda leg: len(leg[1].cars)),
        figures(weight, lambda leg: leg[1].weight_g, units.train_weight_figure, lesser=True, narrow=units.name),
        figures("margin", lambda leg: leg[1].margin, margin),
        figures(drawbar, lambda leg: leg[1].peak_drawbar_g, units.weight_figure, lesser=True),
        figures("power use", lambda leg: leg[1].power_use, percent),
    )
