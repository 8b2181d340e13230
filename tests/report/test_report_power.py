"""`consist power` from outside, and its page of plans made by hand."""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Mapping
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import builders
import pytest
from pages import power_text, under
from rich.cells import cell_len
from typer.testing import CliRunner, Result

import consist
from consist.cli import app
from consist.power import Combo, Option, PowerPlan, Tightest, TrainPower, Turn
from consist.report.json import as_json
from consist.report.terminal.drawings import Clock
from consist.session import Session
from consist.wording import Units

__all__: list[str] = []

ROOT = Path(consist.__file__).parents[1]
NIGHT, SHELF = ROOT / "sample_sessions/club_night", ROOT / "sample_sessions/sunday_shelf"
HOSTILE, LONG, WIDE = "[bold]Q\x1b[31mZ\n7[/]", "VERY LONG NAME OF AN ENGINE 1234567890", "東鉱 205"
MIDWAY = Tightest("between Left Yard and Right Yard", 400.0)
HELPER = Option(
    "helper", "Engine 9 pushes [red] to the top.", ("31",), 0.9, ("9",), "Pug", "Left Yard", "Left Yard", "Right Yard"
)


def power(*args: str | Path) -> Result:
    """Run the command."""
    return CliRunner().invoke(app, ["power", *map(str, args)])


def train(name: str, times: tuple[int, int] | None, assigned: tuple[str, ...] = (), **more: Any) -> TrainPower:
    """A train's power, everything not given invented."""
    depart, arrive = times or (None, None)
    values: dict[str, Any] = {
        "start": "Left Yard",
        "finish": "Right Yard",
        "combos": (Combo({"Heavy": 1}, 0.5, 20.0, MIDWAY), Combo({"Branch": 2}, 0.6, 15.0, MIDWAY)),
        "use": 0.5 if assigned else None,
        "tightest": MIDWAY if assigned else None,
        "short": not assigned,
        "given": assigned,
        "given_use": 0.5 if assigned else None,
    }
    return TrainPower(train=name, depart=depart, arrive=arrive, assigned=assigned, **{**values, **more})


def plan(*trains: TrainPower, roster: tuple[str, ...] = (), **more: Any) -> PowerPlan:
    """A plan with the turns that the trains' engines make."""
    turns: dict[str, list[Turn]] = {name: [] for name in roster}
    for one in trains:
        for engine in one.assigned:
            turns.setdefault(engine, []).append(Turn(one.train, one.depart, one.arrive, one.start, one.finish))
    whole = {name: tuple(found) for name, found in turns.items()}
    return PowerPlan("Evening", "Bench", trains, whole, **{"proven": True, **more})


def session_of(made: PowerPlan, classes: Mapping[str, str] | None = None) -> Session:
    """A session with the plan's trains and engines, all on one straight line."""
    where = builders.one_line(builders.straight(1000.0))
    roster = [builders.engine(name, engine_class=(classes or {}).get(name, "Heavy")) for name in made.turns]
    trains = [
        builders.train(where, [builders.car(f"C{number}")], name=one.train, times=(one.depart or 0, one.arrive or 0))
        for number, one in enumerate(made.trains)
    ]
    return builders.session(where, *trains, roster=roster)


def page(made: PowerPlan, width: int = 80, classes: Mapping[str, str] | None = None) -> str:
    """The page of a plan; it keeps to its width, and to text that moves no cursor."""
    text = power_text(session_of(made, classes), made, Units("g"), width=width)
    for line in text.split("\n"):
        assert cell_len(line) <= width, line
        assert not [c for c in line if unicodedata.category(c) in ("Cc", "Cf", "Co", "Cs")], line
    return text


def told(text: str) -> str:
    """The page's words, whatever its lines."""
    return " ".join(text.split())


@pytest.mark.parametrize("folder", [NIGHT, SHELF])
@pytest.mark.parametrize("more", [(), ("--units", "g")])
def test_the_page_keeps_to_80_columns_without_colour_and_names_every_train_and_engine(
    folder: Path, more: tuple[str, ...]
) -> None:
    ran = power(folder, *more)
    assert (ran.exit_code, ran.stderr) == (0, "")
    assert max(map(cell_len, ran.stdout.split("\n"))) <= 80
    assert "\x1b" not in ran.stdout
    loaded = consist.load(folder)
    for one in loaded.trains:
        assert ran.stdout.count(one.name) >= 3
    rows = [row.split()[0] for row in under(ran.stdout, "EVERY ENGINE THROUGH THE EVENING") if row.strip()]
    assert [name for name in rows if name in loaded.engines] == sorted(
        loaded.engines, key=lambda name: (loaded.engines[name].engine_class, name)
    )


@pytest.mark.parametrize("folder", [NIGHT, SHELF])
def test_json_is_the_object_agreed_and_the_page_tells_the_same_engines(folder: Path) -> None:
    ran = power(folder, "--json")
    whole = json.loads(ran.stdout)
    assert ran.stdout == power(folder, "--json").stdout
    assert list(whole) == ["schema", "trains", "plan", "before"]
    assert list(whole["plan"]) == ["engines", "engines_used", "short", "proven"]
    keys = ["train", "combos", "assigned", "use", "tightest", "short", "options"]
    table = power(folder).stdout.split("EVERY ENGINE")[0]
    for one in whole["trains"]:
        assert list(one) == keys
        assert list(one["tightest"]) == ["place", "head_mm"]
        assert whole["plan"]["engines"][one["train"]] == one["assigned"]
        row = next(line for line in table.split("\n") if f" {one['train']} " in line)
        assert ", ".join(one["assigned"]) in row
    every = {engine for engines in whole["plan"]["engines"].values() for engine in engines}
    assert whole["plan"]["engines_used"] == len(every)


def test_a_train_left_short_ends_in_1_with_its_options_numbered() -> None:
    # in the sample session the one Branch engine given to Marlpit Turn is too weak, which `consist check` says too
    ran = power(NIGHT, "--keep-given")
    assert ran.exit_code == 1
    assert "SHORT of power: Marlpit Turn." in told(ran.stdout)
    short = under(ran.stdout, "SHORT OF POWER")
    assert short[0].startswith("SHORT Marlpit Turn: It has only 43, asked for ")
    options = next(one for one in json.loads(power(NIGHT, "--keep-given", "--json").stdout)["trains"] if one["short"])
    assert options["train"] == "Marlpit Turn"
    assert options["options"]
    for number, option in enumerate(options["options"], start=1):
        assert f"{number}. {option['say']}" in told("\n".join(short))
        assert set(option) == {field.name for field in fields(Option)}


def test_what_cannot_be_used_ends_in_2_with_a_line_a_problem(tmp_path: Path) -> None:
    ran = power(tmp_path / "nowhere")
    assert (ran.exit_code, ran.stdout, ran.stderr.count("\n")) == (2, "", 1)


def test_options_of_a_short_train_are_told_in_their_order_as_data() -> None:
    leave = Option("leave", "Leave car Q 1 behind.", ("31",), 0.8, cars=("Q 1",))
    made = plan(
        train("Ore", (600, 660), ("32",)),
        train("Stone", (630, 700), at_hand=("31",), use=1.34, tightest=MIDWAY, options=(HELPER, leave)),
        roster=("31",),
    )
    text = page(made)
    short = told("\n".join(under(text, "SHORT OF POWER")))
    assert (
        "At Left Yard there is only 31, asked for 134 % of what it can pull or hold back between Left Yard and"
        in short
    )
    assert "It takes 1 Heavy or 2 Branch." in short
    assert "1. Engine 9 pushes [red] to the top. 2. Leave car Q 1 behind." in short
    row = next(line for line in text.split("\n") if line.startswith("►B "))
    assert "SHORT" in row
    assert "134" not in row  # of engines that it does not have
    assert "no plan of the trains with times leaves fewer of them short, or as many with fewer engines." in told(text)


def test_a_short_train_without_engine_or_option_says_so() -> None:
    text = told(page(plan(train("Stone", (600, 660), combos=()), roster=("31",))))
    assert "No engine at Left Yard is free for it. It takes more than the engines owned can do" in text
    assert "Nothing that was looked at mends it." in text


def test_an_engine_without_pull_at_the_hardest_place_is_told_in_words() -> None:
    text = told(page(plan(train("Stone", (600, 660), at_hand=("31",), tightest=MIDWAY), roster=("31",))))
    assert "only 31, which has nothing left to pull or hold with at the hardest place." in text


def test_the_timeline_runs_past_midnight() -> None:
    # 23:00 to 1:00 in steps of 20 minutes: three columns an hour, the train from 23:20 to 0:40
    clock = Clock(1380, 1500, 20)
    turn = Turn("Owl", 1400, 1480, "Left Yard", "Right Yard")
    assert clock.heading() == "23 0  "
    assert clock.draw([turn], {"Owl": "A"}) == "·A███ "
    text = page(plan(train("Owl", (1400, 1480), ("31",))))
    row = next(line for line in text.split("\n") if line.startswith("A "))
    assert row.split()[1:3] == ["23:20", "0:40"]
    head, _, drawn = under(text, "EVERY ENGINE THROUGH THE EVENING")[:3]
    assert "23:00" in head
    assert drawn.index("A") > head.index("23:00")
    assert head.index("0:00", head.index("23:00") + 5) < drawn.rindex("█")


def test_turns_that_share_a_column_stand_side_by_side() -> None:
    turns = [Turn(name, start, start + 5, "X", "Y") for name, start in (("P", 600), ("Q", 606), ("R", 612))]
    assert Clock(600, 660, 15).draw(turns, {"P": "A", "Q": "B", "R": "C"}) == "ABC "


def test_one_engine_is_followed_through_its_trains() -> None:
    made = plan(
        train("Up", (600, 660), ("31",)),
        train("Down", (720, 780), ("31",)),
        train("Spare", None, ("31", "40")),
        roster=("50",),
    )
    text = page(made, classes={"31": "Heavy", "40": "Branch", "50": "Branch"})
    rows = under(text, "EVERY ENGINE THROUGH THE EVENING")
    assert [row.split()[0] for row in rows[1:6]] == ["Branch", "40", "50", "Heavy", "31"]
    assert rows[3].split() == ["50", "anywhere", "idle"]
    assert "idle" not in rows[2]
    blocks = rows[5]
    assert blocks.index("A█") < blocks.index("B█")
    assert blocks.split()[-1] == "C"  # the train without times
    assert rows[-1] == "A Up, B Down, C Spare."


def test_trains_without_times_alone_have_no_clock() -> None:
    rows = under(page(plan(train("Spare", None, ("31",)))), "EVERY ENGINE THROUGH THE EVENING")
    assert rows[0].split() == ["engine", "home", "untimed"]
    assert rows[2].split() == ["31", "anywhere", "A"]


def test_trains_are_listed_as_they_depart_and_those_without_times_last() -> None:
    text = page(
        plan(train("Free", None, ("1",)), train("Late", (700, 720), ("2",)), train("Early", (600, 620), ("3",)))
    )
    rows = [line.split() for line in text.split("\n") if line[:2] in ("A ", "B ", "C ")]
    assert [row[3] for row in rows[:3]] == ["Early", "Late", "Free"]


@pytest.mark.parametrize("width", [60, 80, 100])
def test_hostile_and_long_names_are_data_and_no_engine_of_a_train_is_cut(width: int) -> None:
    names = (HOSTILE, LONG, WIDE, "701", "702", "703", "704")
    made = plan(
        train("Turn " * 9, (600, 700), names),
        train(HOSTILE, (700, 800), given=(LONG, "701", "799"), given_use=1.2, options=(HELPER,)),
        train("Spare", None, ("701",), start=LONG, finish=WIDE * 3),
        notes=("Odd [red] note\x1b[7m.",),
        worth_measuring=names,
    )
    text = page(made, width)
    squeezed = "".join(text.split("EVERY ENGINE")[0].split())
    assert "[bold]Q[31mZ7[/]" in squeezed
    for name in names[3:]:
        assert name in squeezed
    assert "799" in told("\n".join(under(text, "AS GIVEN IN THE SESSION AND AS PLANNED")))
    assert "Odd [red] note[7m." in told(text)


def test_what_is_given_and_what_is_planned_are_compared() -> None:
    made = plan(
        train("Up", (600, 660), ("31",)),
        train("Down", (720, 780), ("31",), given=("40", "41"), given_use=1.07, use=0.42),
        train("Spare", None, ("31",), given=(), given_use=None),
        roster=("40", "41"),
    )
    rows = under(page(made), "AS GIVEN IN THE SESSION AND AS PLANNED")
    assert [row.split() for row in rows[1:3]] == [
        ["Down", "40,", "41", "107", "%", "31", "42", "%"],
        ["Spare", "none", "–", "31", "50", "%"],
    ]
    words = told("\n".join(rows[3:]))
    assert "The session gives 3 engines in all, the plan 1." in words
    assert "over 100 % is too little power" in words
    assert "1 other train has the same engines in both." in words
    bare = train("Up", (600, 660), ("31",), given=(), given_use=None)
    none_given = told(page(plan(bare, train("Down", (720, 780)))))
    assert "The session gives no engine to any train; the plan runs 1." in none_given
    same = told(page(plan(train("Up", (600, 660), ("31",)))))
    assert "The session gives every train the engines planned here." in same


def test_engines_used_assigned_and_whether_it_is_proven() -> None:
    trains = train("Up", (600, 660), ("31", "32")), train("Down", (720, 780), ("31",))
    text = told(page(plan(*trains, roster=("33",))))
    assert "2 trains: 2 of 3 engines run; 3 assigned, an engine counting once for each of its trains." in text
    assert "Every train has power. Proven: no plan of the trains with times does with fewer engines." in text
    assert "Not proven: a plan with fewer engines may exist." in told(page(plan(*trains, proven=False)))


def test_engines_worth_measuring_come_with_how_to_measure() -> None:
    made = plan(train("Up", (600, 660), ("31",)), worth_measuring=("31",))
    text = told(page(made))
    assert "Engine 31 has no measured pull, and a train is short of power if it pulls a fifth less" in text
    for word in ("thread", "pulley", "scale", "three times", "middle reading", "pull_g", "pull_oz"):
        assert word in text
    assert "pulley" not in page(replace(made, worth_measuring=()))


def test_json_has_every_figure_in_full_and_null_for_none() -> None:
    made = plan(
        train("Up", (600, 660), ("31",), use=1.0 / 3.0),
        train("Down", (720, 780), use=float("inf"), options=(HELPER,)),
    )
    up, down = json.loads(as_json("power", made))["trains"]
    assert up["use"] == 1.0 / 3.0
    assert up["combos"] == [{"Heavy": 1}, {"Branch": 2}]
    assert (down["use"], down["tightest"], down["short"]) == (None, None, True)
    assert down["options"][0]["extra"] == ["9"]
    assert "Infinity" not in as_json("power", made)


def test_many_combinations_are_cut_short_in_words() -> None:
    combos = tuple(Combo({f"Class {number}": 1}, 0.5, 1.0, MIDWAY) for number in range(9))
    text = told(page(plan(train("Up", (600, 660), ("31",), combos=combos))))
    assert "1 Class 5 or 3 more combinations." in text
    assert "Class 6" not in text


def test_a_session_without_trains_says_so() -> None:
    assert "No train is in this session yet" in page(plan(roster=("31",)))
