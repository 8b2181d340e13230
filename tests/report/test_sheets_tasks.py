"""What to do before the first train leaves: whose it is, in what order, and that nothing is told twice."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import Any

import builders
import numpy as np
import pytest
import report_samples

import consist
from consist.bench import BenchCar, BenchList, Choice
from consist.evening.along import UseAlong
from consist.evening.overview import Overview, Reordered, TrainOverview, overview
from consist.evening.results import SessionCheck, Suggestion
from consist.order import Move
from consist.power import Option, PowerPlan, TrainPower
from consist.report.document import Caution, Items, Para
from consist.report.sheets.power import swap_words
from consist.report.sheets.session import checked, document_of, task_sections
from consist.report.sheets.tasks import Task, Who, tasks_of
from consist.rules.case import Finding
from consist.screening import GuestResult, Reason, Screening, TrainRide
from consist.wording import Units

__all__: list[str] = []

GRAMS = Units("g")
DESK_OF: dict[str, Who] = {
    "side-pull": "yard",
    "buff-push": "yard",
    "light-ahead": "yard",
    "too-long": "yard",
    "radius": "yard",
    "coupler-angle": "yard",
    "two-trains": "yard",
    "way-taken": "yard",
    "a-code-to-come": "yard",
    "power-short": "power",
    "slack": "bench",
    "underweight": "bench",
    "overweight": "bench",
    "not-weighed": "bench",
}


@pytest.fixture(scope="module")
def shelf() -> Overview:
    return overview(consist.load(builders.SAMPLES / "sunday_shelf"))


def found(code: Any, car: str | None = "A 1", level: Any = "care", say: str | None = None) -> Finding:
    """A finding; its sentence is its own."""
    return Finding(code, level, say or f"{car or 'The train'} has {code}.", car=car, spot=1)


def train(
    name: str, departs: int | None, *findings: Finding, cars: tuple[str, ...] = ("A 1", "A 2", "A 3"), **more: Any
) -> TrainOverview:
    """A train with those findings; what is not given is quiet."""
    where = builders.one_line(builders.straight(1000.0))
    times = None if departs is None else (departs, departs + 30)
    made = builders.train(where, [builders.car(car) for car in cars], [builders.engine("7")], name=name, times=times)
    quiet = report_samples.quiet_check(made)
    results = tuple(replace(quiet.cars[0], car=car, spot=spot) for spot, car in enumerate(cars, start=1))
    verdict: Any = "hold" if any(one.level == "hold" for one in findings) else "care" if findings else "go"
    check = replace(quiet, train=name, verdict=verdict, cars=results, findings=findings, **more)
    return TrainOverview(made, check, made.engines, UseAlong(np.zeros(2), np.zeros((len(cars), 1))), None, None)


def evening(*trains: TrainOverview, **rooms: Any) -> Overview:
    """An evening of those trains, with those of power, bench and door that are given."""
    where = builders.one_line(builders.straight(1000.0))
    session = builders.session(where, *(one.train for one in trains))
    check = SessionCheck(session.title, where.name, tuple(one.check for one in trains))
    return Overview(session, check, trains, **{"power": None, "bench": None, "door": None, **rooms})


def suggested(margin: float, cars: tuple[str, ...] = ("A 1", "A 2", "A 3")) -> dict[str, Any]:
    """A suggestion that moves the first car to the rear end."""
    first, *others = cars
    return {"suggestion": Suggestion((*others, first), margin, (Move((first,), others[-1]),)), "margin": 0.8}


def bench_car(name: str, *trains: str, gain: float | None = None, note: str = "") -> BenchCar:
    """A car to weight with two nickels."""
    choice = Choice(({"nickel": 1}, {"nickel": 1}), 10.0, (5.0, 5.0), even=True)
    return BenchCar(
        name, "flat", "Club", "under", 50.0, 60.0, 54.0, 66.0, 10.0, choice, 60.0,
        trains=trains, worst_train=trains[0] if trains else None, margin=0.8, margin_after=1.5, gain=gain, note=note,
    )  # fmt: skip


def guest(name: str, answer: Any, do: str, code: Any = None, *stands_in: str) -> GuestResult:
    """A guest's car with one reason for its answer."""
    grounds = () if code is None else (Reason(code, answer, f"{name} has {code}.", do, code == "underweight"),)
    rides = tuple(TrainRide(train, (1, 2, 3), 3, in_train=1) for train in stands_in)
    return GuestResult(name, "coach", "Oskar", answer, ("Why.",), do, 50.0, 60.0, 10.0, rides, (), grounds)


def door(*cars: GuestResult) -> Screening:
    """A screening of those cars."""
    return Screening("Bench", "Bench", cars, 1.5)


def power(name: str, given: tuple[str, ...], assigned: tuple[str, ...], **more: Any) -> TrainPower:
    """A train's power, all of it from Low to High."""
    values: dict[str, Any] = {"use": 0.5 if assigned else None, "short": not assigned, **more}
    return TrainPower(name, "Low", "High", 0, 9, (), assigned, tightest=None, given=given, **values)


def plan(*trains: TrainPower) -> PowerPlan:
    """A plan of those trains."""
    return PowerPlan("Bench", "Bench", trains, {}, proven=True)


def of_desk(seen: Overview, desk: Who) -> list[Task]:
    """The tasks of one desk."""
    return [task for task in tasks_of(seen, GRAMS) if task.who == desk]


def plain(text: str) -> str:
    """Text with plain blanks."""
    return text.replace("\ue000", " ").replace("\u00a0", " ")


def says(tasks: list[Task]) -> list[str]:
    """The sentences of tasks."""
    return [plain(task.what) for task in tasks]


def answered(seen: Overview) -> Counter[tuple[str, int]]:
    """How often each finding is answered, by its train and identity."""
    return Counter((train, id(finding)) for task in tasks_of(seen, GRAMS) for train, finding in task.answers)


def pressing(seen: Overview) -> Counter[tuple[str, int]]:
    """Each finding of care and hold once."""
    return Counter(
        (one.train.name, id(finding))
        for one in seen.trains
        for finding in one.check.findings
        if finding.level in ("care", "hold")
    )


def busy() -> Overview:
    """An evening with every code, cars in two trains, guests refused and sent to the bench, and a train to switch."""
    codes = [found(code, f"C {number}") for number, code in enumerate(DESK_OF) if code != "two-trains"]
    meets = "A 1 rides in {} at the same time; take it off one of the two trains."
    met = found("two-trains", "A 1", "hold", meets.format("Second"))
    first = train("First", 540, *codes, replace(met, other="Second"))
    second = train(
        "Second",
        550,
        found("side-pull", "A 2", "hold"),
        found("light-ahead", "A 2"),
        replace(met, say=meets.format("First"), other="First"),
        found("underweight", "C 10"),
        found("not-weighed", "C 12"),
        found("radius", "G 1", "hold"),
        found("side-pull", "G 1"),
        cars=("A 1", "A 2", "A 3", "G 1"),
    )
    cars = ("T 1", "T 2", "T 3")
    light = (found("side-pull", "T 1"), found("light-ahead", "T 1"), found("slack", None))
    third = train("Third", 500, *light, cars=cars, **suggested(1.2, cars))
    listed = BenchList("HO", "own", (bench_car("C 10", "First", "Second"), bench_car("T 3", "Third")))
    guests = door(
        guest("G 1", "not tonight", "Keep it for another evening.", "no-train", "Second"),
        guest("C 12", "bench first", "Weigh it.", "not-weighed", "First"),
        guest("W 1", "welcome", "Set it in where it is wanted."),
    )
    return evening(first, second, third, bench=listed, door=guests)


@pytest.mark.parametrize("code", DESK_OF)
def test_each_code_is_somebodys(code: str) -> None:
    seen = evening(train("One", 540, found(code)))
    (task,) = tasks_of(seen, GRAMS)
    assert (task.who, task.train, task.level) == (DESK_OF[code], "One", "care")


def test_every_finding_of_care_and_hold_is_answered_once(shelf: Overview) -> None:
    for seen in (shelf, busy()):
        assert pressing(seen)
        assert answered(seen) == pressing(seen)


def test_nothing_is_told_twice(shelf: Overview) -> None:
    for seen in (shelf, busy()):
        sentences = [plain(text) for task in tasks_of(seen, GRAMS) for text in (task.what, *task.more)]
        assert max(Counter(sentences).values()) == 1


def test_notes_ask_nothing_of_anybody() -> None:
    seen = evening(train("One", 540, found("radius", level="note"), found("two-trains", level="note")))
    assert tasks_of(seen, GRAMS) == ()


def test_tasks_as_grave_stand_in_the_order_in_which_trains_leave() -> None:
    seen = evening(
        train("Anytime", None, found("too-long", None)),
        train("Late", 900, found("radius"), found("power-short", None)),
        train("Early", 540, found("radius"), found("power-short", None)),
    )
    assert [task.train for task in of_desk(seen, "yard")] == ["Early", "Late", "Anytime"]
    assert [task.train for task in of_desk(seen, "power")] == ["Early", "Late"]
    _, yard, *_ = task_sections(seen, tasks_of(seen, GRAMS))
    (items,) = yard.blocks
    assert isinstance(items, Items)
    assert items.boxes
    assert [plain(item.label) for item in items.items] == ["9:00 Early", "15:00 Late", "Anytime"]
    assert [item.link for item in items.items] == ["train-3", "train-2", "train-1"]


def test_what_matters_most_comes_first_and_each_task_says_by_when() -> None:
    seen = evening(
        train("Early", 540, found("too-long", None), found("underweight", "A 2", "hold")),
        train("Late", 900, found("radius", level="hold")),
        power=plan(power("Early", ("7",), ("8",)), power("Late", ("7",), ("7",))),
    )
    told = [(task.level, task.who, task.train, task.by) for task in tasks_of(seen, GRAMS)]
    assert told == [
        ("hold", "bench", "Early", "9:00"),
        ("hold", "yard", "Late", "15:00"),
        ("care", "yard", "Early", "9:00"),
        (None, "power", "Early", "9:00"),
    ]


def test_what_a_task_gains_is_known_where_it_was_worked_out() -> None:
    listed = BenchList("HO", "own", (bench_car("A 2", "One", gain=0.7),))
    seen = evening(train("One", 540, found("side-pull"), found("underweight", "A 2"), **suggested(1.6)), bench=listed)
    gains = {task.who: task.gain for task in tasks_of(seen, GRAMS)}
    assert gains == {"yard": 1.6 - 0.8, "bench": 0.7}


def test_a_check_alone_makes_the_same_list_without_what_the_desks_know() -> None:
    seen = evening(train("One", 540, found("side-pull"), found("underweight", "A 2"), **suggested(1.6)))
    alone = checked(seen.session, seen.check)
    assert tasks_of(alone, GRAMS) == tasks_of(seen, GRAMS)


def test_the_first_train_to_leave_is_told_with_its_time() -> None:
    seen = evening(train("Late", 900), train("Early", 545))
    first = next(task_sections(seen, ()))
    assert first.title == "Before the first train leaves"
    assert isinstance(first.blocks[0], Para)
    assert plain(first.blocks[0].text).startswith("Early leaves first, at 9:05 by the fast clock.")


def test_of_one_train_checked_the_first_to_leave_is_still_that_of_the_session() -> None:
    seen = evening(train("Late", 900, found("radius")), train("Early", 545))
    alone = checked(seen.session, replace(seen.check, trains=seen.check.trains[:1]))
    assert [task.train for task in tasks_of(alone, GRAMS)] == ["Late"]
    (first, *_) = next(task_sections(alone, tasks_of(alone, GRAMS))).blocks
    assert isinstance(first, Para)
    assert plain(first.text).startswith("Early leaves first, at 9:05")


def test_a_desk_without_tasks_has_nothing_to_do() -> None:
    seen = evening(train("One", 540, found("radius")))
    sections = {one.title: one for one in task_sections(seen, tasks_of(seen, GRAMS))}
    assert list(sections) == ["Before the first train leaves", "Yard"]
    idle = sections["Before the first train leaves"].blocks[-1]
    assert idle == Para("Power desk, Bench, Door: nothing to do.", legend=True)


def test_what_an_order_mends_is_told_as_moves_alone() -> None:
    codes = [found("side-pull"), found("light-ahead"), found("buff-push", "A 2", "hold"), found("too-long", None)]
    seen = evening(train("One", 540, *codes, **suggested(1.6)))
    moves, too_long = of_desk(seen, "yard")
    assert plain(moves.what) == "Move 1 car in 1 move, as its own sheet tells; the margin goes from 0.80 to 1.60."
    assert (moves.moves, moves.more, moves.level, moves.adds_weight) == (True, (), "hold", False)
    assert [finding.code for _, finding in moves.answers] == ["side-pull", "light-ahead", "buff-push"]
    assert too_long.what == "The train has too-long."
    _, yard, *_ = task_sections(seen, tasks_of(seen, GRAMS))
    assert isinstance(yard.blocks[0], Items)
    assert [item.link for item in yard.blocks[0].items] == ["switch-list-1", "train-1"]


def test_where_no_order_is_enough_the_rest_is_said_or_left_to_the_bench() -> None:
    one = train("One", 540, found("side-pull", level="hold"), **suggested(1.2))
    (moves,) = of_desk(evening(one), "yard")
    assert [plain(text) for text in moves.more] == [
        "No order found lets it go by its side pull; add weight to its worst car or take cars off."
    ]
    assert moves.adds_weight
    light = train("One", 540, found("side-pull", level="hold"), found("underweight"), **suggested(1.2))
    light = replace(light, after=Reordered(light.train, {"A 1": 0.8, "A 2": 0.1, "A 3": 0.0}))
    enough, too_little = (
        BenchList("HO", "own", (replace(bench_car("A 1", "One"), margin_after=then),)) for then in (1.5, 1.4)
    )
    for listed, told in (
        (enough, "weighting A 1 at the bench does, in the order it stands in"),
        (too_little, "the bench has A 1, its worst car then"),
    ):
        (moves,) = of_desk(evening(light, bench=listed), "yard")
        assert [plain(text) for text in moves.more] == [f"No order found lets it go by its side pull; {told}."]
        assert not moves.adds_weight


def test_findings_of_one_car_are_one_task() -> None:
    pulled, ahead, sharp = found("side-pull"), found("light-ahead"), found("radius", level="hold")
    (task,) = of_desk(evening(train("One", 540, pulled, ahead, sharp)), "yard")
    assert (task.what, task.more, task.level) == (pulled.say, (sharp.say,), "hold")
    assert [finding for _, finding in task.answers] == [pulled, ahead, sharp]


def test_a_car_that_two_trains_need_at_once_is_told_with_the_first() -> None:
    seen = busy()
    (task,) = (task for task in of_desk(seen, "yard") if "same time" in task.what)
    assert task.train == "First"
    assert "rides in Second" in task.what
    assert [train for train, _ in task.answers] == ["First", "Second"]


def test_a_car_of_three_trains_is_told_once_for_each_two_that_meet() -> None:
    meets = "A 1 rides in {} at the same time; take it off one of the two trains."

    def of(name: str, departs: int, *others: str) -> TrainOverview:
        meetings = (replace(found("two-trains", "A 1", "hold", meets.format(one)), other=one) for one in others)
        return train(name, departs, *meetings)

    seen = evening(of("X", 560, "Y", "Z"), of("Y", 540, "X", "Z"), of("Z", 550, "X", "Y"))
    told = [(task.train, plain(task.what).split(" at ")[0]) for task in of_desk(seen, "yard")]
    assert told == [("Y", "A 1 rides in X"), ("Y", "A 1 rides in Z"), ("Z", "A 1 rides in X")]
    assert answered(seen) == pressing(seen)


def test_a_slip_of_the_track_under_many_trains_is_told_once_with_the_first_to_leave() -> None:
    slip = found("unlikely", None, say="Piece 2 of line 1 has a radius of 24 mm; was it meant in inches?")
    odd = found("unlikely", "A 1", say="A 1 in spot 1 weighs 4 g; was it meant in ounces?")
    seen = evening(train("X", 560, slip, odd), train("Y", 540, slip, odd))
    told = [(task.train, task.what) for task in of_desk(seen, "yard")]
    assert sorted(told) == [("X", odd.say), ("Y", odd.say), ("Y", slip.say)]
    assert answered(seen) == pressing(seen)


def test_a_slip_of_the_whole_layout_stands_at_the_head_of_its_session() -> None:
    seen = overview(builders.session(slipped := builders.one_line(*[builders.curve(30.0, 90.0)] * 3)))
    (asked,) = slipped.findings
    paragraphs = [block for block in document_of(seen, GRAMS).sheets[0].sections[0].blocks if isinstance(block, Para)]
    assert plain(paragraphs[-1].text).endswith(plain(asked.say))


def test_a_guest_that_is_turned_away_is_left_out_by_the_yard() -> None:
    seen = busy()
    (out,) = (task for task in of_desk(seen, "yard") if task.leaves_out)
    assert plain(out.what) == "Leave G 1 out of it; the door keeps it for another evening."
    assert (out.train, out.level, len(out.answers)) == ("Second", "hold", 2)
    made = document_of(seen, GRAMS)
    own = next(one for one in made.sheets if one.anchor == "switch-list-2")
    remarks = [row.cells[-1].text for block in own.sections[-1].blocks for row in getattr(block, "rows", ())]
    assert remarks.count("leave it out") == 1


def test_a_guest_that_the_bench_is_told_of_is_sent_there() -> None:
    refused, sent = of_desk(busy(), "door")
    assert plain(refused.what) == "G 1 of Oskar, NOT TONIGHT: Keep it for another evening."
    assert (refused.train, refused.level) == ("Second", "hold")
    assert plain(sent.what) == "C 12 of Oskar, BENCH FIRST: Send it to the bench."
    assert (sent.train, sent.level) == ("First", "care")


def test_a_guest_that_rides_in_no_train_has_no_train_to_be_told_with() -> None:
    seen = evening(train("One", 540), door=door(guest("G 1", "bench first", "Add 10 g.", "underweight")))
    (task,) = tasks_of(seen, GRAMS)
    assert (task.train, plain(task.what)) == (None, "G 1 of Oskar, BENCH FIRST: Add 10 g.")
    (at_door,) = (each for each in task_sections(seen, (task,)) if each.title == "Door")
    assert isinstance(at_door.blocks[0], Items)
    assert (at_door.blocks[0].items[0].label, at_door.blocks[0].items[0].link) == ("", None)


def test_the_bench_has_the_pieces_of_its_list() -> None:
    listed = BenchList("HO", "own", (bench_car("A 1", "One", gain=0.7, note="Ask first."), bench_car("A 9")))
    (task,) = of_desk(evening(train("One", 540, found("underweight")), bench=listed), "bench")
    assert plain(task.what) == "A 1: add 10 g, 1 × nickel over each truck."
    assert [plain(text) for text in task.more] == ["The margin of One goes from 0.80 to 1.50.", "Ask first."]


def test_a_car_of_two_trains_is_weighted_and_weighed_once() -> None:
    seen = evening(
        train("One", 540, found("underweight"), found("not-weighed", "A 2"), found("not-weighed", "A 3")),
        train("Two", 550, found("underweight", level="hold"), found("not-weighed", "A 3")),
        bench=BenchList("HO", "own", (bench_car("A 1", "One", "Two"),)),
    )
    weight, weigh = of_desk(seen, "bench")
    assert [train for train, _ in weight.answers] == ["One", "Two"]
    assert weight.level == "hold"
    assert plain(weigh.what) == "Weigh A 2 and A 3 with everything on the scale."
    assert [train for train, _ in weigh.answers] == ["One", "One", "Two"]


def test_a_train_of_light_cars_has_those_that_are_not_told_by_themselves() -> None:
    cars = (bench_car("A 1", "One"), bench_car("A 2", "One"), bench_car("B 1", "Two"), bench_car("B 2", "Two"))
    seen = evening(
        train("One", 540, found("slack", None), found("underweight")),
        train("Two", 550, cars=("B 1", "B 2")),
        bench=BenchList("HO", "own", cars),
    )
    slack, weight = of_desk(seen, "bench")
    assert [plain(text) for text in slack.more] == ["A 2: add 10 g, 1 × nickel over each truck."]
    assert plain(weight.what).startswith("A 1: add 10 g")
    (bench,) = (one for one in task_sections(seen, tasks_of(seen, GRAMS)) if one.title == "Bench")
    told = [plain(block.text) for block in bench.blocks if isinstance(block, Para)]
    assert told == ["2 more cars of tonight's trains can wait; the bench sheet has them."]


def test_weights_are_warned_of_once() -> None:
    sections = task_sections(busy(), tasks_of(busy(), GRAMS))
    warned = [one.title for one in sections for block in one.blocks if isinstance(block, Caution)]
    assert len(warned) == 1
    quiet = evening(train("One", 540, found("radius")))
    assert not [
        b for one in task_sections(quiet, tasks_of(quiet, GRAMS)) for b in one.blocks if isinstance(b, Caution)
    ]


def test_the_plans_engines_are_told_where_they_are_others() -> None:
    seen = evening(
        train("One", 540, found("power-short", None, "hold")),
        train("Two", 550),
        train("Three", 560, found("power-short", None)),
        power=plan(power("One", ("43",), ("41", "42")), power("Two", ("7",), ("7",)), power("Three", (), ("8",))),
    )
    first, third = of_desk(seen, "power")
    assert (
        plain(first.what)
        == "Put 41 and 42 on it at Low in place of 43; they use 50 % of what they can pull or hold back."
    )
    assert plain(third.what) == "Put 8 on it at Low; it uses 50 % of what it can pull or hold back."
    assert (first.level, third.level) == ("hold", "care")
    assert answered(seen) == pressing(seen)


def test_engines_added_and_left_off_are_told_as_such() -> None:
    assert plain(swap_words(power("T", ("1", "2"), ("1",)))).startswith("Leave 2 off it and run it with 1 alone;")
    assert plain(swap_words(power("T", ("1",), ("1", "2")))).startswith("Put 2 on it at Low beside 1; they use")
    assert swap_words(power("T", ("2", "1"), ("1", "2"))) == ""
    assert swap_words(power("T", ("1",), ())) == ""


def test_the_plan_of_least_change_is_the_one_to_make() -> None:
    seen = evening(
        train("One", 540, found("power-short", None, "hold")),
        train("Two", 550),
        power=plan(power("One", ("43",), ("41", "42")), power("Two", ("7",), ("8",))),
        least_change=plan(power("One", ("43",), ("45",)), power("Two", ("7",), ("7",))),
    )
    (task,) = of_desk(seen, "power")
    assert plain(task.what).startswith("Put 45 on it at Low in place of 43;")
    (legend,) = [
        block.text
        for part in task_sections(seen, tasks_of(seen, GRAMS))
        for block in part.blocks
        if part.title == "Power desk" and isinstance(block, Para)
    ]
    assert legend.startswith("All other trains keep the engines given")


def test_a_train_short_of_power_is_told_with_the_cheapest_cure() -> None:
    options = (Option("helper", "Engine 9 pushes."), Option("leave", "Leave two cars."))
    short = power("One", ("43",), (), options=options)
    seen = evening(train("One", 540, found("power-short", None, "hold")), power=plan(short))
    (task,) = of_desk(seen, "power")
    assert (plain(task.what), task.level) == ("No engine at Low is free for it.", "hold")
    assert task.more == ("Engine 9 pushes.",)
    (task,) = of_desk(replace(seen, power=plan(replace(short, options=()))), "power")
    assert task.more == ("Nothing that was looked at mends it.",)


def test_power_is_told_as_found_where_the_plan_has_no_other_engines() -> None:
    short = found("power-short", None, "hold")
    for rooms in ({}, {"power": plan(power("One", ("7",), ("7",)))}):
        (task,) = tasks_of(evening(train("One", 540, short), **rooms), GRAMS)
        assert (task.what, task.level) == (short.say, "hold")


def test_changes_that_no_train_needs_are_told_as_such() -> None:
    two = plan(power("One", ("43",), ("41",)))
    for findings, ending in (((), "given, too."), ((found("power-short", None),), "changes or none.")):
        seen = evening(train("One", 540, *findings), power=two)
        (desk,) = (one for one in task_sections(seen, tasks_of(seen, GRAMS)) if one.title == "Power desk")
        assert isinstance(desk.blocks[-1], Para)
        assert desk.blocks[-1].text.endswith(ending)
