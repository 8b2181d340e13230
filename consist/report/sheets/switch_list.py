"""A train's switch list: what a yard crew needs to make it up, on a sheet to tick."""

from __future__ import annotations

from collections.abc import Iterable

from consist.checking.order_choice import moved_train
from consist.checking.overview import Overview, TrainOverview
from consist.report.document import Cell, Column, Facts, Item, Row, Sheet
from consist.report.sheets.cells import EMPTY, figures, filled, items, legend, section, sheet, table, words
from consist.report.sheets.door import NO_OWNER
from consist.report.sheets.moves import cars_moved, moves_to_make
from consist.report.sheets.power import swap_words
from consist.report.sheets.standing import (
    LOADED,
    WAS,
    Vehicle,
    loaded_words,
    no_engine_words,
    of_car,
    spots_of,
    vehicles,
)
from consist.report.sheets.tasks import Task
from consist.report.sheets.train import makeup, times_words
from consist.report.words import named, unbroken
from consist.session import CarInTrain, Train
from consist.wording import Units

__all__ = ["switch_list"]


def switch_list(overview: Overview, one: TrainOverview, anchor: str, tasks: Iterable[Task], units: Units) -> Sheet:
    """One train's list; `tasks` are all of the evening's, of which the yard's own stand on it."""
    train, suggestion = one.train, one.check.suggestion
    mine = [task for task in tasks if task.who == "yard" and task.train == train.name and not task.moves]
    to_see_to = items((Item(task.what, level=task.level, more=task.more) for task in mine), boxes=True)
    made = train if suggestion is None else moved_train(train, suggestion.order)
    moves = () if suggestion is None else moves_to_make(suggestion.moves, train, made, boxes=True)
    moved, out = cars_moved(suggestion), {car for task in mine if task.leaves_out for car in task.cars}
    title = "Order to make up, head end first" if moved else "Standing order, head end first"
    was, stops = {car: spot for car, spot in spots_of(train).items() if car in moved}, train.route.stops

    def remark(vehicle: Vehicle) -> str:
        return "leave it out" if vehicle.car is not None and vehicle.name in out else ""

    def row(vehicle: Vehicle, cells: tuple[Cell, ...]) -> Row:
        if vehicle.car is None:
            return Row(cells, engine=True)
        return Row(cells, marked=vehicle.name in out, moved=vehicle.name in moved)

    to_make_up = table(
        title,
        vehicles(made),
        (Column("done", ticked=True), lambda _: EMPTY),
        figures("spot", of_car(lambda car: car.spot), none=""),
        words("car", lambda vehicle: vehicle.name, wide=True, strong=True),
        words("kind", lambda vehicle: f"{vehicle.kind}, {vehicle.where}" if vehicle.where else vehicle.kind),
        words("loaded", of_car(loaded_words)),
        words("block", of_car(lambda car: car.block)),
        words("joins at", of_car(lambda car: stops[car.joins] if car.joins > 0 else "")),
        words("set out at", of_car(lambda car: stops[car.leaves] if car.leaves < len(stops) - 1 else "")),
        words("owner", of_car(_owner)),
        figures("was", of_car(lambda car: was.get(car.car.name)), none=""),
        words("remark", remark, strong=True),
        row=row,
    )
    loaded = f"{LOADED} is loaded." if any(car.loaded for car in made.cars) else ""
    return sheet(
        "switch-list",
        f"Switch list: {train.name}",
        section("", _heading(overview, one, units)),
        section("To see to first", to_see_to),
        section("Moves to make", *moves),
        section(title, filled(to_make_up), legend(loaded, WAS if moved else "")),
        anchor=anchor,
        train=train.name,
    )


def _heading(overview: Overview, one: TrainOverview, units: Units) -> Facts:
    train = one.train
    facts = {
        "Times": times_words(train),
        "Route": ", ".join(unbroken(stop) for stop in train.route.stops),
        "Engines": _engines(overview, train),
        "Helpers": named(engine.name for engine in train.helpers),
    }
    told = ((label, Cell(text)) for label, text in facts.items() if text)
    return Facts((*told, ("Train", makeup(one.check, units))))


def _engines(overview: Overview, train: Train) -> str:
    """The engines given, and what the power desk has planned where that is not the same."""
    given = named(engine.name for engine in train.engines) or no_engine_words(train)
    power = overview.power_to_make
    planned = [] if power is None else [one for one in power.trains if one.train == train.name]
    if not planned or not swap_words(planned[0]):
        return given
    return f"{given}; the power desk plans {named(planned[0].assigned)}"


def _owner(car: CarInTrain) -> str:
    return car.car.owner or NO_OWNER if car.car.guest else ""
