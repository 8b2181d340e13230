"""The order that the check suggests for a train: its moves, what they gain, and where cars stand now and then."""

from __future__ import annotations

from collections.abc import Mapping

from consist.checking.overview import Reordered, TrainOverview
from consist.checking.results import Suggestion
from consist.report.document import Block, Cell, Column, Item, Items, Para, Picture, Row, Table
from consist.report.move_words import SPOTS, gain_sentence, move_words
from consist.report.sheets.cells import figure, name, use_bar
from consist.session import Session, Train

__all__ = ["better_order", "cars_moved", "move_items", "spots_of"]


def better_order(session: Session, one: TrainOverview) -> tuple[Block, ...]:
    """The moves and their gain; then the picture and the table where the train was run in that order."""
    suggestion = one.check.suggestion
    assert suggestion is not None
    blocks: list[Block] = [
        move_items(one.train, suggestion),
        Para(SPOTS, legend=True),
        Para(gain_sentence(one.check.margin, suggestion.margin)),
    ]
    if one.after is not None:
        blocks.append(Picture("then", one.train.name, "The train in the order suggested, head end first"))
        blocks.append(_now_and_then(session, one, one.after, cars_moved(suggestion)))
    return tuple(blocks)


def cars_moved(suggestion: Suggestion) -> frozenset[str]:
    """The cars that the moves take."""
    return frozenset(car for move in suggestion.moves for car in move.cars)


def move_items(train: Train, suggestion: Suggestion, *, boxes: bool = False) -> Items:
    """The moves, with the spots from which and into which cars go."""
    now = spots_of(train)
    then = dict(zip(suggestion.order, sorted(now.values()), strict=True))
    told = tuple(Item(move_words(move, now, then)) for move in suggestion.moves)
    return Items(told, numbered=len(told) > 1, boxes=boxes)


def spots_of(train: Train) -> Mapping[str, int]:
    """The spot of each car, by car."""
    return {car.car.name: car.spot for car in train.cars}


def _now_and_then(session: Session, one: TrainOverview, after: Reordered, moved: frozenset[str]) -> Table:
    columns = (
        Column("spot", figures=True),
        Column("car now"),
        Column("car then"),
        Column("use now", figures=True),
        Column("use then", figures=True),
    )
    uses = {car.car: car.side_use for car in one.check.cars}
    rows = []
    for now, then in zip(one.train.cars, after.train.cars, strict=True):
        cars = (now.car.name, then.car.name)
        rows.append(
            Row(
                (
                    figure(str(now.spot), now.spot),
                    *(name(car, strong=car in moved) for car in cars),
                    use_bar(session, uses[cars[0]], bar=False),
                    _use_then(session, after.uses.get(cars[1])),
                ),
                moved=cars[1] in moved,
            )
        )
    return Table("Cars and their side use now and in the order suggested", columns, tuple(rows))


def _use_then(session: Session, use: float | None) -> Cell:
    return Cell("") if use is None else use_bar(session, use, bar=False)
