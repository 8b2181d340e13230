"""The bench's sheet: cars to weight, most useful first, each with its pieces and their place."""

from __future__ import annotations

from consist.bench import BenchCar, BenchList
from consist.cautions import WEIGHTS
from consist.report.bench_words import (
    car_words,
    extra_engine_words,
    in_short,
    pieces_words,
    rest_words,
)
from consist.report.document import Caution, Cell, Column, Item, Items, Para, Row, Section, Sheet, Table
from consist.report.sheets.anchors import BENCH
from consist.report.sheets.cells import figure, name, weight
from consist.report.sheets.tasks import ADDING
from consist.report.units import Units
from consist.report.words import NONE, margin, unbroken

__all__ = ["bench_sheet"]


def bench_sheet(listed: BenchList, anchors: dict[str, str], units: Units) -> Sheet:
    """What `consist bench` tells; `anchors` are those of the trains' sheets, by train."""
    sections = [Section("", (Para(in_short(listed)),))]
    if listed.cars:
        items = Items(tuple(_item(car, units) for car in listed.cars), numbered=True, boxes=True)
        sections.append(Section("To weight, most useful first", (_weights(listed, anchors, units),)))
        sections.append(Section("What to put where", (items, Caution(ADDING, WEIGHTS))))
    if listed.trains:
        sections.append(Section("Tonight's trains with all of these done", (_trains(listed, anchors),)))
    used = pieces_words(listed.used)
    if used:
        sections.append(Section("Pieces this takes", (Para(f"{used}."),)))
    if listed.extra_engines:
        told = tuple(
            Item(extra_engine_words(extra, units), label=extra.train, link=anchors.get(extra.train))
            for extra in listed.extra_engines
        )
        sections.append(Section("Too heavy for the engines", (Items(told),)))
    rest = tuple(Para(cars, label=title) for title, cars in rest_words(listed, units))
    if rest:
        sections.append(Section("The other cars", rest))
    if listed.notes:
        sections.append(Section("Notes", (Items(tuple(Item(note) for note in listed.notes)),)))
    return Sheet("bench", BENCH, "At the bench", tuple(sections))


def _weights(listed: BenchList, anchors: dict[str, str], units: Units) -> Table:
    columns = (
        Column("car", wide=True),
        Column("kind", lesser=True),
        Column("owner", lesser=True),
        Column(f"weighs, {units.name}", figures=True),
        Column("target", figures=True),
        Column("add", figures=True),
        Column("then", figures=True),
        Column("train"),
        Column("margin now", figures=True, lesser=True),
        Column("margin then", figures=True, lesser=True),
    )
    rows = tuple(_weight(car, anchors, units) for car in listed.cars)
    return Table("Cars to weight, and what each by itself does for its train", columns, rows)


def _weight(car: BenchCar, anchors: dict[str, str], units: Units) -> Row:
    train = car.worst_train
    return Row(
        (
            name(car.car, strong=True),
            name(car.kind),
            name(car.owner),
            *(weight(grams, units) for grams in (car.weight_g, car.target_g, car.add_g, car.after_g)),
            Cell(NONE) if train is None else name(train, link=anchors.get(train)),
            figure(margin(car.margin), car.margin),
            figure(margin(car.margin_after), car.margin_after),
        )
    )


def _item(car: BenchCar, units: Units) -> Item:
    """A car with the pieces to add; what the table does not tell of it stands below."""
    told = car_words(car, units)
    first = f"add {told['Add']}" if "Add" in told else told["Weighs"]
    more = tuple(told[key] for key in ("Where", "Note") if key in told)
    return Item(first, label=unbroken(car.car), more=more)


def _trains(listed: BenchList, anchors: dict[str, str]) -> Table:
    columns = (
        Column("train", wide=True),
        Column("margin now", figures=True),
        Column("margin then", figures=True),
    )
    rows = tuple(
        Row(
            (
                name(train.train, strong=True, link=anchors.get(train.train)),
                figure(margin(train.margin), train.margin),
                figure(margin(train.after), train.after),
            )
        )
        for train in listed.trains
    )
    return Table("Margins of tonight's trains now and with all of these cars done", columns, rows)
