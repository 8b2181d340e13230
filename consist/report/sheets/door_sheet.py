"""The door's sheet: guests' cars by owner, each with its answer, the one thing to do, and where it may ride."""

from __future__ import annotations

from itertools import groupby

from consist.cautions import WEIGHTS
from consist.report.document import Caution, Cell, Column, Item, Items, Para, Row, Section, Sheet, Table
from consist.report.door_words import answer_word, behind_answer, in_short, owner_of
from consist.report.sheets.anchors import DOOR
from consist.report.sheets.cells import figure, name, weight
from consist.report.sheets.door_tasks import door_level
from consist.report.sheets.tasks import ADDING
from consist.report.units import Units
from consist.report.words import clean
from consist.screening import GuestResult, Screening

__all__ = ["door_sheet"]


def door_sheet(door: Screening, units: Units) -> Sheet:
    """What `consist screen` tells."""
    sections = [Section("", (Para(in_short(door)), _answers(door, units)))]
    for owner, cars in groupby(door.cars, owner_of):
        sections.append(Section(owner, (Items(tuple(_item(car, units) for car in cars)),)))
    if any(car.add_g for car in door.cars):
        sections.append(Section(ADDING, (Caution(ADDING, WEIGHTS),)))
    return Sheet("door", DOOR, f"At the door, {clean(door.session)}", tuple(sections))


def _answers(door: Screening, units: Units) -> Table:
    columns = (
        Column("car", wide=True),
        Column("owner"),
        Column("answer"),
        Column(f"weighs, {units.name}", figures=True),
        Column("target", figures=True, lesser=True),
        Column("add", figures=True),
    )
    rows = tuple(
        Row(
            (
                name(car.car, strong=True),
                Cell(owner_of(car)),
                _answer(car),
                weight(car.weight_g, units),
                weight(car.target_g, units),
                figure("0", car.add_g) if car.add_g == 0 else weight(car.add_g, units),
            )
        )
        for car in door.cars
    )
    return Table("Guests' cars and their answers", columns, rows, findable=True)


def _answer(car: GuestResult) -> Cell:
    return Cell(answer_word(car.answer), level=door_level(car.answer) or "go", strong=True)


def _item(car: GuestResult, units: Units) -> Item:
    kind = f" ({clean(car.kind)})" if car.kind.strip() else ""
    more = tuple(f"{label} {words}".strip() for label, words in behind_answer(car, units))
    answer = answer_word(car.answer)
    say = f"{answer}: {clean(car.do)}" if car.do.strip() else answer
    return Item(say, label=f"{clean(car.car)}{kind}", more=more)
