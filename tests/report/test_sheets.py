"""The report's content as sheets of plain blocks: figures as in the JSON, names whole, nothing of the terminal's."""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any

import builders
import numpy as np
import pytest
import report_samples

import consist
from consist.evening.along import UseAlong
from consist.evening.orders import moved_train
from consist.evening.overview import Overview, Reordered, TrainOverview, overview
from consist.evening.results import SessionCheck
from consist.power import Combo, Option, Tightest
from consist.report.charts import kinds_of
from consist.report.document import (
    Caution,
    Cell,
    Document,
    Facts,
    Item,
    Items,
    Para,
    Picture,
    Row,
    Section,
    Sheet,
    Table,
    UseBar,
)
from consist.report.json import as_json
from consist.report.sheets.bench import IN_SHORT
from consist.report.sheets.parts import CLOSING
from consist.report.sheets.session import document_of
from consist.session import Session, Train
from consist.wording import Units

__all__: list[str] = []

SHELF = builders.SAMPLES / "sunday_shelf"
PRINTED_HOSTILE = "[bold]Q[31mZ 7[/]"
KEYS_OF_THE_PROGRAM = {"train", "anchor", "link"}


@pytest.fixture(scope="module")
def shelf() -> Overview:
    return overview(consist.load(SHELF))


@pytest.fixture(scope="module")
def shelf_sheets(shelf: Overview) -> Document:
    return document_of(shelf, Units("g"))


@pytest.fixture(scope="module")
def hand() -> Overview:
    """The hand-made results over a session with hostile names, a guest's car among them."""
    made = overview(with_guest(report_samples.session()))
    checks = report_samples.session_check(made.session)
    turn, quiet = (
        replace(one, check=check, after=None) for one, check in zip(made.trains, checks.trains, strict=True)
    )
    assert turn.check.suggestion is not None
    after = Reordered(
        moved_train(turn.train, turn.check.suggestion.order),
        {car: 0.1 * number for number, car in enumerate(report_samples.TURN_CARS, start=1)},
    )
    return replace(made, check=checks, trains=(replace(turn, after=after), quiet))


@pytest.fixture(scope="module")
def hand_sheets(hand: Overview) -> Document:
    return document_of(hand, Units("g"))


def with_guest(of: Session) -> Session:
    """The session with its long-named car a guest's, whose owner's name is hostile."""

    def changed(train: Train) -> Train:
        return replace(train, cars=tuple(replace(car, car=cars[car.car.name]) for car in train.cars))

    guest = replace(of.cars[report_samples.LONG], guest=True, owner=report_samples.HOSTILE)
    cars = {**of.cars, report_samples.LONG: guest}
    return replace(of, cars=cars, trains=tuple(map(changed, of.trains)))


def bare(name: str, cars: int, engines: int, verdict: Any = "go") -> TrainOverview:
    """A train of few things over a line of its own, with results that say nothing."""
    where = builders.one_line(builders.straight(1000.0))
    stock = [builders.car(f"C{number}") for number in range(cars)]
    train = builders.train(where, stock, [builders.engine(f"E{k}") for k in range(engines)], name=name)
    check = replace(
        report_samples.quiet_check(train),
        train=name,
        verdict=verdict,
        cars=tuple(
            replace(report_samples.quiet_check(train).cars[0], car=one.name, spot=k) for k, one in enumerate(stock, 1)
        ),
    )
    return TrainOverview(train, check, train.engines, UseAlong(np.zeros(2), np.zeros((cars, 1))), None, None)


def evening(*trains: TrainOverview) -> Overview:
    """An evening of those trains, without power, bench and door."""
    where = builders.one_line(builders.straight(1000.0))
    session = builders.session(where, *(one.train for one in trains))
    check = SessionCheck(session.title, where.name, tuple(one.check for one in trains))
    return Overview(session, check, trains, None, None, None)


def sheet(document: Document, anchor: str) -> Sheet:
    """The sheet of that anchor."""
    return next(one for one in document.sheets if one.anchor == anchor)


def section(of: Sheet, title: str) -> Section:
    """The section of that title."""
    return next(one for one in of.sections if one.title == title)


def table(of: Sheet, title: str) -> Table:
    """The first table under that title."""
    return next(block for block in section(of, title).blocks if isinstance(block, Table))


def items(of: Sheet, title: str) -> tuple[Item, ...]:
    """The first list under that title."""
    return next(block for block in section(of, title).blocks if isinstance(block, Items)).items


def column(of: Table, title: str, *, cars_only: bool = False) -> list[Cell]:
    """The cells of a column."""
    number = [one.title for one in of.columns].index(title)
    return [row.cells[number] for row in of.rows if not (cars_only and row.engine)]


def values(of: Table, title: str, *, cars_only: bool = False) -> list[float | None]:
    """The figures of a column."""
    return [cell.value for cell in column(of, title, cars_only=cars_only)]


def texts(of: Table, title: str, *, cars_only: bool = False) -> list[str]:
    """The words of a column, with plain blanks."""
    return [plain(cell.text) for cell in column(of, title, cars_only=cars_only)]


def plain(text: str) -> str:
    """Text with plain blanks."""
    return text.replace("\u00a0", " ")


def told(thing: Any) -> Iterator[str]:
    """Every text of a document that is shown to somebody."""
    if isinstance(thing, str):
        yield thing
    elif isinstance(thing, tuple):
        for part in thing:
            yield from told(part)
    elif is_dataclass(thing):
        for field in fields(thing):
            if field.name not in KEYS_OF_THE_PROGRAM:
                yield from told(getattr(thing, field.name))


def all_of(thing: Any, kind: type) -> Iterator[Any]:
    """Everything of a kind in a document."""
    if isinstance(thing, kind):
        yield thing
    if isinstance(thing, tuple):
        for part in thing:
            yield from all_of(part, kind)
    elif is_dataclass(thing):
        for field in fields(thing):
            yield from all_of(getattr(thing, field.name), kind)


def as_read(text: str) -> Any:
    """JSON as another program reads it."""
    return json.loads(text)


@pytest.mark.parametrize("which", ["shelf_sheets", "hand_sheets"])
def test_sheets_stand_in_their_order_and_every_link_leads_to_one(which: str, request: pytest.FixtureRequest) -> None:
    document: Document = request.getfixturevalue(which)
    kinds = [one.kind for one in document.sheets]
    trains = kinds.count("train")
    door = ["door"] if which == "hand_sheets" else []
    assert kinds == ["session", *["train"] * trains, *["switch-list"] * trains, "power", "bench", *door]
    anchors = [one.anchor for one in document.sheets]
    assert len(set(anchors)) == len(anchors)
    assert all(re.fullmatch("[a-z0-9-]+", anchor) for anchor in anchors)
    links = {thing.link for kind in (Cell, Item) for thing in all_of(document, kind) if thing.link is not None}
    assert links
    assert links <= set(anchors)
    assert document.closing == CLOSING


@pytest.mark.parametrize("which", ["shelf", "hand"])
@pytest.mark.parametrize("units", [Units("oz"), Units("g")], ids=lambda units: units.name)
def test_figures_are_those_of_the_json(which: str, units: Units, request: pytest.FixtureRequest) -> None:
    seen: Overview = request.getfixturevalue(which)
    document = document_of(seen, units)
    trains = as_read(as_json("check", {**vars(seen.check), "tasks": ()}))["trains"]
    glance = table(sheet(document, "session"), "")
    assert values(glance, "margin") == [one["margin"] for one in trains]
    assert values(glance, f"weight, {units.name}") == [one["weight_g"] for one in trains]
    assert values(glance, "length") == [one["length_mm"] for one in trains]
    assert values(glance, "order") == [one["order_score"] for one in trains]
    assert values(glance, "engines") == [one["power"]["needed"] for one in trains]
    assert values(glance, "cars") == [len(one["cars"]) for one in trains]
    for number, one in enumerate(trains, start=1):
        own = sheet(document, f"train-{number}")
        (facts,) = all_of(own, Facts)
        figures = {name: cell.value for name, cell in facts.facts}
        assert figures["Margin"] == one["margin"]
        assert figures["Drawbar"] == (one["peak_drawbar"] and one["peak_drawbar"]["g"])
        assert figures["Power"] == one["power"]["use"]
        assert figures["Order"] == one["order_score"]
        assert figures.get("Heavy forward") == one["heavy_forward"]
        assert (figures["Train"], figures["Route"]) == (one["weight_g"], one["route_mm"])
        standing = table(own, "Standing order, head end first")
        assert values(standing, "use", cars_only=True) == [car["side_use"] for car in one["cars"]]
        bars = [isinstance(cell.bar, UseBar) and cell.bar.use for cell in column(standing, "use", cars_only=True)]
        assert bars == [car["side_use"] for car in one["cars"]]
        assert values(standing, f"weight, {units.name}", cars_only=True) == [car["weight_g"] for car in one["cars"]]
        assert values(standing, "spot", cars_only=True) == [car["spot"] for car in one["cars"]]


def test_legs_have_the_figures_of_the_json(hand: Overview, hand_sheets: Document) -> None:
    legs = as_read(as_json("check", {**vars(hand.check), "tasks": ()}))["trains"][0]["legs"]
    shown = table(sheet(hand_sheets, "train-1"), "Legs of the trip")
    for title, key in (
        ("weight, g", "weight_g"),
        ("margin", "margin"),
        ("drawbar, g", "peak_drawbar_g"),
        ("power use", "power_use"),
    ):
        assert values(shown, title) == [leg[key] for leg in legs]
    assert texts(shown, "leg") == ["A", "B"]
    assert [one.title for one in sheet(hand_sheets, "train-2").sections].count("Legs of the trip") == 0


def test_power_bench_and_door_have_the_figures_of_their_json(hand: Overview, hand_sheets: Document) -> None:
    assert hand.power is not None
    assert hand.bench is not None
    assert hand.door is not None
    use_of = {one["train"]: one["use"] for one in as_read(as_json("power", hand.power))["trains"] if one["assigned"]}
    planned = table(sheet(hand_sheets, "power"), "Engines for every train")
    uses = dict(zip(texts(planned, "train"), values(planned, "use"), strict=True))
    assert {train: use for train, use in uses.items() if use is not None} == use_of
    guests = as_read(as_json("screen", hand.door))["cars"]
    assert values(table(sheet(hand_sheets, "door"), ""), "add") == [one["add_g"] for one in guests]


def test_bench_figures_are_those_of_its_json(shelf: Overview, shelf_sheets: Document) -> None:
    assert shelf.bench is not None
    listed = as_read(as_json("bench", shelf.bench))["cars"][: len(shelf.bench.cars)]
    shown = table(sheet(shelf_sheets, "bench"), "To weight, most useful first")
    assert texts(shown, "car") == [one["car"] for one in listed]
    for title, key in (("weighs, g", "weight_g"), ("target", "target_g"), ("add", "add_g"), ("then", "after_g")):
        assert values(shown, title) == [one[key] for one in listed]
    to_do = items(sheet(shelf_sheets, "bench"), "To weight, most useful first")
    telling = [one["car"] for one in listed if one["tells"]]
    assert [plain(item.label).split(" (")[0] for item in to_do] == telling == ["PQF 71", "PQF 403", "PQF 406"]
    in_short = items(sheet(shelf_sheets, "bench"), IN_SHORT)
    told = " ".join(plain(item.label) for item in in_short)
    assert [one["car"].split()[1] in told for one in listed if not one["tells"]] == [True] * (len(listed) - 3)


def test_a_figure_that_is_not_finite_has_no_value(hand: Overview) -> None:
    turn, quiet = hand.trains
    odd = replace(turn, check=replace(turn.check, margin=float("inf")))
    document = document_of(replace(hand, trains=(odd, quiet)), Units("g"))
    assert values(table(sheet(document, "session"), ""), "margin") == [None, None]
    assert all(cell.value is None or np.isfinite(cell.value) for cell in all_of(document, Cell))


@pytest.mark.parametrize("which", ["shelf_sheets", "hand_sheets"])
def test_nothing_of_the_terminal_is_in_a_document(which: str, request: pytest.FixtureRequest) -> None:
    document: Document = request.getfixturevalue(which)
    for text in told(document):
        assert not [c for c in text if unicodedata.category(c) in ("Cc", "Cf", "Co", "Cs")], text
        assert " --" not in text
        assert "(--" not in text
        assert "consist check" not in text
        assert text == text.strip()
        assert "  " not in text


def test_hostile_names_are_whole_wherever_they_stand(hand_sheets: Document) -> None:
    names = [PRINTED_HOSTILE, report_samples.LONG, report_samples.WIDE, "QLM 4", "QLM 5", "QLM 6"]
    assert texts(table(sheet(hand_sheets, "train-1"), "Standing order, head end first"), "car") == [
        "31", "32", *names, "40",
    ]  # fmt: skip
    assert hand_sheets.title == "Evening of trial"
    assert items(sheet(hand_sheets, "session"), "Notes")[0].text == "The column 'colour' is not known [red]."
    owners = [one.title for one in sheet(hand_sheets, "door").sections]
    assert PRINTED_HOSTILE in owners
    door = items(sheet(hand_sheets, "door"), PRINTED_HOSTILE)
    assert plain(door[0].label).startswith(report_samples.LONG)


def test_a_short_name_is_not_broken_in_a_sentence_and_a_long_one_may_be(hand_sheets: Document) -> None:
    first, second = items(sheet(hand_sheets, "train-1"), "A better order")
    assert report_samples.LONG in first.text
    assert "QLM\u00a05" in first.text
    assert plain(second.text).startswith("Take cars QLM 4 and QLM 5 from spots 4 and 5 and set them in at the head")


def test_pictures_are_those_that_there_is_something_to_draw_of(hand: Overview, hand_sheets: Document) -> None:
    for number, one in enumerate(hand.trains, start=1):
        drawn = list(all_of(sheet(hand_sheets, f"train-{number}"), Picture))
        assert {picture.kind for picture in drawn} == set(kinds_of(one))
        assert {picture.train for picture in drawn} == {one.train.name}
        assert len(drawn) == len(kinds_of(one))
    drawn = list(all_of(sheet(hand_sheets, "power"), Picture))
    assert [(picture.kind, picture.train) for picture in drawn] == [("engines", None)]
    for kind in ("session", "switch-list", "bench", "door"):
        assert not [p for one in hand_sheets.sheets if one.kind == kind for p in all_of(one, Picture)]


def test_a_train_of_nothing_has_its_route_and_no_more(hand: Overview) -> None:
    document = document_of(evening(bare("Ghost", 0, 0)), Units("g"))
    own = sheet(document, "train-1")
    assert [picture.kind for picture in all_of(own, Picture)] == ["plan", "profile"]
    standing = table(own, "Standing order, head end first")
    assert texts(standing, "car") == ["no engine yet"]
    assert table(sheet(document, "switch-list-1"), "Standing order, head end first").rows == ()


def test_an_evening_without_a_train_says_so_and_has_nothing_to_do() -> None:
    document = document_of(evening(), Units("g"))
    assert [one.kind for one in document.sheets] == ["session"]
    (only,) = document.sheets
    first = only.sections[0].blocks[0]
    assert isinstance(first, Para)
    assert first.text.startswith("No train is in this session yet")
    to_do = section(only, "Before the first train leaves").blocks
    assert to_do[-1] == Para("Yard, Power desk, Bench, Door: nothing to do.", legend=True)


def test_the_session_sheet_tells_verdicts_times_and_causes(hand_sheets: Document) -> None:
    own = sheet(hand_sheets, "session")
    glance = table(own, "")
    assert glance.findable
    assert texts(glance, "departs") == ["10:00", "–"]
    assert [(cell.text, cell.level) for cell in column(glance, "verdict")] == [("HOLD", "hold"), ("GO", "go")]
    assert texts(glance, "margin") == ["0.81", "–"]  # 1/1.22 is 0.8197: cut, never rounded up
    assert texts(glance, "engines") == ["3/2", "0/–"]
    assert [cell.link for cell in column(glance, "train")] == ["train-1", "train-2"]
    (why,) = items(own, "Why not go")
    assert (why.label, why.text, why.level) == ("Turn", "side-pull.", "hold")


def test_the_worst_car_is_marked_and_cars_past_the_thresholds_named(hand_sheets: Document) -> None:
    standing = table(sheet(hand_sheets, "train-1"), "Standing order, head end first")
    marked = [row.cells[1].text for row in standing.rows if row.marked]
    assert marked == [report_samples.LONG]
    assert texts(standing, "remark") == [
        "head end, leading", "head end", "", "HOLD", "CARE", "", "", "", "rear end",
    ]  # fmt: skip
    assert [row.engine for row in standing.rows] == [True, True, *[False] * 6, True]
    assert texts(standing, "legs", cars_only=True) == ["AB", "AB", "AB", "AB", "A–", "AB"]
    quiet = table(sheet(hand_sheets, "train-2"), "Standing order, head end first")
    assert "legs" not in [one.title for one in quiet.columns]
    assert not any(row.marked for row in quiet.rows)


def test_findings_come_gravest_first_and_the_fourth_of_a_kind_is_only_named(hand_sheets: Document) -> None:
    own = sheet(hand_sheets, "train-1")
    found = items(own, "Findings")
    assert [(item.level, item.label) for item in found] == [
        ("hold", "side-pull"), ("care", "too-long"), *[("note", "underweight")] * 4,
    ]  # fmt: skip
    assert plain(found[-1].text) == "and 7 more cars: QLM 4, QLM 5, QLM 6, R1, R2, R3, R4."
    assert [type(block) for block in section(own, "Findings").blocks] == [Items, Para]
    # after all else, so that it stands in the middle of nothing
    assert [type(block) for block in own.sections[-1].blocks] == [Caution]
    assert not list(all_of(sheet(hand_sheets, "train-2"), Caution))


def test_a_better_order_is_told_now_and_then(hand_sheets: Document) -> None:
    own = sheet(hand_sheets, "train-1")
    better = table(own, "A better order")
    assert texts(better, "car now")[0] == PRINTED_HOSTILE
    assert texts(better, "car then") == [
        "QLM 4", PRINTED_HOSTILE, report_samples.WIDE, "QLM 5", report_samples.LONG, "QLM 6",
    ]  # fmt: skip
    assert values(better, "use now") == [0.31, 1.22, 0.8, 0.5, 0.125, 0.0]
    # the uses that the fixture gives the cars, 0.1 for the first as it stands and so on, in the order then
    assert values(better, "use then") == pytest.approx([0.4, 0.1, 0.3, 0.5, 0.2, 0.6])
    assert [row.moved for row in better.rows] == [True, False, False, True, True, False]
    gain = [block.text for block in section(own, "A better order").blocks if isinstance(block, Para)]
    assert "The margin goes from 0.81 to 1.64." in gain


def test_a_switch_list_has_the_moves_and_the_order_to_make(hand_sheets: Document) -> None:
    own = sheet(hand_sheets, "switch-list-1")
    (moves,) = (block for block in section(own, "Moves to make").blocks if isinstance(block, Items))
    assert (moves.numbered, moves.boxes, len(moves.items)) == (True, True, 2)
    made = table(own, "Order to make up, head end first")
    assert made.columns[0].ticked
    assert texts(made, "car", cars_only=True) == [
        "QLM 4", PRINTED_HOSTILE, report_samples.WIDE, "QLM 5", report_samples.LONG, "QLM 6",
    ]  # fmt: skip
    assert texts(made, "spot", cars_only=True) == ["1", "2", "3", "4", "5", "6"]
    assert texts(made, "was", cars_only=True) == ["4", "", "", "5", "2", ""]
    assert texts(made, "set out at", cars_only=True) == ["", "", "", "Fork", "", ""]
    assert texts(made, "owner", cars_only=True) == ["", "", "", "", PRINTED_HOSTILE, ""]
    assert "joins at" not in [one.title for one in made.columns]
    (facts,) = all_of(own, Facts)
    assert dict(facts.facts)["Times"].text == "10:00 to 0:10"


def test_a_switch_list_without_a_suggestion_has_the_order_as_it_stands(hand_sheets: Document) -> None:
    own = sheet(hand_sheets, "switch-list-2")
    assert [one.title for one in own.sections] == ["", "Standing order, head end first"]
    made = table(own, "Standing order, head end first")
    assert texts(made, "car") == ["QLM 9"]
    assert "was" not in [one.title for one in made.columns]


def test_what_the_yard_sees_to_first_stands_on_the_switch_list(hand_sheets: Document) -> None:
    first = items(sheet(hand_sheets, "switch-list-1"), "To see to first")
    assert [item.text for item in first] == ["The train is too long."]


def test_combinations_too_many_to_tell_are_counted_without_the_terminals_advice(hand: Overview) -> None:
    assert hand.power is not None
    there = Tightest("Fork", 100.0)
    many = tuple(Combo({f"Class {number}": 1}, 0.5, 1.0, there) for number in range(9))
    first, *others = hand.power.trains
    power = replace(hand.power, trains=(replace(first, combos=many), *others))
    told_there = items(sheet(document_of(replace(hand, power=power), Units("g")), "power"), "What would do")
    assert "or 3 more combinations." in plain(" ".join(item.text for item in told_there))


def test_a_train_left_short_is_told_with_what_would_mend_it(hand: Overview) -> None:
    assert hand.power is not None
    first, *others = hand.power.trains
    options = (Option("helper", "Engine 9 pushes [red] to the top."), Option("leave", "Leave two cars behind."))
    short = replace(first, assigned=(), short=True, use=None, tightest=None, options=options)
    document = document_of(replace(hand, power=replace(hand.power, trains=(short, *others))), Units("g"))
    blocks = section(sheet(document, "power"), "Short of power").blocks
    assert isinstance(blocks[0], Para)
    assert (blocks[0].label, blocks[0].level) == ("SHORT Turn", "hold")
    assert isinstance(blocks[1], Items)
    assert blocks[1].numbered
    assert [item.text for item in blocks[1].items] == [option.say for option in options]
    planned = table(sheet(document, "power"), "Engines for every train")
    assert "SHORT" in texts(planned, "engines")
    assert [row.marked for row in planned.rows].count(True) == 1


def test_rows_are_as_wide_as_their_tables(hand_sheets: Document, shelf_sheets: Document) -> None:
    tables: list[Table] = [*all_of(hand_sheets, Table), *all_of(shelf_sheets, Table)]
    rows: list[tuple[Table, Row]] = [(one, row) for one in tables for row in one.rows]
    assert rows
    assert all(len(row.cells) == len(one.columns) for one, row in rows)


def test_the_same_evening_gives_the_same_document(shelf: Overview, shelf_sheets: Document) -> None:
    assert document_of(shelf, Units("g")) == shelf_sheets


def test_the_door_stands_by_owner_with_its_answers(hand: Overview, hand_sheets: Document) -> None:
    assert hand.door is not None
    (guest,) = hand.door.cars
    own = sheet(hand_sheets, "door")
    (item,) = items(own, PRINTED_HOSTILE)
    assert item.text.startswith(guest.answer.upper())
    assert any(line.startswith("Trains: ") for line in item.more)


def test_train_sheets_carry_their_verdict_and_their_train(hand: Overview, hand_sheets: Document) -> None:
    own = [one for one in hand_sheets.sheets if one.kind == "train"]
    assert [(one.train, one.verdict) for one in own] == [("Turn", "hold"), ("Quiet", "go")]
