"""`consist order` from outside: pages, JSON, exit statuses and the table it writes."""

from __future__ import annotations

import json
import shutil
import unicodedata
from pathlib import Path
from typing import Any

import pytest
import report_samples
from pages import orders_text, under
from rich.cells import cell_len
from typer.testing import CliRunner, Result

import consist
from consist.cli import app
from consist.evening import Choice, PlannedTrain, SessionOrders
from consist.evening.orders import chosen, moved_train
from consist.order import FrontierStep, Move, OrderFigures, OrderPlan
from consist.wording import Units

__all__: list[str] = []

ROOT = Path(consist.__file__).parents[1]
SHELF = ROOT / "sample_sessions/sunday_shelf"
MIXED = "Quarry Mixed 3"

LAYOUT = """
name = "Trial Hill"
scale = "HO"
units = "in"
[[line]]
from = "Low Yard, out"
to = "Hill Top, in"
track = [{ length = 60 }, { radius = 22, turn = "left", angle = 90, grade = 2.5, easement = 8 }, { length = 60 }]
"""
HEAD = 'title = "Trial"\nlayout = "layout.toml"\n'
TRAIN = '[[train]]\nname = "Turn"\nroute = ["Low Yard", "Hill Top"]\nengines = ["31"]\n'


def order(*args: str | Path) -> Result:
    """Run the command with a few seconds to search, of which such small trains need one or less."""
    return CliRunner().invoke(app, ["order", *map(str, args), "--seconds", "5"])


def session(folder: Path, cars: dict[str, float], holds: dict[str, str] | None = None, house: str = "") -> Path:
    """A train of cars of those weights in ounces, up a hill."""
    rows = "".join(f"Turn,{spot},{car},{(holds or {}).get(car, '')}\n" for spot, car in enumerate(cars, start=1))
    files = {
        "layout.toml": LAYOUT,
        "session.toml": HEAD + house + TRAIN,
        "cars.csv": "car,weight_oz,body_length_in\n" + "".join(f"{car},{oz},7\n" for car, oz in cars.items()),
        "engines.csv": "engine,class,weight_oz,pull_oz\n31,Heavy,40,12\n",
        "trains.csv": "train,spot,car,hold\n" + rows,
    }
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def light_ahead(folder: Path, house: str = "", **holds: str) -> Path:
    """A light car ahead of ten heavy ones."""
    cars = {"LGT 1": 1.0, **{f"HVY {number}": 8.0 for number in range(1, 11)}}
    return session(folder, cars, {name.replace("_", " "): hold for name, hold in holds.items()}, house)


def test_a_page_tells_the_moves_and_both_orders_and_what_is_gained() -> None:
    ran = order(SHELF, "--train", MIXED)
    assert (ran.exit_code, ran.stderr) == (0, "")
    assert "Move 1 car in 1 move and the train goes by its side pull" in ran.stdout
    assert under(ran.stdout, "MOVES")[0].startswith("Take car PQF 71 from spot 1 and set it in behind ")
    now = [line[2:] for line in under(ran.stdout, "AS IT STANDS, HEAD END FIRST")]
    then = under(ran.stdout, "THEN, HEAD END FIRST")
    assert [line.split()[0] for line in now[2:]] == [str(spot) for spot in range(1, 10)]
    was = next(line for line in then if "PQF 71" in line).removeprefix("►").split()
    assert was[1:4] == ["1", "PQF", "71"]
    steps = under(ran.stdout, "WHAT EACH FURTHER MOVE GAINS")
    assert steps[1].endswith("as it stands")
    assert [line for line in steps if line.endswith("first to go")] == [steps[2]]
    assert "GO" in steps[2].split()
    assert max(map(cell_len, ran.stdout.partition("\nNext")[0].split("\n"))) <= 80
    assert "\x1b" not in ran.stdout


def test_the_first_figures_of_the_table_are_those_of_the_check() -> None:
    checked = json.loads(CliRunner().invoke(app, ["check", str(SHELF), "--train", MIXED, "--json"]).stdout)["trains"][
        0
    ]
    plan = json.loads(order(SHELF, "--train", MIXED, "--json").stdout)
    assert plan["now"]["side_use"] == checked["side_use"]
    assert plan["now"]["order"] == [car["car"] for car in checked["cars"]]


def test_json_of_one_train_is_the_object_agreed() -> None:
    ran = order(SHELF, "--train", MIXED, "--json")
    plan: dict[str, Any] = json.loads(ran.stdout)
    assert list(plan) == ["schema", "train", "now", "best", "proven", "bound", "gap", "frontier", "notes", "before"]
    assert list(plan["now"]) == list(plan["best"]) == ["order", "side_use", "margin", "heavy_forward"]
    assert plan["frontier"]
    for step in plan["frontier"]:
        assert list(step) == ["cars_moved", "moves", "order", "side_use", "margin", "proven"]
        assert step["margin"] == pytest.approx(1.0 / step["side_use"])
        assert made(plan["now"]["order"], step["moves"]) == step["order"]
        assert step["cars_moved"] == sum(len(move["cars"]) for move in step["moves"])
    assert ran.stdout == order(SHELF, "--train", MIXED, "--json").stdout


def made(standing: list[str], moves: list[dict[str, Any]]) -> list[str]:
    """The order that a crew gets which makes the moves one after another."""
    for move in moves:
        rest = [car for car in standing if car not in move["cars"]]
        at = 0 if move["after"] is None else rest.index(move["after"]) + 1
        standing = rest[:at] + move["cars"] + rest[at:]
    return standing


def test_without_a_name_every_train_on_hold_or_care_is_planned_and_the_others_named() -> None:
    ran = order(SHELF)
    assert ran.exit_code == 0
    assert "Passed over, since the check says GO: Creamery 5." in ran.stdout
    assert ran.stdout.count("AS IT STANDS") == 2
    plans = json.loads(order(SHELF, "--json").stdout)
    assert [plan["train"] for plan in plans["trains"]] == [MIXED, "Coal Empties 2"]


def test_no_train_to_mend_is_said_plainly(tmp_path: Path) -> None:
    ran = order(session(tmp_path, {"CAR 1": 4.5, "CAR 2": 4.5}))
    assert ran.exit_code == 0
    assert "No train is on hold or care, so there is no car to move." in ran.stdout
    assert "Passed over, since the check says GO: Turn." in ran.stdout
    assert json.loads(order(tmp_path, "--json").stdout) == {"schema": 1, "trains": [], "before": None}


@pytest.mark.parametrize("train", ["Turn", "Bare"])
def test_a_train_too_short_to_reorder_is_planned_all_the_same(tmp_path: Path, train: str) -> None:
    """`Turn` has one car and `Bare` none."""
    folder = session(tmp_path, {"CAR 1": 4.5})
    with (folder / "session.toml").open("a", encoding="utf-8") as file:
        file.write(TRAIN.replace("Turn", "Bare"))
    ran = order(folder, "--train", train)
    assert ran.exit_code == 0
    assert "nothing to put in another order" in ran.stdout


def test_a_train_that_no_order_takes_off_hold_ends_in_1(tmp_path: Path) -> None:
    ran = order(light_ahead(tmp_path, "[house]\nhold_margin = 40\ncare_margin = 50\n"), "--train", "Turn")
    assert ran.exit_code == 1
    assert "No order found lets it go by its side pull" in " ".join(ran.stdout.split())


def test_holds_that_contradict_each_other_are_a_line_each(tmp_path: Path) -> None:
    ran = order(light_ahead(tmp_path, LGT_1="with HVY 5", HVY_3="with HVY 9"), "--train", "Turn")
    assert (ran.exit_code, ran.stdout) == (2, "")
    assert len(ran.stderr.splitlines()) == 2
    assert all(line.startswith("the trains table, train 'Turn', hold: ") for line in ran.stderr.splitlines())


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (["--train", "Quary Mixed 3"], "did you mean 'Quarry Mixed 3'?"),
        (["--write", "orders.ods"], "expected .csv or .xlsx"),
        (["--seconds", "nan"], "--seconds"),
        (["--seconds", "0"], "--seconds"),
    ],
)
def test_what_cannot_be_used_ends_in_2(args: list[str], said: str) -> None:
    ran = CliRunner().invoke(app, ["order", str(SHELF), *args])
    assert (ran.exit_code, ran.stdout) == (2, "")
    assert said in ran.stderr


@pytest.mark.parametrize("name", ["cars.csv", "engines.csv"])
def test_no_other_table_is_written_over(tmp_path: Path, name: str) -> None:
    folder = light_ahead(tmp_path)
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    ran = order(folder, "--write", folder / name)
    assert (ran.exit_code, ran.stdout) == (2, "")
    assert f"it is a table of {Path(name).stem}; name another file" in ran.stderr
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


def test_the_table_written_makes_the_train_go(tmp_path: Path) -> None:
    folder = light_ahead(tmp_path)
    before = (folder / "trains.csv").read_text()
    assert json.loads(CliRunner().invoke(app, ["check", str(folder), "--json"]).stdout)["trains"][0]["margin"] < 1.5
    ran = order(folder, "--write", folder / "trains.csv")
    assert ran.exit_code == 0
    assert "with the first order to go of Turn." in " ".join(ran.stdout.split())
    after = (folder / "trains.csv").read_text()
    assert sorted(line.split(",")[2] for line in after.splitlines()) == sorted(
        line.split(",")[2] for line in before.splitlines()
    )
    assert json.loads(CliRunner().invoke(app, ["check", str(folder), "--json"]).stdout)["trains"][0]["margin"] >= 1.5


def test_a_train_that_need_not_move_is_written_as_it_stands_unless_it_is_named(tmp_path: Path) -> None:
    shutil.copytree(SHELF, tmp_path / "a/shelf")
    shutil.copytree(ROOT / "layouts", tmp_path / "layouts")
    ran = order(tmp_path / "a/shelf", "--write", tmp_path / "new.csv", "--json")
    assert json.loads(ran.stdout)["trains"]
    assert ran.stderr.count("\n") == 1
    old, new = ((path).read_text().splitlines() for path in (SHELF / "trains.csv", tmp_path / "new.csv"))
    changed = {line.split(",")[0] for line, then in zip(old, new, strict=True) if line != then}
    assert changed == {MIXED}
    order(tmp_path / "a/shelf", "--train", "Coal Empties 2", "--write", tmp_path / "new.csv")
    new = (tmp_path / "new.csv").read_text().splitlines()
    assert {line.split(",")[0] for line, then in zip(old, new, strict=True) if line != then} == {"Coal Empties 2"}


def test_a_table_that_cannot_be_written_ends_in_2_with_one_line(tmp_path: Path) -> None:
    ran = order(light_ahead(tmp_path), "--write", tmp_path / "nowhere/new.csv")
    assert ran.exit_code == 2
    assert ran.stderr.count("\n") == 1


def figures(*cars: str, use: float) -> OrderFigures:
    return OrderFigures(cars, use, 1.0 / use if use else None, None, (use,) * len(cars))


def plan(now: OrderFigures, *steps: tuple[int, OrderFigures], enough: int | None) -> OrderPlan:
    """A plan whose steps move the first cars to the rear."""
    frontier = tuple(FrontierStep(moved, (Move(now.order[:moved], "C"),), then, False) for moved, then in steps)
    return OrderPlan("Turn", now, steps[-1][1] if steps else now, False, 0.1, frontier, enough)


def test_the_order_to_make_is_the_first_to_go_else_the_best() -> None:
    loaded = consist.load(SHELF)
    now, one, two = figures("A", "B", "C", use=1.2), figures("B", "C", "A", use=0.6), figures("C", "A", "B", use=0.5)
    first = chosen(loaded, plan(now, (1, one), (2, two), enough=1))
    assert (first.figures, first.enough, first.cars_moved) == (one, True, 1)
    best = chosen(loaded, plan(now, (1, one), (2, two), enough=None))
    assert (best.figures, best.enough, best.needed) == (two, False, True)
    assert chosen(loaded, plan(now, enough=None)) == Choice(now, (), needed=False)
    assert not chosen(loaded, plan(one, (2, two), enough=None)).needed


def told(plan: OrderPlan) -> str:
    """The page of a plan for the sample train with hostile names, its lines run together."""
    made = report_samples.session()
    orders = SessionOrders((PlannedTrain(plan, chosen(made, plan), None),), only_one=True)
    text = orders_text(made, orders, Units("oz"))
    for line in text.split("\n"):
        assert cell_len(line) <= 80, line
        assert not [c for c in line if unicodedata.category(c) in ("Cc", "Cf", "Co", "Cs")], line
    return " ".join(text.split())


def hostile(
    interrupted: bool = False, proven: bool = False, use: float = 0.9, bound: float = 0.8, notes: tuple[str, ...] = ()
) -> OrderPlan:
    """A plan for the sample train that sets its head car in at the rear."""
    cars = report_samples.TURN_CARS
    now, then = figures(*cars, use=1.2), figures(*cars[1:], cars[0], use=use)
    step = FrontierStep(1, (Move(cars[:1], cars[-1]),), then, proven)
    return OrderPlan("Turn", now, then, proven, min(bound, use), (step,), None if use else 1, interrupted, notes)


def test_whether_the_best_is_proven_and_the_search_was_stopped_is_said() -> None:
    assert "The best is proven the best to within half a per cent." in told(hostile(proven=True))
    assert "more seconds (--seconds) may find a better one." in told(hostile())
    assert "stopped before its end" in told(hostile(interrupted=True))
    assert "stopped" not in told(hostile())


@pytest.mark.parametrize(
    ("bound", "least", "gain"), [(0.8, 80, 12), (0.618, 61, 32), (0.8919, 89, 1), (0.0101, 1, 99)]
)
def test_what_no_order_can_better_is_told_no_better_than_it_is(bound: float, least: int, gain: int) -> None:
    """Of a best use of 0.9: 1 - 0.8 / 0.9 is 11.1 %, 1 - 0.618 / 0.9 is 31.3 %."""
    text = told(hostile(bound=bound))
    assert f"No order can bring the worst use below {least} %, so none betters it by more than {gain} %." in text
    assert "betters it" not in told(hostile(bound=bound, proven=True))


@pytest.mark.parametrize("bound", [0.0, 0.004])
def test_where_no_bound_is_known_nothing_is_ruled_out(bound: float) -> None:
    text = told(hostile(bound=bound))
    assert "How much better one could be is not known: no order is ruled out." in text
    assert "below" not in text


def test_what_is_odd_about_its_blocks_is_told() -> None:
    note = "Block 'Hill [Top]' of Turn stands in two runs."
    assert note in told(hostile(notes=(note,)))


def test_moves_name_cars_and_spots_as_they_stand_and_then() -> None:
    text = told(hostile())
    assert "from spot 1 and set it in behind QLM 6, in spot 6." in text
    assert "first off hold" in text
    assert "no car then feels any side pull" in told(hostile(use=0.0))


def test_a_moved_train_keeps_its_spot_numbers() -> None:
    train = consist.load(SHELF).trains[0]
    names = [car.car.name for car in reversed(train.cars)]
    moved = moved_train(train, names)
    assert [car.car.name for car in moved.cars] == names
    assert [car.spot for car in moved.cars] == [car.spot for car in train.cars]
