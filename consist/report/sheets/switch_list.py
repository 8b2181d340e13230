"""A train's switch list: what a yard crew needs to make it up, on a sheet to tick."""

from __future__ import annotations

from consist.checking.order_choice import moved_train
from consist.checking.overview import Overview, TrainOverview
from consist.report.document import Cell, Column, Facts, Item, Items, Para, Row, Section, Sheet, Table
from consist.report.sheets.cells import figure, filled, name
from consist.report.sheets.desks import swap_words
from consist.report.sheets.door import NO_OWNER
from consist.report.sheets.figures import makeup, times_words
from consist.report.sheets.moves import SPOTS, cars_moved, move_items
from consist.report.sheets.standing import LOADED, REAR, head_end_words, no_engine_words, spots_of
from consist.report.sheets.tasks import Task
from consist.report.words import listing, unbroken
from consist.session import CarInTrain, Train
from consist.stock import Engine
from consist.wording import Units

__all__ = ["switch_list"]

OUT = "leave it out"


def switch_list(overview: Overview, one: TrainOverview, anchor: str, tasks: tuple[Task, ...], units: Units) -> Sheet:
    """One train's list; `tasks` are all of the evening's, of which the yard's own stand on it."""
    train, suggestion = one.train, one.check.suggestion
    sections = [Section("", (_heading(overview, one, units),))]
    mine = [task for task in tasks if task.who == "yard" and task.train == train.name and not task.moves]
    if mine:
        items = tuple(Item(task.what, level=task.level, more=task.more) for task in mine)
        sections.append(Section("To see to first", (Items(items, boxes=True),)))
    if suggestion is not None:
        now = spots_of(train)
        then = dict(zip(suggestion.order, sorted(now.values()), strict=True))
        moves = (move_items(suggestion.moves, now, then, boxes=True), Para(SPOTS, legend=True))
        sections.append(Section("Moves to make", moves))
    made = train if suggestion is None else moved_train(train, suggestion.order)
    moved = frozenset[str]() if suggestion is None else cars_moved(suggestion)
    title = "Order to make up, head end first" if moved else "Standing order, head end first"
    out = frozenset(car for task in mine if task.leaves_out for car in task.cars)
    table = filled(Table(title, _columns(), _rows(train, made, moved, out)))
    legend = _legend(made, moved)
    sections.append(Section(title, (table, Para(legend, legend=True)) if legend else (table,)))
    return Sheet("switch-list", anchor, f"Switch list: {train.name}", tuple(sections), train=train.name)


def _heading(overview: Overview, one: TrainOverview, units: Units) -> Facts:
    train = one.train
    facts = [
        ("Times", Cell(times_words(train))),
        ("Route", Cell(", ".join(unbroken(stop) for stop in train.route.stops))),
        ("Engines", Cell(_engines(overview, train))),
    ]
    if train.helpers:
        facts.append(("Helpers", Cell(listing([unbroken(engine.name) for engine in train.helpers]))))
    return Facts((*facts, ("Train", makeup(one.check, units))))


def _engines(overview: Overview, train: Train) -> str:
    """The engines given, and what the power desk has planned where that is not the same."""
    given = listing([unbroken(engine.name) for engine in train.engines]) or no_engine_words(train)
    power = overview.power_to_make
    planned = [] if power is None else [one for one in power.trains if one.train == train.name]
    if not planned or not swap_words(planned[0]):
        return given
    return f"{given}; the power desk plans {listing([unbroken(engine) for engine in planned[0].assigned])}"


def _columns() -> tuple[Column, ...]:
    return (
        Column("done", ticked=True),
        Column("spot", figures=True),
        Column("car", wide=True),
        Column("kind"),
        Column("loaded"),
        Column("block"),
        Column("joins at"),
        Column("set out at"),
        Column("owner"),
        Column("was", figures=True),
        Column("remark"),
    )


def _rows(train: Train, made: Train, moved: frozenset[str], out: frozenset[str]) -> tuple[Row, ...]:
    spots = spots_of(train)
    rows = [_engine(engine, head_end_words(number)) for number, engine in enumerate(train.engines)]
    for car in made.cars:
        was = spots[car.car.name] if car.car.name in moved else None
        rows.append(_car(train, car, was, OUT if car.car.name in out else ""))
    return (*rows, *(_engine(engine, REAR) for engine in train.helpers))


def _engine(engine: Engine, where: str) -> Row:
    cells = (Cell(""), Cell(""), name(engine.name, strong=True), Cell(f"{engine.engine_class}, {where}"))
    return Row((*cells, *[Cell("")] * 7), engine=True)


def _car(train: Train, car: CarInTrain, was: int | None, remark: str) -> Row:
    stops = train.route.stops
    owner = car.car.owner or NO_OWNER if car.car.guest else ""
    return Row(
        (
            Cell(""),
            figure(str(car.spot), car.spot),
            name(car.car.name, strong=True),
            name(car.car.kind),
            Cell(LOADED if car.loaded else ""),
            name(car.block),
            name(stops[car.joins] if car.joins > 0 else ""),
            name(stops[car.leaves] if car.leaves < len(stops) - 1 else ""),
            name(owner),
            Cell("") if was is None else figure(str(was), was),
            Cell(remark, strong=bool(remark)),
        ),
        marked=bool(remark),
        moved=was is not None,
    )


def _legend(made: Train, moved: frozenset[str]) -> str:
    said = [f"{LOADED} is loaded."] if any(car.loaded for car in made.cars) else []
    said += ["Was is the spot that a moved car stood in."] if moved else []
    return " ".join(said)
